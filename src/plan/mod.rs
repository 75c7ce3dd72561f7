//! How far to dismantle a unit.
//!
//! Integers only: a [`Problem`] says which steps exist, what they need, free and cost, and what the grades pay; the
//! answer is a [`Plan`]. AND-only problems are solved by one minimum cut; the rest by branch and bound over closure
//! bounds. Every plan is scored by the same exact evaluator.
//!
//! Why not a general-purpose mixed-integer library: this search knows the structure and proves its answer in integers,
//! including ties in minutes and steps, whereas such a library works in floats within a tolerance. Measured by `cargo
//! bench --bench plan -- --microlp` on 25 problems of 150 steps (time at work, on a busy two-core machine, 2026-11-28):
//! both prove all 25, with the same values; this search is faster on each, 1.02 to 54 times, and stays below 60 ms,
//! where the library takes 107 to 202 ms for those with everything in them. The library checks the search's answers in
//! `tests/plan_milp.rs`. Beyond its effort ([`Effort`]) the search ends with a plan, a bound and the gap.
//!
//! | question | answer |
//! |---|---|
//! | how far is best, from the start or from here | [`best_plan`], [`best_continuation`] |
//! | where to stop for each value of an hour | [`ladder`] |
//! | the best value for each amount of time | [`frontier`] |
//! | what to do next | [`best_bundle`] |
//! | in which order, if one may be interrupted | [`anytime_order`] |
//! | how sure is the outcome | [`spread::weighted_sum`] |
//!
//! ```
//! use knockdown::plan::{Effort, Problem, best_plan};
//!
//! let problem: Problem = serde_json::from_str(r#"{
//!     "grades": {"whole": 20, "copper": 600},
//!     "items": [{"id": 0, "host": null, "mass_g": 9000, "grade": "whole"}, {"id": 1, "host": 0, "mass_g": 1000}],
//!     "steps": [
//!         {"id": 0, "host": 0, "minutes": 3},
//!         {"id": 1, "host": 0, "minutes": 5, "requires": [[0]], "frees": [{"item": 1, "grade": "copper"}]}
//!     ],
//!     "value_of_time_cents_per_hour": 600
//! }"#)?;
//! let best = best_plan(&problem, &Effort::default())?;
//! // 8 kg at 20 and 1 kg at 600 cents, less 8 minutes at 10 cents.
//! assert_eq!((best.plan.steps, best.plan.value_millicents), (vec![0, 1], 680_000));
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod bound;
mod data;
mod evaluate;
mod fixing;
mod flow;
mod frontier;
mod general;
mod index;
mod ladder;
mod net;
mod objective;
mod order;
mod problem;
mod regrade;
mod relax;
mod solve;
pub mod spread;
mod structure;
mod validate;
mod waiting;

pub use data::{FreedItem, Item, MILLICENTS_PER_CENT, PlanStep, ProblemData, Rule};
pub use evaluate::{Plan, evaluate, evaluate_in_order};
pub use frontier::{FrontierPoint, frontier};
pub use general::Effort;
pub use index::{StepBundle, best_bundle};
pub use ladder::ladder;
pub use order::{Schedule, anytime_order};
pub use problem::Problem;
pub use solve::{NoPlan, Settled, Solution, best_continuation, best_plan};
