//! Grubbs' test for one outlier.

use super::super::describe::mean_and_squares;
use super::super::distribution::t_quantile;
use super::super::error::{StatsError, all_finite, at_least};
use super::{TestedValue, level};

/// The side on which to look for an outlier. Choose it before looking at the sample.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// The largest value.
    Upper,
    /// The smallest value.
    Lower,
    /// Whichever is further out.
    Either,
}

/// Outcome of Grubbs' test.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Grubbs {
    /// The most extreme value on the given side.
    pub extreme: TestedValue,
    /// Whether it is an outlier at the given level.
    pub outlier: bool,
}

/// Grubbs' test (Technometrics 11 (1969), 1–21; formula in NIST/SEMATECH handbook 1.3.5.17.1): G is the distance from
/// the mean in sample standard deviations. It finds one outlier; two may mask one another, for which there is
/// [`generalised_esd`](super::generalised_esd).
///
/// # Errors
/// If there are fewer than 3 values, one is not finite, or `alpha` is not strictly between 0 and 1.
pub fn grubbs(values: &[f64], side: Side, alpha: f64) -> Result<Grubbs, StatsError> {
    at_least("Grubbs' test", 3, values.len())?;
    all_finite("the sample", values)?;
    let alpha = level(alpha)?;
    let tail = if side == Side::Either { alpha / 2.0 } else { alpha };
    let critical = critical_value(values.len(), tail)?;
    let (index, statistic) = most_extreme(values, side);
    let extreme = TestedValue { index, value: values[index], statistic, critical };
    Ok(Grubbs { extreme, outlier: statistic > critical })
}

/// Index and studentised distance of the most extreme value on a side; `values` holds at least two.
pub(super) fn most_extreme(values: &[f64], side: Side) -> (usize, f64) {
    let (mean, squares) = mean_and_squares(values);
    let sd = (squares / (values.len() - 1) as f64).sqrt();
    let reach = |v: f64| match side {
        Side::Upper => v - mean,
        Side::Lower => mean - v,
        Side::Either => (v - mean).abs(),
    };
    let mut found = (0, reach(values[0]));
    for (index, v) in values.iter().enumerate() {
        if reach(*v) > found.1 {
            found = (index, reach(*v));
        }
    }
    // All values are equal, so nothing stands out.
    (found.0, if sd > 0.0 { found.1 / sd } else { 0.0 })
}

/// (n − 1)/√n · √(t²/(n − 2 + t²)), where t is the quantile with `tail`/n above it at n − 2 degrees of freedom. Valid
/// for n of 3 and more.
pub(super) fn critical_value(n: usize, tail: f64) -> Result<f64, StatsError> {
    let n = n as f64;
    let t = t_quantile(1.0 - tail / n, n - 2.0)?;
    Ok((n - 1.0) / n.sqrt() * (t * t / (n - 2.0 + t * t)).sqrt())
}
