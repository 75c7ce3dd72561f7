//! How far to take a unit apart.
//!
//! Whole numbers only: a [`Problem`] says which steps exist, what they need, free and cost, and what the grades pay; the
//! answer is a [`Plan`]. What is AND-only falls to one minimum cut; the rest to branch and bound over closure bounds.
//! Every plan is scored by the same exact evaluator.

mod bound;
mod evaluate;
mod fixing;
mod flow;
mod frontier;
mod general;
mod index;
mod ladder;
mod objective;
mod order;
mod problem;
mod regrade;
mod relax;
mod solve;
pub mod spread;
mod structure;
mod validate;

pub use evaluate::{NotExecutable, Plan, evaluate, evaluate_in_order};
pub use frontier::{FrontierPoint, frontier};
pub use general::Effort;
pub use index::{Bundle, best_bundle};
pub use ladder::{Rate, Rung, ladder};
pub use order::{Schedule, anytime_order};
pub use problem::{Freed, Item, MILLICENTS_PER_CENT, Problem, ProblemData, Rule, Step};
pub use solve::{NoPlan, Settled, Solution, best_continuation, best_plan, is_closure};
pub use validate::Fault;
