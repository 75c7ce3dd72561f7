//! Quantiles and tails of the t and χ² distributions, and the predictive t of an estimate.

use statrs::distribution::{ChiSquared, ContinuousCDF, StudentsT};
#[cfg(test)]
use statrs::function::gamma::ln_gamma;

use super::error::{StatsError, in_range};
use super::uncertain::Interval;

/// The `p` quantile of a standard t variable with `dof` degrees of freedom.
///
/// # Errors
/// If `p` is not strictly between 0 and 1, or `dof` is not above zero.
pub fn t_quantile(p: f64, dof: f64) -> Result<f64, StatsError> {
    probability(p)?;
    let t = StudentsT::new(0.0, 1.0, degrees(dof)?).map_err(|_| bad_degrees(dof))?;
    Ok(t.inverse_cdf(p))
}

/// Half-width, in scales, of a central t interval of this `confidence`.
pub(crate) fn t_reach(confidence: f64, dof: f64) -> Result<f64, StatsError> {
    t_quantile(0.5 + probability(confidence)? / 2.0, dof)
}

/// The `p` quantile of χ² with `dof` degrees of freedom.
///
/// # Errors
/// If `p` is not strictly between 0 and 1, or `dof` is not above zero.
pub fn chi_square_quantile(p: f64, dof: f64) -> Result<f64, StatsError> {
    probability(p)?;
    let law = ChiSquared::new(degrees(dof)?).map_err(|_| bad_degrees(dof))?;
    Ok(law.inverse_cdf(p))
}

/// A t distribution with a location and a scale: what an estimate predicts for the next session.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StudentT {
    centre: f64,
    scale: f64,
    dof: f64,
}

impl StudentT {
    /// A t distribution; a scale of zero puts all of it on the centre.
    ///
    /// # Errors
    /// If a number is not finite, the scale is negative, or the degrees of freedom are not above zero.
    pub fn new(centre: f64, scale: f64, dof: f64) -> Result<Self, StatsError> {
        Ok(Self {
            centre: in_range("a centre", centre, "a finite number", |_| true)?,
            scale: in_range("a scale", scale, "zero or more", |s| s >= 0.0)?,
            dof: degrees(dof)?,
        })
    }

    /// Its median, which is also its mean where the mean exists (more than 1 degree of freedom).
    #[must_use]
    pub fn centre(&self) -> f64 {
        self.centre
    }

    /// Its scale. The standard deviation is larger: scale × √(dof/(dof−2)), and infinite up to 2 degrees of freedom.
    #[must_use]
    pub fn scale(&self) -> f64 {
        self.scale
    }

    /// Its degrees of freedom.
    #[must_use]
    pub fn dof(&self) -> f64 {
        self.dof
    }

    /// Its standard deviation, or `None` if infinite.
    #[must_use]
    pub fn sd(&self) -> Option<f64> {
        (self.dof > 2.0).then(|| self.scale * (self.dof / (self.dof - 2.0)).sqrt())
    }

    /// The central interval that holds the next value with probability `confidence`.
    ///
    /// # Errors
    /// If `confidence` is not strictly between 0 and 1.
    pub fn interval(&self, confidence: f64) -> Result<Interval, StatsError> {
        let reach = t_reach(confidence, self.dof)?;
        Ok(Interval::around(self.centre, reach * self.scale))
    }

    /// Distance of `x` from the centre in scales; 0 on the centre itself even if the scale is zero.
    #[must_use]
    pub fn distance(&self, x: f64) -> f64 {
        if x == self.centre { 0.0 } else { (x - self.centre).abs() / self.scale }
    }

    /// Natural logarithm of the density at `x`; +∞ or −∞ if the scale is zero.
    #[cfg(test)]
    pub(crate) fn ln_density(&self, x: f64) -> f64 {
        let half = self.dof / 2.0;
        let norm = ln_gamma(half + 0.5) - ln_gamma(half) - 0.5 * (self.dof * std::f64::consts::PI).ln();
        if self.scale == 0.0 {
            return if x == self.centre { f64::INFINITY } else { f64::NEG_INFINITY };
        }
        let z = self.distance(x);
        norm - self.scale.ln() - (half + 0.5) * (z * z / self.dof).ln_1p()
    }
}

fn probability(p: f64) -> Result<f64, StatsError> {
    in_range("a probability", p, "strictly between 0 and 1", |p| p > 0.0 && p < 1.0)
}

fn degrees(dof: f64) -> Result<f64, StatsError> {
    in_range("the degrees of freedom", dof, "above zero", |d| d > 0.0)
}

fn bad_degrees(dof: f64) -> StatsError {
    StatsError::OutOfRange { what: "the degrees of freedom", value: dof, must_be: "above zero" }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_quantile_and_its_tail_agree() {
        for dof in [1.0, 2.0, 3.0, 7.5, 30.0, 1000.0] {
            for tail in [0.4, 0.1, 0.05, 0.01, 1e-6] {
                let t = t_quantile(1.0 - tail / 2.0, dof).unwrap();
                let back = 2.0 * StudentsT::new(0.0, 1.0, dof).unwrap().cdf(-t);
                assert!((back / tail - 1.0).abs() < 1e-8, "{dof} {tail} {back}");
            }
        }
        let chi2 = chi_square_quantile(0.95, 7.0).unwrap();
        assert!((ChiSquared::new(7.0).unwrap().sf(chi2) - 0.05).abs() < 1e-12);
    }

    #[test]
    fn one_and_two_degrees_of_freedom_have_closed_forms() {
        for p in [0.51, 0.6, 0.9, 0.975, 0.9995] {
            let cauchy = (std::f64::consts::PI * (p - 0.5)).tan();
            assert!((t_quantile(p, 1.0).unwrap() / cauchy - 1.0).abs() < 1e-11);
            let two = (2.0 * p - 1.0) / (2.0 * p * (1.0 - p)).sqrt();
            assert!((t_quantile(p, 2.0).unwrap() / two - 1.0).abs() < 1e-11);
        }
    }

    #[test]
    fn impossible_requests_are_refused() {
        assert!(t_quantile(1.0, 3.0).is_err());
        assert!(t_quantile(f64::NAN, 3.0).is_err());
        assert!(t_quantile(0.5, 0.0).is_err());
        assert!(chi_square_quantile(0.0, 1.0).is_err());
        assert!(StudentT::new(0.0, -1.0, 3.0).is_err());
    }

    #[test]
    fn a_density_integrates_to_one() {
        let t = StudentT::new(5.0, 2.0, 3.0).unwrap();
        let step = 0.01;
        let sum: f64 = (-40_000..40_000).map(|k| t.ln_density(5.0 + f64::from(k) * step).exp() * step).sum();
        assert!((sum - 1.0).abs() < 1e-4, "{sum}");
    }
}
