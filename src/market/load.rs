//! Which piles go to which yard, on how many trips.
//!
//! Whole numbers only. A [`Problem`] says what lies there, what each yard pays for how much of it, and what a trip
//! costs; [`solve`] finds the plan that brings most, and says how much a better one could bring at most where its
//! effort ran out. Every plan is scored by one exact evaluator, [`score`].
//!
//! The same room serves two sources: the open exchange format ([`format::LoadFile`]: kilograms and cents) and a
//! person's stock (micrograms and minor units, with each line rounded as the yard's scale and ticket round it).
//!
//! The search takes the numbers of trips to each yard one combination at a time, in the order of what they could bring
//! at most. Within one combination piles that share no line of any price list do not touch each other, but for the room
//! on the vehicle; that is priced (Lagrangian relaxation), and what the prices leave open is settled by branch and
//! bound.

mod dive;
pub mod format;
mod problem;
mod score;
mod solve;
mod trips;

pub use problem::{Fault, Line, MAX_YARDS, Outlet, Pile, Problem, Rate, Step};
pub use score::{Plan, Refusal, score};
pub use solve::{Effort, Solved, solve, solve_with_trips};

#[cfg(test)]
mod tests;
