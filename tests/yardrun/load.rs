//! Plans over the stock, and the open format.

use super::{Bench, RIDGE};

#[test]
fn a_load_says_what_goes_and_why() {
    let bench = Bench::new();
    bench.finds();
    bench.ok(&["stock", "add", "lead", "14 lb"]);
    let plan = bench.json(&["load", "--trip-cost", "12.50", "--format", "json"]);
    // 41.4 × 3.40 + 100 × 0.08 + 10 × 0.28 = 151.56, less 2.00 for weighing and 12.50 for the trip.
    assert_eq!(plan["value"], "137.06");
    assert_eq!(plan["gap"], "0");
    assert_eq!(plan["deliveries"][0]["expected_paid"], "149.55");
    assert_eq!(plan["kept"][0]["why"], "Mill Yard: below the minimum lot of 20 lb");
    let text = bench.ok(&["load", "--trip-cost", "12.50"]);
    let words = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        words.contains("8.6 lb more No. 2 would reach the price from 50 lb: 3.55/lb instead of 3.40/lb, 6.21 CAD more"),
        "{text}"
    );
    assert!(
        words.contains("6 lb more Lead would make the minimum lot of 20 lb at Mill Yard: 13.00 CAD for all of it."),
        "{text}"
    );
    assert!(words.contains("Before you drive: many places require") && words.contains("local law"), "{text}");
    assert!(words.contains("[ ] Iron 100 lb ________ ________"), "{text}");
}

#[test]
fn a_trip_that_does_not_pay_is_not_made() {
    let bench = Bench::new();
    bench.ok(&["stock", "add", "motor", "10 lb"]);
    let plan = bench.json(&["load", "--trip-cost", "12.50", "--format", "json"]);
    assert_eq!(plan["deliveries"].as_array().unwrap().len(), 0);
    let remarks = plan["remarks"].as_array().unwrap();
    assert_eq!(remarks[0], "No trip pays as things stand: what the yards would pay does not cover the way.");
    // 2.80 less 2.00 and 12.50.
    assert_eq!(remarks[1], "A trip, to Mill Yard, would cost 11.70 CAD more than it brings.");
}

#[test]
fn two_yards_in_two_currencies_and_a_trip_by_distance() {
    let bench = Bench::new();
    bench.write("yards/ridge.rhai", RIDGE);
    bench.finds();
    let left_out = bench.run(&["load", "--trip-cost", "1"]);
    assert!(left_out.err.contains("ridge is left out: it pays in USD, and no rate is set"), "{}", left_out.err);
    bench.ok(&["settings", "rates.USD-CAD", "1.40 on 2026-11-18"]);
    bench.ok(&["settings", "cost_per_km", "0.50"]);
    bench.ok(&["settings", "trips.ridge", "8 km"]);
    bench.ok(&["settings", "trips.mill", "10"]);
    let plan = bench.json(&["load", "--format", "json"]);
    // Mill: 140.76 + 8.00 − 2.00 − 10 = 136.76. Ridge weighs 10 lb in steps of 20 as 20: 20 × 0.90 × 1.40 = 25.20 − 4.
    assert_eq!(plan["value"], "157.96");
    assert_eq!(plan["deliveries"][1]["expected_paid"], "18");
    assert_eq!(plan["deliveries"][1]["currency"], "USD");
    assert_eq!(plan["deliveries"][1]["trip_cost"], "4");
    let remarks = plan["remarks"].to_string();
    assert!(
        remarks.contains("counts in steps of 20 lb") && remarks.contains("Electric motors 18.00 of 18.00"),
        "{remarks}"
    );
}

#[test]
fn what_is_worth_keeping_is_kept() {
    let bench = Bench::new();
    bench.finds();
    let plan = bench.json(&["load", "--trip-cost", "5", "--hold", "copper-2=3.50", "--format", "json"]);
    assert_eq!(plan["kept"][0]["pile"]["grade"], "copper-2");
    let plan = bench.json(&["load", "--trip-cost", "5", "--hold", "copper-2=3.30", "--format", "json"]);
    assert_eq!(plan["kept"].as_array().unwrap().len(), 0);
}

#[test]
fn the_open_format_is_solved_and_its_faults_are_named() {
    let bench = Bench::new();
    let case = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/cases/load-everything-002.json");
    let solved = bench.json(&["load", "--problem", case, "--format", "json"]);
    assert_eq!(solved["value_cents"], 137_622);
    assert_eq!(solved["proven"], true);
    let bad = bench.write("bad.json", r#"{"piles": [], "yards": [], "payload_kg": 0}"#);
    let ran = bench.run(&["load", "--problem", &bad]);
    assert_eq!(ran.code, 2);
    assert!(ran.err.contains("the payload is 0; write a weight above 0"), "{}", ran.err);
    assert_eq!(bench.run(&["load", "--problem", "/nowhere.json"]).code, 1);
}
