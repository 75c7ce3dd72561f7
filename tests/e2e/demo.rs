//! The demonstration, against a tally worked by hand.
//!
//! The weights are those of `recipes/countertop-oven.session.toml`, the prices those of `scripts/yards/bluegum-siding.rhai`.
//! Each line is worked out so: pool what sells under one name, show it on the yard's scale (20 g), multiply, round once to the
//! cent, half away from zero; then cash to five cents once, on the total.

use crate::bench::Bench;

/// The step of the yard's scale, in grams.
const STEP: i64 = 20;

/// Halves away from zero, of what is not below it.
const fn divided(value: i64, by: i64) -> i64 {
    (2 * value + by) / (2 * by)
}

/// The cents that grams bring at a price in cents for a kilogram: steps of the scale × 20 g × price.
const fn cents(grams: i64, price: i64) -> i64 {
    divided(divided(grams, STEP) * STEP * price, 1000)
}

/// Local name, what the yard's scale shows in kg, cents: worked out on paper, in the order of what they bring.
const LINES: [(&str, &str, i64); 9] = [
    // Both windings: 410 g + 505 g = 915 g, 45.75 steps, shown as 46 steps = 0.92 kg; 0.92 × 9.70 = 8.924, rounded 8.92.
    ("No. 2 copper", "0.92", 892),
    // What is left of the unit, weighed: 5.7 kg = 285 steps; 5.7 × 0.10 = 0.57.
    ("Whitegoods, degassed", "5.7", 57),
    // Mains cord: 190 g = 9.5 steps, a tie, away from zero: 10 = 0.2 kg; 0.2 × 2.60 = 0.52.
    ("Appliance leads", "0.2", 52),
    // Transformer in its bucket 4.65 kg − 0.4 kg = 4250 g; less windings 915 g = 3335 g = 166.75 steps, shown as 167 = 3.34 kg;
    // 3.34 × 0.14 = 0.4676, rounded 0.47.
    ("Light gauge steel", "3.34", 47),
    // Inner wiring: 130 g = 6.5 steps, a tie, away from zero: 7 = 0.14 kg; 0.14 × 1.70 = 0.238, rounded 0.24.
    ("Household wire, mixed", "0.14", 24),
    // Two relays at 0.10 each; together 22 g = 1.1 steps.
    ("Relays", "0.02", 20),
    // Fan motor: 470 g = 23.5 steps, a tie, away from zero: 24 = 0.48 kg; 0.48 × 0.35 = 0.168, rounded 0.17.
    ("Motors, aluminium wound", "0.48", 17),
    // Control board less relays: 330 g − 22 g = 308 g = 15.4 steps, shown as 15 = 0.3 kg; 0.3 × 0.50 = 0.15.
    ("Low-grade boards", "0.3", 15),
    // Turntable motor: 105 g = 5.25 steps, shown as 5 = 0.1 kg; 0.1 × 0.70 = 0.07.
    ("Electric motors", "0.1", 7),
];

#[test]
fn the_tally_worked_by_hand_holds_together() {
    let windings = 410 + 505;
    let again = [
        cents(windings, 970),
        cents(5700, 10),
        cents(190, 260),
        cents(4650 - 400 - windings, 14),
        cents(130, 170),
        2 * 10,
        cents(470, 35),
        cents(330 - 2 * 11, 50),
        cents(105, 70),
    ];
    assert_eq!(LINES.map(|(_, _, cents)| cents), again);
    // 8.92 + 0.57 + 0.52 + 0.47 + 0.24 + 0.20 + 0.17 + 0.15 + 0.07 = 11.31, in cash 11.30.
    assert_eq!(again.iter().sum::<i64>(), 1131);
    // Whole: 13.1 kg × 0.10 = 1.31, in cash 1.30.
    assert_eq!((cents(13100, 10), 5 * divided(131, 5)), (131, 130));
}

