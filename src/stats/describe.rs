//! Summary statistics of a sample, accurate to the last digits a double can hold.

use super::distribution::t_reach;
use super::error::{StatsError, all_finite, at_least};
use super::uncertain::Interval;

/// Summary statistics of a sample.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Summary {
    n: usize,
    mean: f64,
    sd: Option<f64>,
    median: f64,
    min: f64,
    max: f64,
}

impl Summary {
    /// Number of values.
    #[must_use]
    pub fn n(&self) -> usize {
        self.n
    }

    /// Arithmetic mean.
    #[must_use]
    pub fn mean(&self) -> f64 {
        self.mean
    }

    /// Sample standard deviation (denominator n − 1); `None` for a single value.
    #[must_use]
    pub fn sd(&self) -> Option<f64> {
        self.sd
    }

    /// Middle value, or the mean of the two middle ones.
    #[must_use]
    pub fn median(&self) -> f64 {
        self.median
    }

    /// Smallest value.
    #[must_use]
    pub fn min(&self) -> f64 {
        self.min
    }

    /// Largest value.
    #[must_use]
    pub fn max(&self) -> f64 {
        self.max
    }

    /// The t interval for the mean: mean ± t(1 − α/2; n − 1) · sd/√n, with α = 1 − `confidence`.
    ///
    /// # Errors
    /// If there is only one value, or `confidence` is not strictly between 0 and 1.
    pub fn mean_interval(&self, confidence: f64) -> Result<Interval, StatsError> {
        let sd = self.sd.ok_or(StatsError::TooFew { method: "an interval for the mean", needed: 2, seen: self.n })?;
        let n = self.n as f64;
        let t = t_reach(confidence, n - 1.0)?;
        Ok(Interval::around(self.mean, t * sd / n.sqrt()))
    }
}

/// Summarises a sample.
///
/// # Errors
/// If it is empty or contains a non-finite value.
pub fn describe(values: &[f64]) -> Result<Summary, StatsError> {
    at_least("a summary", 1, values.len())?;
    all_finite("the sample", values)?;
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    let (mean, squares) = mean_and_squares(values);
    let n = values.len();
    Ok(Summary {
        n,
        mean,
        sd: (n > 1).then(|| (squares / (n - 1) as f64).sqrt()),
        median: median_of_sorted(&sorted),
        min: sorted[0],
        max: sorted[n - 1],
    })
}

/// The mean, and the sum of squared distances from it. `values` must not be empty.
///
/// Distances are taken from the first value, since readings of similar things differ little and the subtraction is then
/// exact; sums are compensated; and the second pass corrects the rounding of the mean (corrected two-pass algorithm,
/// Chan, Golub & LeVeque, The American Statistician 37 (1983), 242–247; from memory).
pub(crate) fn mean_and_squares(values: &[f64]) -> (f64, f64) {
    let n = values.len() as f64;
    let origin = values[0];
    let shift = compensated_sum(values.iter().map(|v| v - origin)) / n;
    let squares = compensated_sum(values.iter().map(|v| (v - origin - shift).powi(2)));
    let residue = compensated_sum(values.iter().map(|v| v - origin - shift));
    (origin + shift, (squares - residue * residue / n).max(0.0))
}

/// Compensated sum (Neumaier's variant of Kahan summation, ZAMM 54 (1974), 39–51; from memory).
pub(crate) fn compensated_sum(values: impl Iterator<Item = f64>) -> f64 {
    let (mut sum, mut lost) = (0.0_f64, 0.0_f64);
    for v in values {
        let next = sum + v;
        lost += if sum.abs() >= v.abs() { (sum - next) + v } else { (v - next) + sum };
        sum = next;
    }
    sum + lost
}

/// Middle of sorted values, which must not be empty.
pub(crate) fn median_of_sorted(sorted: &[f64]) -> f64 {
    let half = sorted.len() / 2;
    if sorted.len() % 2 == 1 {
        sorted[half]
    } else {
        // Halved first, so that two huge values do not overflow.
        sorted[half - 1] / 2.0 + sorted[half] / 2.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn one_value_has_no_spread() {
        let s = describe(&[4.5]).unwrap();
        assert_eq!((s.n(), s.mean(), s.sd(), s.median()), (1, 4.5, None, 4.5));
        assert!(s.mean_interval(0.95).is_err());
    }

    #[test]
    fn equal_values_have_spread_zero() {
        let s = describe(&[0.1; 7]).unwrap();
        assert_eq!((s.mean(), s.sd()), (0.1, Some(0.0)));
    }

    #[test]
    fn nothing_and_nonsense_are_refused_by_name() {
        assert!(describe(&[]).is_err());
        let message = describe(&[1.0, f64::NAN]).unwrap_err().to_string();
        assert!(message.starts_with("value 2 of the sample is NaN"), "{message}");
    }

    #[test]
    fn the_median_of_an_even_sample_is_between() {
        assert_eq!(describe(&[4.0, 1.0, 3.0, 2.0]).unwrap().median(), 2.5);
    }

    proptest! {
        #[test]
        fn moving_and_stretching_a_sample_moves_and_stretches_its_summary(
            values in prop::collection::vec(-1e4..1e4_f64, 2..40), shift in -1e6..1e6_f64, stretch in 0.1..50.0_f64,
        ) {
            let a = describe(&values).unwrap();
            let b = describe(&values.iter().map(|v| v * stretch + shift).collect::<Vec<_>>()).unwrap();
            prop_assert!((b.mean() - (a.mean() * stretch + shift)).abs() < 1e-7);
            prop_assert!((b.sd().unwrap() - a.sd().unwrap() * stretch).abs() < 1e-7);
            prop_assert!(b.min() <= b.median() && b.median() <= b.max());
        }
    }
}
