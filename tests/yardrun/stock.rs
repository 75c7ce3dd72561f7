//! What is in stock, and what is done with it.

use super::Bench;

#[test]
fn ended_sessions_fill_the_stock_and_nothing_is_booked_twice() {
    let bench = Bench::new();
    assert!(bench.ok(&["stock"]).contains("Nothing is in stock"));
    bench.oven();
    let lots = bench.lots();
    assert!(lots.contains(&"2026-11-20-countertop-oven-1/primary winding".to_owned()), "{lots:?}");
    assert!(lots.contains(&"2026-11-20-countertop-oven-1/remainder of the unit".to_owned()), "{lots:?}");
    assert_eq!(bench.lots(), lots, "looking at it changes nothing");
    bench.ok(&["stock", "writeoff", "primary", "--because", "given to a neighbour"]);
    assert_eq!(bench.lots().len(), lots.len() - 1);
    let twice = bench.run(&["stock", "writeoff", "primary", "--because", "again"]);
    assert_eq!(twice.code, 2);
    assert!(twice.err.contains("nothing in stock goes by `primary`"), "{}", twice.err);
    bench.ok(&["stock", "undo"]);
    assert_eq!(bench.lots(), lots);
    assert!(bench.ok(&["stock", "redo"]).contains("Brought back: write off"));
}

#[test]
fn a_session_that_has_not_ended_counts_nothing() {
    let bench = Bench::new();
    let begun = bench.run_with(&["bench", "countertop-oven"], "13 kg\npause\n");
    assert_eq!(begun.code, 5, "{}", begun.err);
    assert!(bench.lots().is_empty());
}

#[test]
fn finds_move_change_grade_and_pool() {
    let bench = Bench::new();
    bench.ok(&["stock", "add", "copper-2", "3.2 lb", "--bin", "shelf", "--note", "from a neighbour"]);
    bench.ok(&["stock", "add", "copper-2", "4 x 35 g"]);
    bench.ok(&["stock", "move", "find-2", "--to", "crate"]);
    let by_bin = bench.json(&["stock", "--by", "bin", "--format", "json"]);
    let bins: Vec<&str> = by_bin["piles"].as_array().unwrap().iter().map(|p| p["bins"][0].as_str().unwrap()).collect();
    assert_eq!(bins, ["crate", "shelf"]);
    assert_eq!(by_bin["piles"][0]["pieces"], 4);
    assert_eq!(by_bin["piles"][0]["mass_g"], "140");
    bench.ok(&["stock", "regrade", "crate", "--as", "copper-1"]);
    let before = bench.stock();
    bench.ok(&["stock", "pool", "all", "--as", "copper-2", "--to", "drum"]);
    let pooled = bench.stock();
    // 3.2 lb are 1451.495584 g; with 140 g.
    assert_eq!(pooled["piles"][0]["mass_g"], "1591.495584");
    assert_eq!(pooled["piles"][0]["lots"][0], "pool-5");
    bench.ok(&["stock", "undo"]);
    assert_eq!(bench.stock(), before);
    let log = bench.ok(&["stock", "log"]);
    assert!(log.contains("add copper-2  from a neighbour") && log.contains("regrade find-2 as copper-1"), "{log}");
}

#[test]
fn a_minimum_lot_that_is_not_reached_says_how_much_is_missing() {
    let bench = Bench::new();
    bench.ok(&["stock", "add", "lead", "14 lb"]);
    let text = bench.ok(&["stock"]);
    assert!(text.contains("unsold at Mill Yard: below the minimum lot of 20 lb"), "{text}");
    assert!(text.contains("missing for the minimum lot: 6 lb"), "{text}");
    bench.ok(&["stock", "add", "lead", "6 lb"]);
    assert!(bench.ok(&["stock"]).contains("13.00 CAD at Mill Yard"));
}

#[test]
fn mistakes_are_named() {
    let bench = Bench::new();
    for (arguments, wanted) in [
        (vec!["stock", "add", "coper-2", "3 lb"], "there is no grade `coper-2`; did you mean `copper-2`?"),
        (vec!["stock", "add", "copper-2", "-3 lb"], "is no weight"),
        (vec!["stock", "add", "copper-2", "1,234"], "can be read as 1234 or as 1.234"),
        (vec!["stock", "move", "copper-2", "--to", "x"], "nothing in stock goes by `copper-2`"),
    ] {
        let ran = bench.run(&arguments);
        let said = ran.err.replace("\n  ", " ");
        assert!(ran.code != 0 && said.contains(wanted), "{arguments:?}: {said}");
    }
    assert!(bench.lots().is_empty());
}

#[test]
fn the_best_yard_is_found_across_currencies_at_the_rate_that_was_set() {
    let bench = Bench::new();
    bench.write("yards/ridge.rhai", super::RIDGE);
    bench.ok(&["stock", "add", "motor", "10 lb"]);
    let without = bench.ok(&["stock"]);
    assert!(without.contains("no rate is set") && without.contains("USD"), "{without}");
    bench.ok(&["settings", "rates.USD-CAD", "1.40 on 2026-11-18"]);
    let stock = bench.stock();
    let best = &stock["piles"][0]["best"];
    // 10 lb at 0.90 USD, at 1.40.
    assert_eq!((&best["yard"], &best["value"]), (&"ridge".into(), &"12.6".into()), "{best}");
    assert_eq!(
        best["paid_in"],
        serde_json::json!({ "currency": "USD", "value": "9", "rate": "1.4", "rate_of": "2026-11-18" })
    );
    let text = bench.ok(&["stock"]);
    assert!(text.contains("best: 12.60 CAD at ridge: 9.00 USD at the rate 1.4 of 2026-11-18"), "{text}");
}
