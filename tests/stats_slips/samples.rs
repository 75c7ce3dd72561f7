//! The planted errors of the sample balances, by name.

use knockdown::stats::Uncertain;
use knockdown::stats::slips::{Place, Slip, TypedWeight, Unit, WeighedPart, WeighingState, Weighings, diagnose};
use serde_json::Value;

use super::worlds::TARES;

const SAMPLES: &str = include_str!("../cases/balance-samples.json");

fn list(value: &Value) -> Vec<f64> {
    let numbers = value.as_array().expect("a list").iter();
    numbers.map(|v| v.as_f64().expect("a number")).collect()
}

fn weighings(case: &Value, tares: &[f64]) -> Weighings {
    let u = |value: f64, sd: f64| Uncertain::new(value, sd).expect("a sound sample");
    let number = |name: &str| case[name].as_f64().expect(name);
    let (readings, sds) = (list(&case["readings"]), list(&case["reading_sd"]));
    let (means, spreads) = (list(&case["prior_mean"]), list(&case["prior_sd"]));
    let part = |k: usize| WeighedPart {
        weighing: WeighingState::Entered(TypedWeight::new(u(readings[k], sds[k]))),
        expected: Some(u(means[k], spreads[k])),
    };
    Weighings {
        intake: TypedWeight::new(u(number("intake"), number("intake_sd"))),
        parts: (0..readings.len()).map(part).collect(),
        tares: tares.to_vec(),
    }
}

#[test]
fn the_planted_errors_of_the_samples_are_named() {
    let cases: Value = serde_json::from_str(SAMPLES).expect("the samples are JSON");
    let mut planted = 0;
    for case in cases.as_array().expect("a list of cases") {
        let id = case["id"].as_str().expect("an id");
        let found = diagnose(&weighings(case, &TARES));
        let Some(kind) = case["planted"]["kind"].as_str() else {
            assert!(!found.is_alarm(), "{id}: {found:?}");
            continue;
        };
        planted += 1;
        let entry = case["planted"]["entry"].as_u64().expect(id) as usize;
        let first = found.likeliest().expect(id);
        let slip = match kind {
            "x10" => Slip::DecimalPlace { places: 1 },
            "lb" => Slip::WrongUnit { meant: Unit::Pound, typed: Unit::Kilogram },
            "tare" => Slip::TareLeftOn { tare: 260.0 },
            other => panic!("{id}: no such kind as {other}"),
        };
        assert_eq!((first.place, first.slip), (Place::Part(entry), slip), "{id}: {first}");
    }
    assert_eq!(planted, 5);
}

/// The tub of C-007 is not on the list: then the entry is still found, and what would fit, but not why.
#[test]
fn without_a_list_of_containers_the_entry_is_still_named() {
    let cases: Value = serde_json::from_str(SAMPLES).expect("the samples are JSON");
    let found = diagnose(&weighings(&cases[7], &[]));
    let first = found.likeliest().expect("an alarm");
    assert_eq!((first.place, first.slip), (Place::Part(1), Slip::Unexplained));
    assert!((first.corrected - 541.0).abs() < 15.0, "{first}");
}
