//! The bounds that every quantity keeps, and the error for stepping over one.

use rust_decimal::Decimal;
use thiserror::Error;

/// The largest mass that Knockdown handles: one million tonnes, in grams. Far above any bench, far below the point
/// where a 28-digit decimal would start to drop digits.
pub(super) const MAX_GRAMS: i64 = 1_000_000_000_000;

/// The largest amount of money, in major units of its currency.
pub(super) const MAX_AMOUNT: i64 = 1_000_000_000_000;

/// Why an arithmetic step on quantities was refused. Nothing is ever clamped or wrapped.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum QuantityError {
    /// The result lies outside the range that the kind of quantity allows.
    #[error("{what} of {value} is too large: the limit is {limit}")]
    TooLarge {
        /// Which kind of quantity, in words.
        what: &'static str,
        /// The value as far as it could be computed, with its unit.
        value: String,
        /// The limit, with its unit.
        limit: String,
    },
    /// A value below zero where there is no such thing.
    #[error("{what} of {value} is below zero")]
    Negative {
        /// Which kind of quantity, in words.
        what: &'static str,
        /// The value, with its unit.
        value: String,
    },
    /// The exact result needs more digits than a decimal carries.
    #[error("{what}: the exact result has more digits than can be kept (28)")]
    TooFine {
        /// Which kind of quantity, in words.
        what: &'static str,
    },
    /// Two different currencies met in one sum.
    #[error("{left} and {right} cannot be added: they are different currencies")]
    CurrencyMix {
        /// The currency of the left operand.
        left: String,
        /// The currency of the right operand.
        right: String,
    },
}

/// `value` when its magnitude is within `max` of `unit`, which is `in_words`, else the error that names it.
pub(super) fn within(
    what: &'static str,
    value: Decimal,
    max: i64,
    unit: &str,
    in_words: &str,
) -> Result<Decimal, QuantityError> {
    let value = value.normalize();
    if value.abs() <= Decimal::from(max) {
        return Ok(value);
    }
    let words = if in_words.is_empty() { String::new() } else { format!(", {in_words}") };
    Err(QuantityError::TooLarge { what, value: format!("{value} {unit}"), limit: format!("{max} {unit}{words}") })
}
