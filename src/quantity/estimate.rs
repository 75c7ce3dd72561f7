//! A three-point estimate: low, usual, high.

use std::fmt;

use thiserror::Error;

/// An author's expectation of a mass or a time: lowest, usual and highest value, in that order.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Estimate<T> {
    low: T,
    usual: T,
    high: T,
}

/// The three values were not in ascending order.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("low {low}, usual {usual} and high {high} must ascend")]
pub struct EstimateError {
    /// The low value, as text.
    pub low: String,
    /// The usual value, as text.
    pub usual: String,
    /// The high value, as text.
    pub high: String,
}

impl<T: Copy + Ord + fmt::Display> Estimate<T> {
    /// An estimate from its three values.
    ///
    /// # Errors
    /// `EstimateError` unless low ≤ usual ≤ high.
    pub fn new(low: T, usual: T, high: T) -> Result<Self, EstimateError> {
        if low <= usual && usual <= high {
            Ok(Estimate { low, usual, high })
        } else {
            Err(EstimateError { low: low.to_string(), usual: usual.to_string(), high: high.to_string() })
        }
    }

    /// One value without a range.
    pub fn exactly(value: T) -> Self {
        Estimate { low: value, usual: value, high: value }
    }

    /// The lowest expected value.
    pub fn low(&self) -> T {
        self.low
    }

    /// The usual value.
    pub fn usual(&self) -> T {
        self.usual
    }

    /// The highest expected value.
    pub fn high(&self) -> T {
        self.high
    }

    /// Whether `value` lies between low and high.
    pub fn covers(&self, value: T) -> bool {
        self.low <= value && value <= self.high
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_estimate_ascends() {
        let estimate = Estimate::new(3, 5, 10).unwrap();
        assert_eq!((estimate.low(), estimate.usual(), estimate.high()), (3, 5, 10));
        assert!(estimate.covers(3) && estimate.covers(10) && !estimate.covers(2) && !estimate.covers(11));
        assert_eq!(Estimate::exactly(4), Estimate::new(4, 4, 4).unwrap());
        assert_eq!(Estimate::new(5, 3, 10).unwrap_err().to_string(), "low 5, usual 3 and high 10 must ascend");
        assert!(Estimate::new(3, 11, 10).is_err());
    }
}
