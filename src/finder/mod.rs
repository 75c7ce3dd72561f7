//! The grade finder: from observations to what it may be, and which test is most informative next.
//!
//! Observations are assumed independent given what the thing is (naive Bayes). Probabilities come from a table of the
//! catalogue, most of them estimates, each marked so; the result is a help for looking, not a grading. The yard grades.

mod belief;
mod density;
mod gain;
mod table;

pub use belief::{Ranked, SeenSigns};
pub use density::Measured;
pub use gain::Next;
pub use table::{Finder, GradeCandidate, Test};
