//! `plan --problem FILE`: solves a dismantling problem in the open format.

use std::path::Path;
use std::time::{Duration, Instant};

use serde::Deserialize;
use serde_json::Value;

use super::{Outcome, options};
use crate::plan::{self, Effort, Problem, ProblemData, Settled};
use crate::shell::format::Format;
use crate::shell::problem_page::{self as pages, SolvedProblem};
use crate::shell::terminal::Terminal;
use crate::store::files;
use crate::world::AppError;

/// The largest problem file that is read, in bytes.
const MAX_PROBLEM: u64 = 64 * 1024 * 1024;
/// Time limit of the search; a solution not proven by then is shown with its gap.
const SEARCH: Duration = Duration::from_secs(10);

/// Tells whether a file contains a problem next to other things, such as its solution.
#[derive(Deserialize)]
struct Probe {
    problem: Option<Value>,
}

/// A case file: the problem with its solution.
#[derive(Deserialize)]
struct Case {
    problem: ProblemData,
}

/// Parses the text directly, so that an error names its line and column.
fn read(text: &str) -> Result<Problem, String> {
    let probe: Probe = serde_json::from_str(text).map_err(|error| error.to_string())?;
    let data = match probe.problem.filter(Value::is_object) {
        Some(_) => serde_json::from_str::<Case>(text).map(|case| case.problem),
        None => serde_json::from_str(text),
    };
    Problem::new(data.map_err(|error| error.to_string())?).map_err(|fault| fault.to_string())
}

fn answer(problem: &Problem) -> Result<SolvedProblem, String> {
    let begun = Instant::now();
    let out_of_time = || begun.elapsed() > SEARCH;
    let effort = Effort { nodes: u64::MAX, stop: Some(&out_of_time) };
    let nothing = Settled::default();
    let best = plan::best_plan(problem, &effort).map_err(|error| error.to_string())?;
    let order = plan::anytime_order(problem, &[], &best.plan.steps).map_err(|error| error.to_string())?;
    Ok(SolvedProblem {
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
    options::write_as(terminal, format, || pages::page(&answer), || pages::json(&answer))
}
