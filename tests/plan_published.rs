//! A published closure problem.
#![allow(clippy::unwrap_used, reason = "a test may stop at a value that must be there")]

use knockdown::plan::{self, Effort, Problem, ProblemData, Settled};

/// Opencast mining, from H. P. Williams, *Model Building in Mathematical Programming* (problem 12.14 in the fifth
/// edition): 30 blocks in four levels, each resting under the four blocks above it; a block of 100 % metal is worth
/// £200,000; digging a block costs £3,000, £6,000, £8,000 or £10,000 by level. The published best profit is £17,500.
///
/// Status: data and optimum *from memory*, not read from the book; that the data gives exactly the published optimum
/// speaks for both.
const LEVELS: [(i64, &[&[i64]]); 4] = [
    // Cost in pounds; metal in hundredths of a per cent.
    (3000, &[&[150, 150, 150, 75], &[150, 200, 150, 75], &[100, 100, 75, 50], &[75, 75, 50, 25]]),
    (6000, &[&[400, 400, 200], &[300, 300, 100], &[200, 200, 50]]),
    (8000, &[&[1200, 600], &[500, 400]]),
    (10000, &[&[600]]),
];
const POUNDS_PER_HUNDREDTH_OF_A_PER_CENT: i64 = 20;
const BEST_PROFIT_POUNDS: i64 = 17_500;

/// The mine as a unit that is worth nothing whole; a block of ore weighs a kilogram for each pound that it brings.
fn mine() -> ProblemData {
    let mut text = Vec::new();
    let (mut items, mut steps) = (Vec::new(), Vec::new());
    let mut above = 0;
    for (level, (cost, rows)) in LEVELS.iter().enumerate() {
        let first = steps.len();
        for (y, row) in rows.iter().enumerate() {
            for (x, metal) in row.iter().enumerate() {
                let width = row.len() + 1;
                let corners = [0, 1, width, width + 1].map(|c| above + y * width + x + c);
                let requires: Vec<Vec<usize>> =
                    if level == 0 { Vec::new() } else { corners.iter().map(|&c| vec![c]).collect() };
                let id = steps.len();
                items.push(metal * POUNDS_PER_HUNDREDTH_OF_A_PER_CENT * 1000);
                steps.push(serde_json::json!({
                    "id": id, "host": 0, "minutes": 1, "cost_cents": cost * 100, "requires": requires,
                    "frees": [{"item": id + 1, "grade": "ore"}]
                }));
            }
        }
        above = first;
    }
    text.push(serde_json::json!({"id": 0, "host": null, "mass_g": items.iter().sum::<i64>(), "grade": "rock"}));
    text.extend(items.iter().enumerate().map(|(n, mass)| serde_json::json!({"id": n + 1, "host": 0, "mass_g": mass})));
    serde_json::from_value(serde_json::json!({"grades": {"ore": 100, "rock": 0}, "items": text, "steps": steps}))
        .unwrap()
}

#[test]
fn opencast_mining() {
    let problem = Problem::new(mine()).unwrap();
    assert_eq!(problem.steps().len(), 30);
    assert!(plan::is_closure(&problem));
    let solution = plan::best_plan(&problem, &Effort::default()).unwrap();
    assert_eq!(solution.plan.value_millicents, BEST_PROFIT_POUNDS * 100 * 1000);
    assert_eq!(solution.nodes, 0);
    let frontier = plan::frontier(&problem, &Settled::default(), &Effort::default()).unwrap();
    assert_eq!(frontier.last().map(|p| p.solution.plan.clone()), Some(solution.plan));
}
