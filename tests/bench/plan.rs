//! Times of the plan room. Run with `cargo bench --bench plan [-- FOLDER]`; a folder given receives the instances, so
//! that `tests/compare/plan_ortools.py FOLDER` can time general-purpose solvers on them. With `--microlp` the same instances
//! are also solved by that general-purpose library, 10 seconds each at most.

#![allow(clippy::unwrap_used, clippy::new_without_default, reason = "a test may fail by panicking")]

#[path = "../plan_instances/mod.rs"]
mod plan_instances;
mod yardstick;

use std::fs;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use knockdown::plan::{self, Effort, Problem, ProblemData, Settled};
use plan_instances::milp::Model;
use plan_instances::{Family, closure_network, large_closure, random};
use yardstick::{Ratios, at_work};

fn main() {
    let folder = std::env::args().skip(1).find(|a| !a.starts_with('-')).map(PathBuf::from);
    let (mut results, mut ratios) = (Vec::new(), Ratios::default());
    println!("{:<34} {:>12} {:>8}  result", "problem", "time", "nodes");
    for size in [30, 1_000, 10_000, 100_000] {
        closure(size, folder.as_deref(), &mut results, &mut ratios);
    }
    recipe_ladder(&mut ratios);
    for family in [Family::Alternatives, Family::CyclicOr, Family::Upgrade, Family::TimeCap, Family::Everything] {
        for seed in 1..=5 {
            general(family, 150, seed, folder.as_deref(), &mut results, &mut ratios);
        }
    }
    if let Some(folder) = folder {
        let path = folder.join("results.json");
        fs::write(&path, serde_json::to_string_pretty(&results).unwrap_or_default())
            .unwrap_or_else(|e| fail(&path, &e));
    }
    ratios.finish("plan");
}

fn fail(path: &Path, error: &std::io::Error) -> ! {
    eprintln!("cannot write {}: {error}", path.display());
    std::process::exit(1)
}

/// The fastest of several runs in time at work, which other work on the machine disturbs least, and the last result.
fn timed<T>(mut run: impl FnMut() -> T) -> (Duration, T) {
    let mut times = Vec::new();
    let started = Instant::now();
    loop {
        let start = at_work();
        let result = run();
        times.push(at_work().saturating_sub(start));
        if times.len() >= 200 || (times.len() >= 10 && started.elapsed() > Duration::from_secs(1)) {
            return (times.into_iter().min().unwrap_or_default(), result);
        }
    }
}

fn problem(data: &ProblemData) -> Problem {
    Problem::new(data.clone()).unwrap_or_else(|fault| {
        eprintln!("the instance is faulty: {fault}");
        std::process::exit(1)
    })
}

fn solve(name: &str, data: &ProblemData, results: &mut Vec<serde_json::Value>, ratios: &mut Ratios) {
    let problem = problem(data);
    let (time, solution) = timed(|| plan::best_plan(&problem, &Effort::default()));
    let Ok(solution) = solution else { return };
    ratios.note(name, time);
    let proof = if solution.proven { "proven" } else { "not proven" };
    let value = solution.plan.value_millicents;
    println!("{name:<34} {:>9.3} ms {:>8}  {value} millicents, {proof}", time.as_secs_f64() * 1e3, solution.nodes);
    let nothing = plan::evaluate(&problem, &[]).map_or(0, |p| p.value_millicents);
    let milliseconds = time.as_secs_f64() * 1e3;
    results.push(serde_json::json!({
        "name": name, "milliseconds": milliseconds, "value_millicents": value, "gain_millicents": value - nothing,
    }));
}

fn closure(size: usize, folder: Option<&Path>, results: &mut Vec<serde_json::Value>, ratios: &mut Ratios) {
    let data = large_closure(size, 7);
    let name = format!("closure-{size}");
    solve(&name, &data, results, ratios);
    if let Some(folder) = folder {
        let (weights, arcs) = closure_network(&data);
        let text = serde_json::json!({"weights": weights, "arcs": arcs}).to_string();
        let path = folder.join(format!("{name}.json"));
        fs::write(&path, text).unwrap_or_else(|e| fail(&path, &e));
    }
}

/// The longest that the general-purpose library may take for one instance.
const LIMIT: Duration = Duration::from_secs(10);

/// The same instance by a general-purpose library, once.
fn by_microlp(name: &str, data: &ProblemData) {
    let model = Model::new(data);
    let start = at_work();
    let found = model.by_microlp(Some(LIMIT));
    let time = at_work().saturating_sub(start).as_secs_f64() * 1e3;
    let result = match found {
        Some((cents, true)) => format!("{:.0} millicents, proven", cents * 1000.0),
        Some((cents, false)) => format!("{:.0} millicents, not proven", cents * 1000.0),
        None => "no plan found".to_owned(),
    };
    println!("{:<34} {time:>9.3} ms {:>8}  {result}", format!("{name}, microlp"), "");
}

fn general(
    family: Family,
    size: usize,
    seed: u64,
    folder: Option<&Path>,
    results: &mut Vec<serde_json::Value>,
    ratios: &mut Ratios,
) {
    // Random OR groups may leave a step that can never run; such a seed is passed over.
    let Some(data) = (0..100).map(|n| random(family, size, seed + 1000 * n)).find(|d| Problem::new(d.clone()).is_ok())
    else {
        return;
    };
    let name = format!("{family:?}-{size}-{seed}").to_lowercase();
    solve(&name, &data, results, ratios);
    if std::env::args().any(|argument| argument == "--microlp") {
        by_microlp(&name, &data);
    }
    if let Some(folder) = folder {
        let path = folder.join(format!("{name}.mps"));
        fs::write(&path, Model::new(&data).to_mps(&name)).unwrap_or_else(|e| fail(&path, &e));
    }
}

/// What is worked out after every weighing: the ladder, the next bundle, the order and the frontier of a 30-step recipe.
fn recipe_ladder(ratios: &mut Ratios) {
    for family in [Family::Closure, Family::Downgrade, Family::Everything] {
        let problem = problem(&random(family, 30, 3));
        let (settled, effort) = (Settled::default(), Effort::default());
        let mut line = |what: &str, (time, result): (Duration, String)| {
            let name = format!("30 steps, {family:?}: {what}");
            ratios.note(&name, time);
            println!("{name:<34} {:>9.3} ms {:>8}  {result}", time.as_secs_f64() * 1e3, "");
        };
        let count = |n: Result<usize, plan::NoPlan>, what: &str| format!("{} {what}", n.unwrap_or(0));
        let (time, rungs) = timed(|| plan::ladder(&problem, &settled, &effort).map(|r| r.len()));
        line("ladder", (time, count(rungs, "rungs")));
        let (time, points) = timed(|| plan::frontier(&problem, &settled, &effort).map(|p| p.len()));
        line("frontier", (time, count(points, "points")));
        let (time, steps) =
            timed(|| plan::best_bundle(&problem, &settled, &effort).map(|b| b.map_or(0, |b| b.steps.len())));
        line("next bundle", (time, count(steps, "steps")));
        let Ok(best) = plan::best_plan(&problem, &effort) else { continue };
        let (time, proven) = timed(|| plan::anytime_order(&problem, &[], &best.plan.steps).map(|s| s.proven));
        line("order", (time, format!("{} steps, proven: {}", best.plan.steps.len(), proven.unwrap_or(false))));
    }
}
