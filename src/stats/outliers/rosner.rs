//! The generalised ESD test for several outliers.

use super::super::describe::mean_and_squares;
use super::super::distribution::t_quantile;
use super::super::error::{StatsError, all_finite, at_least, in_range};
use super::{TestedValue, level};

/// One step: the most extreme remaining value, before its removal.
pub type EsdStep = TestedValue;

/// A run of the test.
#[derive(Debug, Clone, PartialEq)]
pub struct Esd {
    /// The steps in order, as many as outliers were looked for (fewer if the remaining values are all equal).
    pub steps: Vec<EsdStep>,
    /// Number of outliers: the number of the last step whose statistic exceeds its critical value.
    pub outliers: usize,
}

impl Esd {
    /// The outliers, in order of removal. A masked one may itself lie below its critical value: it is flagged because a
    /// later step exceeds its own.
    #[must_use]
    pub fn flagged(&self) -> Vec<TestedValue> {
        self.steps[..self.outliers].to_vec()
    }
}

/// Rosner's test for up to `most` outliers (Technometrics 25 (1983), 165–172; formulas in NIST/SEMATECH handbook
/// 1.3.5.17.3): removes the most extreme value `most` times, each time comparing its studentised distance with a
/// critical value for the remaining sample size.
///
/// # Errors
/// If a value is not finite, `most` is 0 or leaves fewer than two values, or `alpha` is not strictly between 0 and 1.
pub fn generalised_esd(values: &[f64], most: usize, alpha: f64) -> Result<Esd, StatsError> {
    at_least("the generalised ESD test", most.saturating_add(2), values.len())?;
    in_range("the number of outliers", most as f64, "1 or more", |m| m >= 1.0)?;
    all_finite("the sample", values)?;
    let alpha = level(alpha)?;
    let mut left = values.to_vec();
    let mut places: Vec<usize> = (0..values.len()).collect();
    let mut steps = Vec::with_capacity(most);
    while steps.len() < most {
        let (at, statistic) = most_extreme(&left);
        if statistic == 0.0 {
            break;
        }
        let critical = critical_value(left.len(), alpha / 2.0)?;
        steps.push(TestedValue { index: places.remove(at), value: left.remove(at), statistic, critical });
    }
    let outliers = steps.iter().rposition(|s| s.statistic > s.critical).map_or(0, |last| last + 1);
    Ok(Esd { steps, outliers })
}

/// Index and studentised distance of the most extreme value; `values` holds at least two.
fn most_extreme(values: &[f64]) -> (usize, f64) {
    let (mean, squares) = mean_and_squares(values);
    let sd = (squares / (values.len() - 1) as f64).sqrt();
    let reach = |v: f64| (v - mean).abs();
    let mut found = (0, reach(values[0]));
    for (index, v) in values.iter().enumerate() {
        if reach(*v) > found.1 {
            found = (index, reach(*v));
        }
    }
    // All values are equal, so nothing stands out.
    (found.0, if sd > 0.0 { found.1 / sd } else { 0.0 })
}

/// The critical value of Grubbs' test (Technometrics 11 (1969), 1–21; formula in NIST/SEMATECH handbook 1.3.5.17.1):
/// (n − 1)/√n · √(t²/(n − 2 + t²)), where t is the quantile with `tail`/n above it at n − 2 degrees of freedom. Valid
/// for n of 3 and more.
fn critical_value(n: usize, tail: f64) -> Result<f64, StatsError> {
    let n = n as f64;
    let t = t_quantile(1.0 - tail / n, n - 2.0)?;
    Ok((n - 1.0) / n.sqrt() * (t * t / (n - 2.0 + t * t)).sqrt())
}
