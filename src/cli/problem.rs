//! `plan --problem FILE`: a dismantling problem in the open format, solved.

use std::path::Path;
use std::time::{Duration, Instant};

use serde::Deserialize;
use serde_json::{Value, json};

use super::options::{self, Format};
use super::{Code, Outcome};
use crate::plan::{self, Bundle, Effort, FrontierPoint, Problem, ProblemData, Schedule, Settled, Solution};
use crate::shell::ink::Ink;
use crate::shell::terminal::Terminal;
use crate::store::files;
use crate::world::AppError;

/// The largest problem file that is read, in bytes.
const MAX_PROBLEM: u64 = 64 * 1024 * 1024;
/// How long a problem is searched; what is not proven by then is shown with its gap.
const SEARCH: Duration = Duration::from_secs(10);

/// Whether a file holds a problem beside other things, such as its answer.
#[derive(Deserialize)]
struct Probe {
    problem: Option<Value>,
}

/// A file of a case: the problem, with its answer beside it.
#[derive(Deserialize)]
struct Case {
    problem: ProblemData,
}

/// Everything that is said of a problem.
struct Answer {
    best: Solution,
    do_nothing_millicents: i64,
    frontier: Vec<FrontierPoint>,
    bundle: Option<Bundle>,
    order: Schedule,
}

/// Reads from the text itself, so that an error names its line and column.
fn read(text: &str) -> Result<Problem, String> {
    let probe: Probe = serde_json::from_str(text).map_err(|error| error.to_string())?;
    let data = match probe.problem.filter(Value::is_object) {
        Some(_) => serde_json::from_str::<Case>(text).map(|case| case.problem),
        None => serde_json::from_str(text),
    };
    Problem::new(data.map_err(|error| error.to_string())?).map_err(|fault| fault.to_string())
}

fn answer(problem: &Problem) -> Result<Answer, String> {
    let begun = Instant::now();
    let out_of_time = || begun.elapsed() > SEARCH;
    let effort = Effort { nodes: u64::MAX, stop: Some(&out_of_time) };
    let nothing = Settled::default();
    let best = plan::best_plan(problem, &effort).map_err(|error| error.to_string())?;
    let order = plan::anytime_order(problem, &[], &best.plan.steps).map_err(|error| error.to_string())?;
    Ok(Answer {
        do_nothing_millicents: plan::evaluate(problem, &[]).map_err(|error| error.to_string())?.value_millicents,
        frontier: plan::frontier(problem, &nothing, &effort).map_err(|error| error.to_string())?,
        bundle: plan::best_bundle(problem, &nothing, &effort).map_err(|error| error.to_string())?,
        best,
        order,
    })
}

pub(super) fn solve(terminal: &mut Terminal, path: &Path, format: Format) -> Outcome {
    let text = files::read_text(terminal.world.home.disk().as_ref(), path, MAX_PROBLEM)?;
    let wrong = |error: String| AppError::Answer(format!("{}: {error}", path.display()));
    let answer = answer(&read(&text).map_err(wrong)?).map_err(wrong)?;
    if format == Format::Json {
        terminal.put(&options::json(&document(&answer))?);
        return Ok(Code::Done);
    }
    let best = &answer.best;
    let sure = if best.proven {
        "proven best".to_owned()
    } else {
        format!("not proven; at most {} millicents better", gap(best))
    };
    terminal.say(Ink::Plain, &format!("value {} millicents ({sure})", best.plan.value_millicents));
    terminal.say(Ink::Plain, &format!("doing nothing {} millicents", answer.do_nothing_millicents));
    terminal.say(Ink::Plain, &format!("steps {:?} in {} minutes", answer.order.order, best.plan.minutes));
    Ok(Code::Done)
}

fn gap(best: &Solution) -> i64 {
    best.bound_millicents.saturating_sub(best.plan.value_millicents)
}

fn document(answer: &Answer) -> Value {
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
