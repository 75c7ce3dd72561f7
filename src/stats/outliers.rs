//! Finds outliers in a sample, by a test that suits its size.
//!
//! A flag is a question to the user, never a reason to drop a value.

mod rosner;

pub use rosner::generalised_esd;

use super::describe::{compensated_sum, median_of_sorted};
use super::distribution::t_quantile;
use super::error::{StatsError, all_finite, at_least, in_range};
use super::estimate::NormalInverseGamma;

/// The chance of flagging anything in a sample without outliers, for tests with a significance level.
pub const ALPHA: f64 = 0.05;

/// Modified z score above which a value is flagged (Iglewicz & Hoaglin, *How to Detect and Handle Outliers*, 1993;
/// from memory).
pub const MODIFIED_Z_LIMIT: f64 = 3.5;

/// The smallest sample for the median absolute deviation.
pub const MAD_FROM: usize = 7;

/// The smallest sample for the generalised ESD test; the NIST/SEMATECH handbook, 1.3.5.17.3, calls its critical values
/// reasonably accurate from 15 on (from memory).
pub const ESD_FROM: usize = 15;

/// The test used.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Method {
    /// Each value against the prediction of recipe and prior.
    PriorPredictive,
    /// Modified z score: distance from the median in units of the median absolute deviation.
    ModifiedZ,
    /// Generalised extreme studentised deviate (Rosner 1983).
    GeneralisedEsd,
    /// Too few values, and nothing to compare them with.
    NotTested,
}

/// A value with its test result.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TestedValue {
    /// Its position in the sample, from 0.
    pub index: usize,
    /// The value.
    pub value: f64,
    /// Test statistic.
    pub statistic: f64,
    /// The critical value above which it is flagged.
    pub critical: f64,
}

/// The outcome: the test used, and the values it flags, most extreme first.
#[derive(Debug, Clone, PartialEq)]
pub struct Outliers {
    /// The test used.
    pub method: Method,
    /// The flagged values.
    pub flagged: Vec<TestedValue>,
}

/// Looks for outliers with the test that suits the sample's size: below 7 values each against the prior's prediction,
/// from 7 to 14 by modified z scores, from 15 on by the generalised ESD test for up to a fifth of the values, but at
/// most ten.
///
/// # Errors
/// If a value is not finite.
pub fn outliers(values: &[f64], prior: Option<&NormalInverseGamma>) -> Result<Outliers, StatsError> {
    all_finite("the sample", values)?;
    let (method, flagged) = match (values.len(), prior) {
        (ESD_FROM.., _) => {
            let most = (values.len() / 5).min(10);
            let run = generalised_esd(values, most, ALPHA)?;
            (Method::GeneralisedEsd, run.flagged())
        }
        (MAD_FROM.., _) => (Method::ModifiedZ, flag(modified_z(values)?)),
        (1.., Some(prior)) => {
            let tested = prior_predictive(values, prior, ALPHA)?;
            (Method::PriorPredictive, flag(tested))
        }
        _ => (Method::NotTested, Vec::new()),
    };
    Ok(Outliers { method, flagged })
}

/// Each value against the prior's predictive t distribution. The statistic is the distance from its centre in scales;
/// the critical value is the two-sided t quantile at `alpha` divided by the number of values (Bonferroni).
///
/// # Errors
/// If there is no value, one is not finite, or `alpha` is not strictly between 0 and 1.
pub fn prior_predictive(
    values: &[f64],
    prior: &NormalInverseGamma,
    alpha: f64,
) -> Result<Vec<TestedValue>, StatsError> {
    at_least("the prior-predictive test", 1, values.len())?;
    all_finite("the sample", values)?;
    let predictive = prior.predictive()?;
    let critical = t_quantile(1.0 - level(alpha)? / (2.0 * values.len() as f64), predictive.dof())?;
    Ok(tested(values, |v| predictive.distance(v), critical))
}

/// Modified z scores, 0.6745·|x − median|/MAD. If more than half of the values are equal, the MAD is 0 and the mean
/// absolute deviation replaces it: |x − median|/(1.253314·mean AD). Both are from Iglewicz & Hoaglin (1993; from
/// memory).
///
/// # Errors
/// If there is no value or one is not finite.
pub fn modified_z(values: &[f64]) -> Result<Vec<TestedValue>, StatsError> {
    at_least("modified z scores", 1, values.len())?;
    all_finite("the sample", values)?;
    let median = median_of(values.to_vec());
    let off: Vec<f64> = values.iter().map(|v| (v - median).abs()).collect();
    let mad = median_of(off.clone());
    let sigma =
        if mad > 0.0 { mad / 0.6745 } else { 1.253_314 * compensated_sum(off.iter().copied()) / values.len() as f64 };
    let score = |v: f64| {
        if v == median { 0.0 } else { (v - median).abs() / sigma }
    };
    Ok(tested(values, score, MODIFIED_Z_LIMIT))
}

fn median_of(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    median_of_sorted(&values)
}

fn tested(values: &[f64], statistic: impl Fn(f64) -> f64, critical: f64) -> Vec<TestedValue> {
    let each = |(index, &value): (usize, &f64)| TestedValue { index, value, statistic: statistic(value), critical };
    values.iter().enumerate().map(each).collect()
}

fn flag(mut tested: Vec<TestedValue>) -> Vec<TestedValue> {
    tested.retain(|t| t.statistic > t.critical);
    tested.sort_by(|a, b| b.statistic.total_cmp(&a.statistic));
    tested
}

fn level(alpha: f64) -> Result<f64, StatsError> {
    in_range("a significance level", alpha, "strictly between 0 and 1", |a| a > 0.0 && a < 1.0)
}

#[cfg(test)]
mod tests;
