//! The solution of a dismantling problem in the open format, as a page and as JSON.

use serde_json::{Value, json};

use super::ink::{Ink, Page};
use crate::plan::{FrontierPoint, Schedule, Solution, StepBundle};

/// All results for a problem.
pub struct SolvedProblem {
    /// The best plan found.
    pub best: Solution,
    /// What the unit brings untouched.
    pub do_nothing_millicents: i64,
    /// The best plan for each amount of time.
    pub frontier: Vec<FrontierPoint>,
    /// The bundle of next steps that brings most per hour.
    pub bundle: Option<StepBundle>,
    /// The best plan's steps, ordered so that the most value comes early.
    pub order: Schedule,
}

/// The value of the best plan, that of doing nothing, and the steps in order.
pub fn page(answer: &SolvedProblem) -> Page {
    let best = &answer.best;
    let sure = if best.proven {
        "proven best".to_owned()
    } else {
        format!("not proven; at most {} millicents better", gap(best))
    };
    let mut page = Page::new();
    page.say(Ink::Plain, &format!("value {} millicents ({sure})", best.plan.value_millicents));
    page.say(Ink::Plain, &format!("doing nothing {} millicents", answer.do_nothing_millicents));
    page.say(Ink::Plain, &format!("steps {:?} in {} minutes", answer.order.order, best.plan.minutes));
    page
}

fn gap(best: &Solution) -> i64 {
    best.bound_millicents.saturating_sub(best.plan.value_millicents)
}

/// The document `{"format":"knockdown-solution","version":1,…}`.
pub fn json(answer: &SolvedProblem) -> Value {
    let best = &answer.best;
    let mut steps = best.plan.steps.clone();
    steps.sort_unstable();
    let points: Vec<Value> =
        answer.frontier.iter().map(|point| json!([point.minutes, point.solution.plan.value_millicents])).collect();
    json!({
        "format": "knockdown-solution", "version": 1,
        "value_millicents": best.plan.value_millicents, "do_nothing_millicents": answer.do_nothing_millicents,
        "steps": steps, "minutes": best.plan.minutes, "proven": best.proven, "gap_millicents": gap(best),
        "order": answer.order.order, "area_millicent_minutes": answer.order.area_millicent_minutes.to_string(),
        "frontier": points, "frontier_proven": answer.frontier.iter().all(|point| point.solution.proven),
        "live_index": answer.bundle.as_ref().map(|bundle| json!({
            "gain_millicents": bundle.rate.millicents, "minutes": bundle.rate.minutes, "steps": bundle.steps,
        })),
    })
}
