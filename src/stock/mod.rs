//! Stock: what was freed or found and is not yet sold, as a fold over what was done with it.
//!
//! The room is pure. What sessions freed comes in from their journals and is never copied; a log of [`StockEntry`]s
//! records what became of it since. So no gram is booked twice, and undoing an entry restores exactly what was there
//! before.

mod entry;
mod ledger;
mod lot;
mod pile;

pub use entry::{ActKind, Rest, StockEntry};
pub use ledger::{Ledger, Stray};
pub use lot::Lot;
pub use pile::{Pile, Pooling, piles};

#[cfg(test)]
mod tests;
