//! Sample problems whose answers were found by exhaustive search, and by mixed-integer programming beside it.
#![allow(clippy::unwrap_used, reason = "a test may stop at a value that must be there")]

use std::fs;

use knockdown::plan::{self, Effort, Problem, Settled};
use serde_json::Value;

fn cases() -> Vec<(String, Problem, Value)> {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/cases");
    let mut paths: Vec<_> = fs::read_dir(folder).unwrap().map(|e| e.unwrap().path()).collect();
    paths.retain(|p| p.file_name().unwrap().to_str().unwrap().starts_with("depth-"));
    paths.sort();
    assert!(paths.len() >= 24, "cases are missing: found {}", paths.len());
    let read = |path: &std::path::PathBuf| {
        let text = fs::read_to_string(path).unwrap();
        let case: Value = serde_json::from_str(&text).unwrap();
        let problem = serde_json::from_str(&text).unwrap();
        (case["id"].as_str().unwrap().to_string(), problem, case["answer"].clone())
    };
    paths.iter().map(read).collect()
}

fn number(value: &Value) -> i64 {
    value.as_i64().unwrap_or_else(|| panic!("{value} is not a number"))
}

fn numbers(value: &Value) -> Vec<usize> {
    value.as_array().unwrap().iter().map(|n| number(n) as usize).collect()
}

#[test]
fn best_plans_match() {
    for (id, problem, answer) in cases() {
        let solution = plan::best_plan(&problem, &Effort::default()).unwrap();
        assert!(solution.proven, "{id}");
        assert_eq!(solution.bound_millicents, solution.plan.value_millicents, "{id}");
        assert_eq!(solution.plan.value_millicents, number(&answer["value_millicents"]), "{id}");
        assert_eq!(solution.plan.minutes, number(&answer["minutes"]), "{id}");
        assert_eq!(solution.plan.steps.len(), numbers(&answer["steps"]).len(), "{id}");
        if number(&answer["n_optimal"]) == 1 {
            let mut steps = solution.plan.steps.clone();
            steps.sort_unstable();
            assert_eq!(steps, numbers(&answer["steps"]), "{id}");
        }
        let nothing = plan::evaluate(&problem, &[]).unwrap();
        assert_eq!(nothing.value_millicents, number(&answer["do_nothing_millicents"]), "{id}");
    }
}

#[test]
fn published_steps_are_worth_what_is_published() {
    for (id, problem, answer) in cases() {
        let plan = plan::evaluate(&problem, &numbers(&answer["steps"])).unwrap();
        assert_eq!(plan.value_millicents, number(&answer["value_millicents"]), "{id}");
        assert_eq!(plan.minutes, number(&answer["minutes"]), "{id}");
    }
}

#[test]
fn frontiers_match() {
    for (id, problem, answer) in cases() {
        let points = plan::frontier(&problem, &Settled::default(), &Effort::default()).unwrap();
        let found: Vec<(i64, i64)> = points.iter().map(|p| (p.minutes, p.solution.plan.value_millicents)).collect();
        let points = answer["frontier"].as_array().unwrap();
        let expected: Vec<(i64, i64)> = points.iter().map(|p| (number(&p[0]), number(&p[1]))).collect();
        assert_eq!(found, expected, "{id}");
    }
}

#[test]
fn closures_are_recognised() {
    for (id, problem, _) in cases() {
        let cut = ["closure", "downgrade", "value_of_time"].iter().any(|family| id.contains(family));
        // Every search opens a node: a plan without any comes from a single minimum cut.
        let solution = plan::best_plan(&problem, &Effort::default()).unwrap();
        assert!(!cut || solution.nodes == 0, "{id} took {} nodes", solution.nodes);
    }
}

#[test]
fn live_index_matches() {
    let mut seen = 0;
    for (id, problem, answer) in cases() {
        let Some(index) = answer.get("live_index") else { continue };
        seen += 1;
        let bundle = plan::best_bundle(&problem, &Settled::default(), &Effort::default()).unwrap().unwrap();
        assert_eq!(bundle.rate.millicents, number(&index["gain_millicents"]), "{id}");
        assert_eq!(bundle.rate.minutes, number(&index["minutes"]), "{id}");
        assert!(bundle.proven, "{id}");
    }
    assert!(seen >= 3);
}

#[test]
fn anytime_area_matches() {
    let mut seen = 0;
    for (id, problem, answer) in cases() {
        let Some(anytime) = answer.get("anytime") else { continue };
        seen += 1;
        let schedule = plan::anytime_order(&problem, &[], &numbers(&answer["steps"])).unwrap();
        assert!(schedule.proven, "{id}");
        assert_eq!(schedule.horizon_minutes, number(&anytime["horizon_minutes"]), "{id}");
        assert_eq!(schedule.area_millicent_minutes, i128::from(number(&anytime["area_millicent_minutes"])), "{id}");
    }
    assert!(seen >= 3);
}
