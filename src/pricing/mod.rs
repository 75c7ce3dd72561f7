//! What goods are worth at a yard on a day (price modules, quotes, indices), and what a trip costs.

mod quotes;
mod terms;
mod valuation;

pub(crate) use quotes::record;
pub use quotes::{add_index_value, add_quote, add_quotes, quotes};
pub use terms::TripTerms;
pub(crate) use terms::{nanograms, unit_nanograms};
pub use valuation::Valuation;
