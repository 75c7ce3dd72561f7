//! A value with its standard deviation, and an interval.

use super::error::{StatsError, in_range};

/// A value known up to a standard deviation: a scale reading, or an expectation from a recipe or past sessions.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Uncertain {
    value: f64,
    sd: f64,
}

impl Uncertain {
    /// A value and its standard deviation, in the same unit.
    ///
    /// # Errors
    /// If the value is not finite, or the sd is not finite and above zero: a weighing without any uncertainty does not
    /// exist, and would make every small gap a contradiction.
    pub fn new(value: f64, sd: f64) -> Result<Self, StatsError> {
        Ok(Self {
            value: in_range("a value", value, "a finite number", |_| true)?,
            sd: in_range("a standard deviation", sd, "above zero", |s| s > 0.0)?,
        })
    }

    /// A reading of a scale that shows steps of `division`: the true weight is spread evenly over one division, so the
    /// sd is d/√12 (a rectangular distribution of width d; JCGM 100:2008 "GUM", 4.3.7).
    ///
    /// # Errors
    /// If the reading is not finite or the division not above zero.
    pub fn reading(shown: f64, division: f64) -> Result<Self, StatsError> {
        Self::new(shown, division / 12.0_f64.sqrt())
    }

    /// The value.
    #[must_use]
    pub fn value(&self) -> f64 {
        self.value
    }

    /// Its standard deviation.
    #[must_use]
    pub fn sd(&self) -> f64 {
        self.sd
    }

    /// Its variance.
    #[must_use]
    pub fn variance(&self) -> f64 {
        self.sd * self.sd
    }
}

/// A closed interval.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Interval {
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

impl Interval {
    /// Whether it contains `value`, ends included.
    #[must_use]
    pub fn contains(&self, value: f64) -> bool {
        self.low <= value && value <= self.high
    }

    /// The interval of `half_width` on each side of `centre`.
    pub(crate) fn around(centre: f64, half_width: f64) -> Self {
        Self { low: centre - half_width, high: centre + half_width }
    }
}
