//! What can be said of a script without a person at the bench: faults in what it declares, and proofs over every way
//! through it.
//!
//! The room is pure. [`declared`] looks at a recipe as it stands; [`paths`] supposes answers and looks at what a recipe does
//! with them; [`guards`] tells what a recipe in the place of another would no longer guard; [`yard`] looks at a yard and at its rule for mixed lots. It stands beside the bench rather than in it or in
//! `recipe`: it needs recipes, answers, grades and yards alike, and nobody at the bench needs it. All of them give
//! [`Finding`]s.

mod annex;
pub mod declared;
mod finding;
pub mod guards;
mod order;
pub mod paths;
pub mod yard;

pub use annex::item as annex_item;
pub use finding::{Finding, Severity, Supposed};
