//! A measured density as evidence, with its uncertainty.

use statrs::distribution::{ContinuousCDF, Normal};

/// A measured density.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Measured {
    /// In g/cm³.
    pub density: f64,
    /// Its standard uncertainty, in g/cm³.
    pub sd: f64,
}

/// Probability that a density matches none of the materials: bubbles, hollows, something left on. An estimate.
const ASTRAY: f64 = 0.05;
/// The range of such densities, in g/cm³.
const SPAN: (f64, f64) = (0.5, 22.5);
/// Alloys of one name vary by about this share of their density. An estimate.
const SCATTER: f64 = 0.004;

impl Measured {
    /// A density from a weight and the water it displaces, with the reading steps of both.
    ///
    /// A reading of step d has a standard uncertainty of d/√12; a volume by difference is two such readings, so its own
    /// is √2 times that. Relative uncertainties add in quadrature. `None` if a value is not above zero.
    #[must_use]
    pub fn from_water(grams: f64, grams_step: f64, ml: f64, ml_step: f64) -> Option<Measured> {
        let sound = [grams, ml].iter().all(|value| value.is_finite() && *value > 0.0)
            && [grams_step, ml_step].iter().all(|step| step.is_finite() && *step >= 0.0);
        let root = 12.0_f64.sqrt();
        let (u_grams, u_ml) = (grams_step / root, ml_step / root * 2.0_f64.sqrt());
        let density = grams / ml;
        let sd = density * ((u_grams / grams).powi(2) + (u_ml / ml).powi(2)).sqrt();
        sound.then_some(Measured { density, sd })
    }

    /// Likelihood of the measurement for a material with that range of densities, per g/cm³.
    #[must_use]
    pub fn likely(&self, range: Option<[f64; 2]>) -> f64 {
        let anywhere = 1.0 / (SPAN.1 - SPAN.0);
        let Some([low, high]) = range else { return anywhere };
        let sd = self.sd.max(SCATTER * self.density).max(1e-6);
        // A zero-width range is as wide as the scatter, so that a single tabled value is no sharper than alloys are.
        let (low, high) = (low * (1.0 - SCATTER), high * (1.0 + SCATTER));
        let Ok(normal) = Normal::new(self.density, sd) else { return anywhere };
        let within = (normal.cdf(high) - normal.cdf(low)) / (high - low);
        (1.0 - ASTRAY) * within + ASTRAY * anywhere
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn uncertainty_is_that_of_the_readings() {
        // 100.00 g by 0.01 g, 11.2 ml by 0.1 ml: 8.9286 · √((0.01/√12/100)² + (0.1·√2/√12/11.2)²) = 0.03255.
        let measured = Measured::from_water(100.0, 0.01, 11.2, 0.1).unwrap();
        assert!((measured.density - 8.928_571).abs() < 1e-6, "{measured:?}");
        assert!((measured.sd - 0.032_55).abs() < 5e-5, "{measured:?}");
        for bad in [(0.0, 0.1, 1.0, 0.1), (1.0, 0.1, 0.0, 0.1), (f64::NAN, 0.1, 1.0, 0.1), (1.0, -0.1, 1.0, 0.1)] {
            assert_eq!(Measured::from_water(bad.0, bad.1, bad.2, bad.3), None);
        }
    }

    #[test]
    fn a_likelihood_is_a_density_over_what_may_be_measured() {
        let range = Some([8.4, 8.6]);
        let step = 0.002;
        let sum: f64 = (0..11_000)
            .map(|place| 0.5 + step * f64::from(place))
            .map(|density| Measured { density, sd: 0.1 }.likely(range) * step)
            .sum();
        assert!((sum - 1.0).abs() < 0.01, "{sum}");
        let near = Measured { density: 8.5, sd: 0.05 };
        assert!(near.likely(range) > 50.0 * near.likely(Some([7.0, 7.2])));
        assert!(near.likely(range) > near.likely(None));
    }
}
