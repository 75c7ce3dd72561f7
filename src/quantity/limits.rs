//! The limits of every quantity, and the error for exceeding one.

use rust_decimal::Decimal;
use thiserror::Error;

/// The largest mass that Knockdown handles: one million tonnes, in grams. Far above any bench, far below the point
/// where a 28-digit decimal would drop digits.
pub(super) const MAX_GRAMS: i64 = 1_000_000_000_000;

/// The largest amount of money, in major units of its currency.
pub(super) const MAX_AMOUNT: i64 = 1_000_000_000_000;

/// Why arithmetic on quantities was refused. Nothing is ever clamped or wrapped.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum QuantityError {
    /// The result is outside the range of its kind of quantity.
    #[error("{what} of {value} is too large: the limit is {limit}")]
    TooLarge {
        /// Which kind of quantity, in words.
        what: &'static str,
        /// The value as far as it could be computed, with its unit.
        value: String,
        /// The limit, with its unit.
        limit: String,
    },
    /// A negative value of a quantity that cannot be negative.
    #[error("{what} of {value} is below zero")]
    Negative {
        /// Which kind of quantity, in words.
        what: &'static str,
        /// The value, with its unit.
        value: String,
    },
    /// The exact result needs more digits than a decimal holds.
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

/// `value` if its magnitude is within `max` of `unit`, named `in_words`; otherwise the error that says so.
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
