//! Invalid input to this room.

use thiserror::Error;

/// A request without a statistical answer, with the offending value and what to do about it.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum StatsError {
    /// The sample is smaller than the method allows.
    #[error("{method} needs at least {needed} values, but there are {seen}; record more sessions first")]
    TooFew {
        /// The requested method.
        method: &'static str,
        /// The smallest sample it accepts.
        needed: usize,
        /// The size of the sample given.
        seen: usize,
    },
    /// A value is infinite or not a number.
    #[error("value {} of {what} is {value}, which is not a finite number; leave it out or correct it", .index + 1)]
    NotFinite {
        /// What the values mean.
        what: &'static str,
        /// Index of the value, from 0.
        index: usize,
        /// The value seen.
        value: f64,
    },
    /// A quantity lies outside its meaningful range.
    #[error("{what} is {value}, but must be {must_be}")]
    OutOfRange {
        /// The quantity.
        what: &'static str,
        /// The value seen.
        value: f64,
        /// The range that it must lie in, in words.
        must_be: &'static str,
    },
    /// A three-point estimate is not in order.
    #[error("low {low}, usual {usual}, high {high} are out of order; they must rise from low to high")]
    Disordered {
        /// The low end as given.
        low: f64,
        /// The usual value as given.
        usual: f64,
        /// The high end as given.
        high: f64,
    },
}

/// Passes `values` if each is finite.
pub(crate) fn all_finite(what: &'static str, values: &[f64]) -> Result<(), StatsError> {
    match values.iter().position(|v| !v.is_finite()) {
        Some(index) => Err(StatsError::NotFinite { what, index, value: values[index] }),
        None => Ok(()),
    }
}

/// Passes `value` if it is finite and `holds`.
pub(crate) fn in_range(
    what: &'static str,
    value: f64,
    must_be: &'static str,
    holds: impl FnOnce(f64) -> bool,
) -> Result<f64, StatsError> {
    if value.is_finite() && holds(value) { Ok(value) } else { Err(StatsError::OutOfRange { what, value, must_be }) }
}

/// Passes if there are at least `needed` values.
pub(crate) fn at_least(method: &'static str, needed: usize, seen: usize) -> Result<(), StatsError> {
    if seen < needed { Err(StatsError::TooFew { method, needed, seen }) } else { Ok(()) }
}
