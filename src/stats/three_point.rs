//! Low, usual and high as a distribution: PERT, in closed form.

use super::error::{StatsError, all_finite};
use super::uncertain::Uncertain;

/// An estimate as people give it: lowest expected, usual, and highest expected value.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ThreePoint {
    low: f64,
    usual: f64,
    high: f64,
}

/// Mean and variance of a distribution.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Moments {
    /// Mean.
    pub mean: f64,
    /// Variance, in the square of the mean's unit.
    pub variance: f64,
}

impl Moments {
    /// Standard deviation.
    #[must_use]
    pub fn sd(&self) -> f64 {
        self.variance.sqrt()
    }
}

impl ThreePoint {
    /// Low, usual and high, in one unit.
    ///
    /// # Errors
    /// If a number is not finite or they are not in ascending order (they may be equal).
    pub fn new(low: f64, usual: f64, high: f64) -> Result<Self, StatsError> {
        all_finite("the estimate (low, usual, high)", &[low, usual, high])?;
        if low <= usual && usual <= high {
            Ok(Self { low, usual, high })
        } else {
            Err(StatsError::Disordered { low, usual, high })
        }
    }

    /// Mean and variance of PERT, the beta distribution on low..high with mode `usual` and weight 4:
    /// mean μ = (low + 4·usual + high)/6, variance (μ − low)(high − μ)/7.
    ///
    /// The often quoted (high − low)²/36 is an approximation, not the variance of this distribution.
    #[must_use]
    pub fn pert(&self) -> Moments {
        let above = (4.0 * (self.usual - self.low) + (self.high - self.low)) / 6.0;
        let below = (4.0 * (self.high - self.usual) + (self.high - self.low)) / 6.0;
        Moments { mean: self.low + above, variance: above * below / 7.0 }
    }

    /// The PERT mean and sd, but no less than `least_sd`: a zero-width range claims more than any recipe can know.
    ///
    /// # Errors
    /// If both the width and `least_sd` are zero.
    pub fn expected(&self, least_sd: f64) -> Result<Uncertain, StatsError> {
        let pert = self.pert();
        Uncertain::new(pert.mean, pert.sd().max(least_sd))
    }

    /// The same estimate divided by `by`, such as a mass by the usual intake.
    ///
    /// # Errors
    /// If `by` is not finite and above zero.
    pub fn divided(&self, by: f64) -> Result<Self, StatsError> {
        super::error::in_range("a divisor", by, "above zero", |b| b > 0.0)?;
        Self::new(self.low / by, self.usual / by, self.high / by)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_symmetric_pert_by_hand() {
        // α = β = 3 on 0..12: mean 6, variance αβ/((α+β)²(α+β+1))·12² = 9/(36·7)·144.
        let m = ThreePoint::new(0.0, 6.0, 12.0).unwrap().pert();
        assert_eq!(m.mean, 6.0);
        assert!((m.variance - 144.0 * 9.0 / 252.0).abs() < 1e-12);
    }

    #[test]
    fn disorder_is_refused_and_no_width_is_allowed() {
        assert!(ThreePoint::new(2.0, 1.0, 3.0).is_err());
        let fixed = ThreePoint::new(2.0, 2.0, 2.0).unwrap();
        assert_eq!(fixed.pert().variance, 0.0);
        assert!(fixed.expected(0.0).is_err());
        assert_eq!(fixed.expected(0.3).unwrap().sd(), 0.3);
    }

    /// Mean and variance by Simpson's rule over an unnormalised density on 0..1.
    fn by_quadrature(density: impl Fn(f64) -> f64) -> (f64, f64) {
        let n = 4000;
        let simpson = |f: &dyn Fn(f64) -> f64| -> f64 {
            (0..=n)
                .map(|k| {
                    let weight = if k == 0 || k == n {
                        1.0
                    } else if k % 2 == 1 {
                        4.0
                    } else {
                        2.0
                    };
                    weight * f(f64::from(k) / f64::from(n))
                })
                .sum()
        };
        let total = simpson(&|x| density(x));
        let mean = simpson(&|x| x * density(x)) / total;
        (mean, simpson(&|x| (x - mean).powi(2) * density(x)) / total)
    }

    proptest! {
        #[test]
        fn closed_forms_agree_with_integration(low in -50.0..50.0_f64, width in 0.5..80.0_f64, k in 0_u8..=100) {
            let at = f64::from(k) / 100.0;
            let range = ThreePoint::new(low, low + at * width, low + width).unwrap();
            let (alpha, beta) = (1.0 + 4.0 * at, 1.0 + 4.0 * (1.0 - at));
            let (mean, variance) = by_quadrature(|x| x.powf(alpha - 1.0) * (1.0 - x).powf(beta - 1.0));
            prop_assert!((range.pert().mean - (low + width * mean)).abs() < 1e-4 * width);
            prop_assert!((range.pert().variance - width * width * variance).abs() < 1e-4 * width * width);
        }
    }
}
