//! Problems too large to try everything, against a mixed-integer formulation solved by a general-purpose library.
#![allow(clippy::unwrap_used, reason = "a test may stop at a value that must be there")]

mod plan_instances;

use knockdown::plan::{self, Effort, Problem};
use microlp::{ComparisonOp, OptimizationDirection, Problem as Programme, SolveOutcome, Variable};
use plan_instances::milp::Model;
use plan_instances::{FAMILIES, random};

/// The optimum in cents.
fn optimum(model: &Model) -> f64 {
    let mut programme = Programme::new(OptimizationDirection::Maximize);
    let variables: Vec<Variable> = (0..model.weights.len())
        .map(|v| {
            if model.integer[v] {
                programme.add_binary_var(model.weights[v])
            } else {
                programme.add_var(model.weights[v], (0.0, model.upper[v]))
            }
        })
        .collect();
    for row in &model.rows {
        let terms: Vec<(Variable, f64)> = row.terms.iter().map(|&(v, c)| (variables[v], c)).collect();
        let op = if row.equal { ComparisonOp::Eq } else { ComparisonOp::Le };
        programme.add_constraint(terms.as_slice(), op, row.right);
    }
    match programme.solve().unwrap() {
        SolveOutcome::Solution(solution) => solution.objective() + model.constant,
        SolveOutcome::Interrupted(_) => panic!("no limit was set, yet the search was interrupted"),
    }
}

#[test]
fn plans_are_worth_what_the_programme_says() {
    let mut checked = 0;
    for family in FAMILIES {
        for seed in 0..30 {
            let data = random(family, 20 + seed as usize % 5 * 10, 1000 + seed);
            let Ok(problem) = Problem::new(data.clone()) else { continue };
            let solution = plan::best_plan(&problem, &Effort::default()).unwrap();
            let found = solution.plan.value_millicents as f64 / 1000.0;
            let expected = optimum(&Model::new(&data));
            assert!(solution.proven && (found - expected).abs() < 0.01, "{family:?} {seed}: {found} {expected}");
            checked += 1;
        }
    }
    assert!(checked > 150, "only {checked} problems were checked");
}
