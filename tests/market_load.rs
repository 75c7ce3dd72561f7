//! Sample problems of the open load format, whose answers were found by exhaustive search and by mixed-integer
//! programming beside it.
#![allow(clippy::unwrap_used, reason = "a test may stop at a value that must be there")]

use std::fs;

use knockdown::market::load::format::LoadFile;
use knockdown::market::load::{LoadEffort, LoadLine, LoadPile, LoadProblem, Outlet, PriceStep, Rate, score, solve};
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;
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
        let solved = solve(&problem, &LoadEffort::default()).unwrap();
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

/// Warehouse location as a load: customers are piles, warehouses yards, and a pile brings what is left of a large sum after
/// the cost of supplying that customer from there; opening a warehouse is its one trip.
///
/// Instance and published optimum: see the head of the file read. No payload limits it, so every set of warehouses is one
/// combination of trips.
#[test]
fn the_published_optimum_of_a_warehouse_location_problem_is_found() {
    let text = include_str!("reference/facility_cap71.csv");
    let rows: Vec<Vec<i64>> = text.lines().filter(|line| !line.starts_with('#')).map(hundred_thousandths).collect();
    let (opening, supply) = rows.split_first().unwrap();
    assert_eq!((opening.len(), supply.len()), (16, 50));
    // More than any one supply costs, so that supplying a customer always beats leaving them out.
    let large = 2_000_000 * 100_000;
    let line = |cost: i64| LoadLine {
        steps: vec![PriceStep { from: 0, rate: Rate { num: large - cost, den: 1 } }],
        by_piece: true,
        division: 0,
    };
    let outlet = |at: usize| Outlet {
        trip_cost: opening[at],
        least: 0,
        lines: supply.iter().map(|costs| line(costs[at])).collect(),
        line_of: (0..supply.len()).map(Some).collect(),
    };
    let piles = vec![LoadPile { lots: 1, mass: 1, pieces: 1, hold: 0 }; supply.len()];
    let problem = LoadProblem::new(piles, (0..opening.len()).map(outlet).collect(), None, None).unwrap();
    let solved = solve(&problem, &LoadEffort { nodes: u64::MAX, stop: None }).unwrap();
    assert!(solved.is_proven());
    // 932615.750, as published.
    assert_eq!(50 * large - solved.plan.value, 93_261_575_000);
}

/// Decimals with at most five digits behind the point, as whole hundred-thousandths.
fn hundred_thousandths(line: &str) -> Vec<i64> {
    let whole = |cell: &str| {
        let value: Decimal = cell.parse().unwrap();
        (value * Decimal::from(100_000)).to_i64().unwrap()
    };
    line.split(',').map(whole).collect()
}
