//! Predicts the next weight of a part: the recipe's range, corrected by the sessions so far.
//!
//! Weights of a part are assumed normal with unknown mean and variance. Knowledge of the two is a normal-inverse-gamma
//! distribution, which is conjugate, so that everything here is a closed form (e.g. Murphy, *Conjugate Bayesian
//! analysis of the Gaussian distribution*, 2007; from memory).

use statrs::function::gamma::ln_gamma;

use super::describe::mean_and_squares;
use super::distribution::StudentT;
use super::error::{StatsError, all_finite, in_range};
use super::three_point::ThreePoint;

/// How many sessions the recipe's range is worth by default.
///
/// Four is the smallest whole number for which the prediction before the first session has a finite variance (a t with
/// 4 − 1 = 3 degrees of freedom), so the range counts for as little as possible while still giving a useful interval;
/// after four own sessions, these weigh as much as the author's guess. An estimate, not a measured figure.
pub const PRIOR_WORTH: f64 = 4.0;

/// Knowledge of a normal mean and variance: mean | σ² ~ N(`mean`, σ²/`weight`), σ² ~ inverse gamma(`shape`, `scale`).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NormalInverseGamma {
    mean: f64,
    /// How many sessions it is worth, including the prior.
    weight: f64,
    shape: f64,
    scale: f64,
}

impl NormalInverseGamma {
    /// Treats a range as a sample of `worth` values with the PERT mean and PERT variance, and returns what the
    /// reference prior (∝ 1/σ²) becomes after such a sample: weight n, shape (n − 1)/2, scale (n − 1)s²/2.
    ///
    /// # Errors
    /// If `worth` is not finite and above 1: one value says nothing about the spread.
    pub fn from_range(range: &ThreePoint, worth: f64) -> Result<Self, StatsError> {
        let worth = in_range("the worth of a range in sessions", worth, "above 1", |w| w > 1.0)?;
        let pert = range.pert();
        Ok(Self {
            mean: pert.mean,
            weight: worth,
            shape: (worth - 1.0) / 2.0,
            scale: (worth - 1.0) * pert.variance / 2.0,
        })
    }

    /// The posterior after `values`. Neither their order nor their grouping matters.
    ///
    /// # Errors
    /// If a value is not finite.
    pub fn after(&self, values: &[f64]) -> Result<Self, StatsError> {
        all_finite("the sessions", values)?;
        if values.is_empty() {
            return Ok(*self);
        }
        let n = values.len() as f64;
        let (mean, squares) = mean_and_squares(values);
        let weight = self.weight + n;
        let off = mean - self.mean;
        Ok(Self {
            mean: self.mean + off * n / weight,
            weight,
            shape: self.shape + n / 2.0,
            scale: self.scale + squares / 2.0 + self.weight * n * off * off / (2.0 * weight),
        })
    }

    /// The prediction for the next value: t with 2·shape degrees of freedom, squared scale (scale/shape)(1 + 1/weight).
    ///
    /// # Errors
    /// Only if the numbers exceed the range of a double.
    pub fn predictive(&self) -> Result<StudentT, StatsError> {
        let squared = self.scale / self.shape * (1.0 + 1.0 / self.weight);
        StudentT::new(self.mean, squared.sqrt(), 2.0 * self.shape)
    }

    /// Natural logarithm of the prior predictive density of `values`. It is the sum of the log scores of predicting
    /// each value from those before it, in whichever order.
    ///
    /// # Errors
    /// If a value is not finite.
    pub fn ln_evidence(&self, values: &[f64]) -> Result<f64, StatsError> {
        let after = self.after(values)?;
        let n = values.len() as f64;
        Ok(ln_gamma(after.shape) - ln_gamma(self.shape) + self.shape * self.scale.ln() - after.shape * after.scale.ln()
            + 0.5 * (self.weight / after.weight).ln()
            - n / 2.0 * (2.0 * std::f64::consts::PI).ln())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn prior() -> NormalInverseGamma {
        let range = ThreePoint::new(3000.0, 3700.0, 4600.0).unwrap();
        NormalInverseGamma::from_range(&range, PRIOR_WORTH).unwrap()
    }

    #[test]
    fn before_any_session_the_recipe_speaks() {
        let range = ThreePoint::new(3000.0, 3700.0, 4600.0).unwrap();
        assert_eq!(prior().mean, range.pert().mean);
        assert_eq!(prior().predictive().unwrap().dof(), 3.0);
        assert_eq!(prior().after(&[]).unwrap(), prior());
    }

    #[test]
    fn four_sessions_weigh_as_much_as_the_recipe() {
        let posterior = prior().after(&[4000.0; 4]).unwrap();
        assert!((posterior.mean - (prior().mean + 4000.0) / 2.0).abs() < 1e-9);
    }

    #[test]
    fn a_range_without_width_predicts_one_value_and_panics_nowhere() {
        let fixed = ThreePoint::new(5.0, 5.0, 5.0).unwrap();
        let prior = NormalInverseGamma::from_range(&fixed, 4.0).unwrap();
        assert_eq!(prior.predictive().unwrap().scale(), 0.0);
        assert!(prior.after(&[5.0, 6.0]).unwrap().predictive().unwrap().scale() > 0.0);
    }

    #[test]
    fn a_range_must_be_worth_more_than_one_session() {
        let range = ThreePoint::new(1.0, 2.0, 3.0).unwrap();
        assert!(NormalInverseGamma::from_range(&range, 1.0).is_err());
        assert!(NormalInverseGamma::from_range(&range, f64::NAN).is_err());
        assert!(prior().after(&[f64::INFINITY]).is_err());
    }

    proptest! {
        #[test]
        fn one_by_one_is_the_same_as_all_at_once(values in prop::collection::vec(1000.0..6000.0_f64, 1..12)) {
            let at_once = prior().after(&values).unwrap();
            let variance = |known: &NormalInverseGamma| known.scale / (known.shape - 1.0);
            let (mut step, mut ln_score) = (prior(), 0.0);
            for v in &values {
                ln_score += step.predictive().unwrap().ln_density(*v);
                step = step.after(&[*v]).unwrap();
            }
            prop_assert!((step.mean / at_once.mean - 1.0).abs() < 1e-12);
            prop_assert!((variance(&step) / variance(&at_once) - 1.0).abs() < 1e-9);
            prop_assert!((ln_score - prior().ln_evidence(&values).unwrap()).abs() < 1e-8);
        }

        #[test]
        fn the_posterior_mean_lies_between_recipe_and_sessions(values in prop::collection::vec(1000.0..6000.0_f64, 1..12)) {
            let sample = crate::stats::describe::describe(&values).unwrap().mean();
            let posterior = prior().after(&values).unwrap().mean;
            prop_assert!(posterior >= sample.min(prior().mean) - 1e-9);
            prop_assert!(posterior <= sample.max(prior().mean) + 1e-9);
        }
    }
}