#[test]
fn the_demonstration_is_worth_what_was_worked_by_hand() {
    let bench = Bench::new();
    let ended = bench.run(&["demo", "--format", "json"]).exits(0).quietly();
    let tally: serde_json::Value = serde_json::from_str(&ended.out).unwrap();
    let money = |value: &serde_json::Value| {
        let (whole, cents) = value.as_str().unwrap().split_once('.').unwrap();
        let sign = if whole.starts_with('-') { -1 } else { 1 };
        whole.parse::<i64>().unwrap() * 100 + sign * cents.parse::<i64>().unwrap()
    };
    let lines: Vec<(&str, &str, i64)> = tally["lines"]
        .as_array()
        .unwrap()
        .iter()
        .map(|line| (line["name"].as_str().unwrap(), line["net"]["weight"].as_str().unwrap(), money(&line["amount"])))
        .collect();
    assert_eq!(lines, LINES);
    assert_eq!(money(&tally["rounding"]), -1);
    assert_eq!(money(&tally["paid"]), 1130);
    // One worn cutting disc at 0.90: 11.30 − 0.90 = 10.40.
    assert_eq!(money(&tally["net"]), 1040);
    // 10.40 − 1.30 = 9.10.
    assert_eq!(money(&tally["whole"]["value"]), 130);
    assert_eq!(money(&tally["gain"]), 910);
    // 1+2+1+6+5+2+5+6+3+3+4+3+14+2 = 57 min; 9.10 × 60 ÷ 57 = 9.5789…, rounded 9.58.
    assert_eq!(tally["minutes"], "57");
    assert_eq!(money(&tally["gain_per_hour"]), 958);
    // What came out of the unit itself: 940 + 190 + 180 + 820 + 4250 + 470 + 105 + 330 + 130 + 5700 = 13115 g, 15 g more than the
    // 13.1 kg of the whole.
    assert_eq!(tally["balance"]["gap"]["grams"], "-15");
    assert_eq!(tally["balance"]["verdict"], "closes");
    let unsold: Vec<_> =
        tally["unsold"].as_array().unwrap().iter().map(|item| item["part"].as_str().unwrap()).collect();
    assert_eq!(unsold, ["glass plate", "high-voltage capacitor", "magnetron"]);
}

#[test]
fn every_form_says_the_same() {
    let bench = Bench::new();
    bench.run(&["demo"]).exits(0).quietly().shows(&["Nothing is written.", "10.40", "+9.10", "+9.58"]);
    bench
        .run(&["demo", "--format", "csv"])
        .exits(0)
        .quietly()
        .shows(&["\nnet,,,,,,,,,,,10.40,AUD,\n", "\ngain,,,,,,,,,,,9.10,AUD,\n"]);
    let markdown = bench.run(&["demo", "--format", "markdown"]).exits(0).quietly();
    markdown.shows(&["| **Net** |  |  | **10.40** |", "| **+9.10** |", "| **+9.58** |"]);
    assert!(!bench.has("home"), "a demonstration writes nothing");
}

#[test]
fn every_shipped_recipe_has_a_session_that_plays_to_its_end() {
    let bench = Bench::new();
    let json = bench.run(&["recipes", "--format", "json"]).exits(0).quietly().out;
    let listed: serde_json::Value = serde_json::from_str(&json).unwrap();
    let recipes = listed["recipes"].as_array().unwrap();
    assert!(recipes.len() >= 4);
    for recipe in recipes.iter().map(|recipe| recipe["id"].as_str().unwrap()) {
        bench.run(&["demo", recipe]).exits(0).quietly().shows(&["\nNet ", "\nWeights\n"]);
        for yard in ["hollow-lane", "thistle-fork", "bluegum-siding"] {
            bench.run(&["demo", recipe, "--yard", yard, "--format", "json"]).exits(0).quietly();
        }
    }
}

#[test]
fn the_same_session_at_another_yard_and_day() {
    let bench = Bench::stocked();
    bench.run(&["demo", "--yard", "comma-yard", "--date", "2026-12-24"]).exits(0).quietly().shows(&[
        "Countertop microwave oven at Komma Hof",
        "Estimated on 2026-12-24, with prices of 2026-11-01.",
        // Cord 190 g + wiring 130 g = 320 g, on a scale of 100 g 0.3 kg; 0.3 × 1.20 = 0.36.
        "Kabel",
        "0,3 kg  1,20/kg   0,36",
        // What is left of the transformer: 3.335 kg, shown as 3.3 kg; 0.33.
        "Remainder: Blech",
        "0,33",
        // 5.7 × 0.05 = 0.285, rounded 0.29.
        "Remainder: Altgeräte",
        "0,29",
        "Net",
        "0,98",
    ]);
}
