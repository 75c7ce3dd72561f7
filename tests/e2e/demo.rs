//! The demonstration, against a tally worked by hand.
//!
//! The weights are those of `recipes/countertop-oven.session.toml`, the prices those of `scripts/yards/hollow-lane.rhai`. Each
//! line is worked as DESIGN's section on numbers has it: pool what sells under one name, show it on the yard's scale (0.2 lb),
//! multiply, round once to the cent, half away from zero; then cash to the nickel once, on the total.

use crate::bench::Bench;

/// A tenth of an ounce; 16 oz make a pound, so the yard's scale of 0.2 lb steps by 32 of them.
type Tenths = i64;
const STEP: Tenths = 32;

/// Ounces and tenths of one.
const fn oz(ounces: i64, tenths: i64) -> Tenths {
    ounces * 10 + tenths
}

/// Pounds and tenths of one.
const fn lb(pounds: i64, tenths: i64) -> Tenths {
    pounds * 160 + tenths * 16
}

/// Halves away from zero, of what is not below it.
const fn divided(value: i64, by: i64) -> i64 {
    (2 * value + by) / (2 * by)
}

/// The cents that a weight brings at a price in cents for a pound: steps of the scale × 0.2 lb × price.
const fn cents(weight: Tenths, price: i64) -> i64 {
    divided(divided(weight, STEP) * 2 * price, 10)
}

/// Local name, what the yard's scale shows in lb, cents: worked out on paper, in the order of what they bring.
const LINES: [(&str, &str, i64); 9] = [
    // Both windings: 14 oz + 1 lb 1.5 oz = 31.5 oz = 1.96875 lb, 9.84 steps, shown as 10 steps = 2.0 lb; 2.0 × 3.40 = 6.80.
    ("No. 2 copper", "2", 680),
    // What is left of the unit, weighed: 12.4 lb = 62 steps; 12.4 × 0.06 = 0.744, rounded 0.74.
    ("Appliances, whole", "12.4", 74),
    // Control board less relays: 12 oz − 2 × 0.4 oz = 11.2 oz = 0.7 lb = 3.5 steps, a tie, away from zero: 4 = 0.8 lb; × 0.90 = 0.72.
    ("Circuit board, mixed", "0.8", 72),
    // Transformer in its bucket 10.2 lb − 0.9 lb = 9.3 lb = 148.8 oz; less windings 31.5 oz = 117.3 oz = 7.33125 lb = 36.66 steps,
    // shown as 37 = 7.4 lb; 7.4 × 0.08 = 0.592, rounded 0.59.
    ("Light iron", "7.4", 59),
    // Mains cord: 7 oz = 0.4375 lb = 2.19 steps, shown as 0.4 lb; 0.4 × 1.05 = 0.42.
    ("Appliance cord", "0.4", 42),
    // Fan motor: 1 lb 1 oz = 1.0625 lb = 5.31 steps, shown as 1.0 lb; 1.0 × 0.12 = 0.12.
    ("Aluminium-wound motors", "1", 12),
    // Inner wiring: 4.5 oz = 0.28125 lb = 1.41 steps, shown as 0.2 lb; 0.2 × 0.55 = 0.11.
    ("Thin wire and harness", "0.2", 11),
    // Two relays at 0.05 each.
    ("Relay", "0", 10),
    // Turntable motor: 3.5 oz = 0.21875 lb = 1.09 steps, shown as 0.2 lb; 0.2 × 0.28 = 0.056, rounded 0.06.
    ("Electric motors, any size", "0.2", 6),
];

