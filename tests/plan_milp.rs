//! Problems too large to try everything, against a mixed-integer formulation solved by a general-purpose library.
#![allow(clippy::unwrap_used, reason = "a test may stop at a value that must be there")]

use crate::plan_instances::milp::Model;
use crate::plan_instances::{FAMILIES, random};
use knockdown::plan::{self, Effort, Problem};

#[test]
fn plans_are_worth_what_the_programme_says() {
    let mut checked = 0;
    for family in FAMILIES {
        for seed in 0..30 {
            let data = random(family, 20 + seed as usize % 5 * 10, 1000 + seed);
            let Ok(problem) = Problem::new(data.clone()) else { continue };
            let solution = plan::best_plan(&problem, &Effort::default()).unwrap();
            let found = solution.plan.value_millicents as f64 / 1000.0;
            let (expected, optimal) = Model::new(&data).by_microlp(None).unwrap();
            assert!(
                optimal && solution.proven && (found - expected).abs() < 0.01,
                "{family:?} {seed}: {found} {expected}"
            );
            checked += 1;
        }
    }
    assert!(checked > 150, "only {checked} problems were checked");
}
