//! Which piles go to which yard, and on how many trips?
//!
//! Integers only. A [`LoadProblem`] says what is in stock, what each yard pays for how much of it, and what a trip
//! costs; [`solve`] finds the most valuable plan, and bounds how much better another could be if its effort ran out.
//! Every plan is scored by one exact evaluator, [`score`].
//!
//! The room serves two sources: the open exchange format ([`format::LoadFile`]: kilograms and cents) and a user's stock
//! (nanograms and minor units, with each line rounded as on the yard's scale and ticket).
//!
//! The search goes through the combinations of trips to the yards in order of their upper bounds. Within one
//! combination, piles that share no line of any price list are independent, except for the room on the vehicle; that is
//! priced (Lagrangian relaxation), and branch and bound settles what the prices leave open.

mod dive;
pub mod format;
mod problem;
mod score;
mod solve;
mod trips;

pub use problem::{LoadLine, LoadPile, LoadProblem, Outlet, PriceStep, Rate};
pub use score::{LoadAssignment, score};
pub use solve::{LoadEffort, Solved, solve, solve_with_trips};

#[cfg(test)]
mod tests;