#[test]
fn the_tally_worked_by_hand_holds_together() {
    let windings = oz(14, 0) + oz(17, 5);
    let again = [
        cents(windings, 340),
        cents(lb(12, 4), 6),
        cents(oz(12, 0) - 2 * oz(0, 4), 90),
        cents(lb(10, 2) - lb(0, 9) - windings, 8),
        cents(oz(7, 0), 105),
        cents(oz(17, 0), 12),
        cents(oz(4, 5), 55),
        2 * 5,
        cents(oz(3, 5), 28),
    ];
    assert_eq!(LINES.map(|(_, _, cents)| cents), again);
    // 6.80 + 0.74 + 0.72 + 0.59 + 0.42 + 0.12 + 0.11 + 0.10 + 0.06 = 9.66, in cash 9.65.
    assert_eq!(again.iter().sum::<i64>(), 966);
    // Whole: 28.6 lb × 0.06 = 1.716, rounded 1.72, in cash 1.70.
    assert_eq!((cents(lb(28, 6), 6), 5 * divided(172, 5)), (172, 170));
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
    assert_eq!(money(&tally["paid"]), 965);
    // One worn cutting disc at 0.80: 9.65 − 0.80 = 8.85.
    assert_eq!(money(&tally["net"]), 885);
    // 8.85 − 1.70 = 7.15.
    assert_eq!(money(&tally["whole"]["value"]), 170);
    assert_eq!(money(&tally["gain"]), 715);
    // 1+2+1+6+5+2+5+6+3+3+4+3+14+2 = 57 min; 7.15 × 60 ÷ 57 = 7.5263…, rounded 7.53.
    assert_eq!(tally["minutes"], "57");
    assert_eq!(money(&tally["gain_per_hour"]), 753);
    // What came out of the unit itself: 33 + 7 + 6.5 + 28 + 148.8 + 17 + 3.5 + 12 + 4.5 + 198.4 = 458.7 oz, 1.1 oz more than the
    // 457.6 oz of 28.6 lb; an ounce is 28.349523125 g exactly, so the gap is −1.1 × 28.349523125 g.
    assert_eq!(tally["balance"]["gap"]["grams"], "-31.1844754375");
    assert_eq!(tally["balance"]["verdict"], "closes");
    let unsold: Vec<_> =
        tally["unsold"].as_array().unwrap().iter().map(|item| item["part"].as_str().unwrap()).collect();
    assert_eq!(unsold, ["glass plate", "high-voltage capacitor", "magnetron"]);
}

#[test]
fn every_form_says_the_same() {
    let bench = Bench::new();
    bench.run(&["demo"]).exits(0).quietly().shows(&["Nothing is written.", "8.85", "+7.15", "+7.53"]);
    bench
        .run(&["demo", "--format", "csv"])
        .exits(0)
        .quietly()
        .shows(&["\nnet,,,,,,,,,,,8.85,CAD,\n", "\ngain,,,,,,,,,,,7.15,CAD,\n"]);
    let markdown = bench.run(&["demo", "--format", "markdown"]).exits(0).quietly();
    markdown.shows(&["| **Net** |  |  | **8.85** |", "| **+7.15** |", "| **+7.53** |"]);
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
        for yard in ["hollow-lane", "thistle-fork", "ellerwinkel"] {
            bench.run(&["demo", recipe, "--yard", yard, "--format", "json"]).exits(0).quietly();
        }
    }
}

#[test]
fn the_same_session_at_another_yard_and_day() {
    let bench = Bench::stocked();
    bench.run(&["demo", "--yard", "comma-yard", "--date", "2026-12-24"]).exits(0).quietly().shows(&[
        "Countertop microwave oven at Komma Hof",
        "Valued on 2026-12-24, with prices of 2026-11-01.",
        // Cord 7 oz + wiring 4.5 oz = 11.5 oz = 326 g, on a scale of 100 g 0.3 kg; 0.3 × 1.20 = 0.36.
        "Kabel",
        "0,3 kg  1,20/kg   0,36",
        // What is left of the transformer: 117.3 oz = 3.3254 kg, shown as 3.3 kg; 0.33.
        "Remainder: Blech",
        "0,33",
        // 12.4 lb = 5.6245 kg, shown as 5.6 kg; 5.6 × 0.05 = 0.28.
        "Remainder: Altgeräte",
        "0,28",
        "Net",
        "0,97",
    ]);
}
