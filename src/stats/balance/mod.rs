//! Do the parts add up to the unit's intake weight?
//!
//! [`gap()`] is the plain view: it can say *it does not close*, but not *which entry is wrong*. [`weigh_up`] adds the
//! expectations of the recipe (or past sessions) as pseudo-measurements, and can name a suspect.

mod gap;
#[cfg(test)]
mod linear;
mod weighted;

pub use gap::{Gap, GapVerdict, gap, gap_so_far};
pub use weighted::{Suspect, WeightedFraction, weigh_up};
