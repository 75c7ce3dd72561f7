//! Reading quantities back from their text.

use thiserror::Error;

use super::limits::QuantityError;
use super::mass_unit::UnitError;
use super::notation::NumberError;

/// Why a text was not accepted as a mass, an amount, a price or a time.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum ReadError {
    /// Its number is invalid.
    #[error("{0}")]
    Number(#[from] NumberError),
    /// Its unit is invalid.
    #[error("{0}")]
    Unit(#[from] UnitError),
    /// The value is outside its limits.
    #[error("{0}")]
    Quantity(#[from] QuantityError),
    /// A required part is missing.
    #[error("`{seen}` has no {missing}; write for example {example}")]
    Missing {
        /// What was written.
        seen: String,
        /// What is missing.
        missing: &'static str,
        /// An acceptable text.
        example: &'static str,
    },
    /// A currency that does not exist, or that nobody pays with.
    #[error("`{0}` is not the code of a currency in use; write for example AUD")]
    UnknownCurrency(String),
    /// Another currency than the one that applies here.
    #[error("`{seen}` is not {wanted}, which applies here; leave it out or write {wanted}")]
    OtherCurrency {
        /// What was written.
        seen: String,
        /// The currency that applies.
        wanted: &'static str,
    },
    /// A time such as `1:30`.
    #[error("`{text}` can be read as {hours} or as {minutes}; write the one you mean")]
    AmbiguousTime {
        /// What was written.
        text: String,
        /// Read as hours and minutes.
        hours: String,
        /// Read as minutes and seconds.
        minutes: String,
    },
    /// Something in a time that is neither number nor unit, or that is out of order.
    #[error("`{seen}` does not belong in a time{}; write for example 12 min, 1 h 30 min or 90 s", because(.why))]
    NotATime {
        /// The offending part.
        seen: String,
        /// Why, if more can be said.
        why: Option<&'static str>,
    },
}

fn because(why: &Option<&'static str>) -> String {
    why.map_or_else(String::new, |why| format!(": {why}"))
}
