//! Sample problems of the open load format, whose answers were found by exhaustive search and by mixed-integer
//! programming beside it.
#![allow(clippy::unwrap_used, reason = "a test may stop at a value that must be there")]

use std::fs;

use knockdown::market::load::format::LoadFile;
use knockdown::market::load::{Effort, score, solve};
use serde_json::Value;

fn cases() -> Vec<(String, LoadFile, Value)> {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/cases");
    let mut paths: Vec<_> = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    paths.retain(|path| path.file_name().unwrap().to_str().unwrap().starts_with("load-"));
    paths.sort();
    assert!(paths.len() >= 16, "cases are missing: found {}", paths.len());
    let read = |path: &std::path::PathBuf| {
        let text = fs::read_to_string(path).unwrap();
        let case: Value = serde_json::from_str(&text).unwrap();
        let file = serde_json::from_str(&text).unwrap();
        (case["id"].as_str().unwrap().to_owned(), file, case["answer"].clone())
    };
    paths.iter().map(read).collect()
}

fn rows(value: &Value) -> Vec<Vec<i64>> {
    let row = |row: &Value| row.as_array().unwrap().iter().map(|n| n.as_i64().unwrap()).collect();
    value.as_array().unwrap().iter().map(row).collect()
}

#[test]
fn best_loads_match() {
    for (id, file, answer) in cases() {
        let problem = file.problem().unwrap();
        let solved = solve(&problem, &Effort::default()).unwrap();
        assert!(solved.is_proven(), "{id}");
        assert_eq!(solved.plan.value, answer["value_cents"].as_i64().unwrap(), "{id}");
        assert_eq!(problem.hold_all(), answer["hold_all_cents"].as_i64().unwrap(), "{id}");
        if answer["n_optimal"] == 1 {
            assert_eq!(solved.plan.lots, rows(&answer["alloc_lots"]), "{id}");
            assert_eq!(solved.plan.trips, rows(&serde_json::json!([answer["trips"]]))[0], "{id}");
        }
    }
}

#[test]
fn published_loads_are_worth_what_is_published() {
    for (id, file, answer) in cases() {
        let plan = score(&file.problem().unwrap(), &rows(&answer["alloc_lots"])).unwrap();
        assert_eq!(plan.value, answer["value_cents"].as_i64().unwrap(), "{id}");
        assert_eq!(serde_json::json!(plan.trips), answer["trips"], "{id}");
    }
}
