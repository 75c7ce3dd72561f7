//! The market: grades, yards and their prices, dated quotes, and the tally of one unit's worth.
//!
//! The room is pure. A yard is built through [`YardDraft`], by a script or a test alike; [`Book`] gives a grade's price
//! at that yard on one day; [`Tally::of`] values a whole [`Haul`].

pub mod book;
pub mod effects;
pub mod grade;
pub mod haul;
pub mod load;
pub mod mixed;
pub mod quote;
pub mod tally;
pub mod ticket;
pub mod tolerance;
pub mod yard;

pub use book::{Book, PriceSource, Priced, Unsold};
pub use effects::Effects;
pub use grade::{Grade, GradeError, GradeTree};
pub use haul::Haul;
pub use mixed::{LowestGrade, MixVerdict, MixedLot, MixedPart, MixedRule};
pub use quote::{INDEX, Quote, index_value};
pub use tally::Tally;
pub use yard::{Offer, OfferId, Yard, YardDraft, YardError, YardProblem};
