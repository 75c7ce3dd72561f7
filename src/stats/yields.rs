//! The yield of one part over sessions: by mass, or by share of intake if that explains more.

use super::distribution::StudentT;
use super::error::{StatsError, all_finite, in_range};
use super::estimate::NormalInverseGamma;
use super::three_point::ThreePoint;
use super::uncertain::{Interval, Uncertain};

/// How much better than the mass the share of intake must have predicted the sessions to be preferred, as the natural
/// logarithm of the odds: ln √10, from which on Jeffreys calls evidence "substantial" (*Theory of Probability*, 3rd
/// ed., appendix B; from memory). The recipe states masses, so mass wins a tie.
pub const SHARE_MUST_EXCEED: f64 = 1.151_292_546_497_023;

/// What a part's yield is proportional to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum YieldBasis {
    /// About the same mass in every unit, as with a motor of one make.
    Mass,
    /// About the same share of the unit's intake weight, as with a housing.
    ShareOfIntake,
}

/// One session's weighing of the part, with its unit's intake, in one unit of mass.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WeighedSession {
    /// The part's mass.
    pub mass: f64,
    /// The unit's intake weight.
    pub intake: f64,
}

/// A part's learned yield.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Yield {
    /// What it goes by.
    pub basis: YieldBasis,
    /// The posterior of the mass, or of the share (0..1).
    pub learned: NormalInverseGamma,
    /// The prior from the recipe alone.
    pub recipe: NormalInverseGamma,
    /// Number of sessions behind it.
    pub sessions: usize,
    /// Log odds of share against mass, from how well each predicted the sessions; above [`SHARE_MUST_EXCEED`] the share
    /// is used.
    pub share_over_mass: f64,
}

/// The prediction of a part in the next unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Expectation {
    /// Expected mass.
    pub mean: f64,
    /// The interval of the mass at the given confidence.
    pub interval: Interval,
}

/// Learns a part's yield from `sessions`, starting from the recipe's `range` (worth `worth` sessions) and its
/// `usual_intake`.
///
/// Two models compete. *Mass*: the range as the recipe states it. *Share*: the same range divided by the usual intake,
/// applied to each unit's own intake. Each is judged by the probability it gave to the observed masses, each predicted
/// from those before ([`NormalInverseGamma::ln_evidence`]; a density of shares is converted to one of masses by
/// dividing by the intake). That judges prediction, not fit, so neither gains from vagueness or hindsight. If all
/// intakes are alike the two tie.
///
/// # Errors
/// If a number is not finite, an intake not above zero, or `worth` not above 1.
pub fn learn(
    range: &ThreePoint,
    usual_intake: f64,
    worth: f64,
    sessions: &[WeighedSession],
) -> Result<Yield, StatsError> {
    let by_mass = NormalInverseGamma::from_range(range, worth)?;
    let by_share = NormalInverseGamma::from_range(&range.divided(usual_intake)?, worth)?;
    let masses: Vec<f64> = sessions.iter().map(|s| s.mass).collect();
    let intakes: Vec<f64> = sessions.iter().map(|s| s.intake).collect();
    all_finite("the masses", &masses)?;
    for intake in &intakes {
        in_range("an intake weight", *intake, "above zero", |i| i > 0.0)?;
    }
    let shares: Vec<f64> = sessions.iter().map(|s| s.mass / s.intake).collect();
    let per_mass: f64 = intakes.iter().map(|i| i.ln()).sum();
    let lead = by_share.ln_evidence(&shares)? - per_mass - by_mass.ln_evidence(&masses)?;
    // A zero-width range gives infinite or undefined evidence both ways; then the recipe's masses stand.
    let share_over_mass = if lead.is_finite() { lead } else { 0.0 };
    let (basis, recipe, seen) = if share_over_mass > SHARE_MUST_EXCEED {
        (YieldBasis::ShareOfIntake, by_share, &shares)
    } else {
        (YieldBasis::Mass, by_mass, &masses)
    };
    Ok(Yield { basis, learned: recipe.after(seen)?, recipe, sessions: sessions.len(), share_over_mass })
}

impl Yield {
    /// The prediction for the next unit of this `intake`.
    ///
    /// # Errors
    /// If `intake` is not above zero.
    pub fn predictive(&self, intake: f64) -> Result<StudentT, StatsError> {
        let intake = in_range("an intake weight", intake, "above zero", |i| i > 0.0)?;
        let t = self.learned.predictive()?;
        match self.basis {
            YieldBasis::Mass => Ok(t),
            YieldBasis::ShareOfIntake => StudentT::new(t.centre() * intake, t.scale() * intake, t.dof()),
        }
    }

    /// The prediction as value and sd, for use as an expectation in a balance, but with no less than `least_sd`. While
    /// its sd is infinite (a prior worth up to 3 sessions, and no session yet), its scale stands in.
    ///
    /// # Errors
    /// If `intake` is not above zero, or prediction and `least_sd` both have zero width.
    pub fn expected(&self, intake: f64, least_sd: f64) -> Result<Uncertain, StatsError> {
        let t = self.predictive(intake)?;
        Uncertain::new(t.centre(), t.sd().unwrap_or(t.scale()).max(least_sd))
    }

    /// Mean and predictive interval for the next unit of this `intake`. The lower end may fall below zero if little is
    /// known; a mass cannot, so zero is shown then.
    ///
    /// # Errors
    /// If `intake` is not above zero or `confidence` not strictly between 0 and 1.
    pub fn expect(&self, intake: f64, confidence: f64) -> Result<Expectation, StatsError> {
        let t = self.predictive(intake)?;
        let interval = t.interval(confidence)?;
        Ok(Expectation { mean: t.centre(), interval: Interval { low: interval.low.max(0.0), high: interval.high } })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stats::estimate::PRIOR_WORTH;

    const INTAKES: [f64; 8] = [9_000.0, 17_000.0, 12_500.0, 15_000.0, 10_500.0, 18_000.0, 13_000.0, 8_500.0];
    const WOBBLE: [f64; 8] = [1.01, 0.98, 1.02, 0.99, 1.00, 1.015, 0.985, 1.00];

    fn learned(mass_of: impl Fn(usize) -> f64) -> Yield {
        let range = ThreePoint::new(3000.0, 3700.0, 4600.0).unwrap();
        let sessions: Vec<WeighedSession> =
            (0..8).map(|k| WeighedSession { mass: mass_of(k), intake: INTAKES[k] }).collect();
        learn(&range, 13_000.0, PRIOR_WORTH, &sessions).unwrap()
    }

    #[test]
    fn a_part_that_grows_with_the_unit_goes_by_share() {
        let y = learned(|k| 0.29 * INTAKES[k] * WOBBLE[k]);
        assert_eq!(y.basis, YieldBasis::ShareOfIntake);
        let small = y.expect(8_000.0, 0.9).unwrap();
        assert!(small.interval.contains(0.29 * 8_000.0), "{small:?}");
        assert!(!small.interval.contains(3700.0), "{small:?}");
    }

    #[test]
    fn a_part_of_one_make_goes_by_mass() {
        let y = learned(|k| 3650.0 * WOBBLE[k]);
        assert_eq!(y.basis, YieldBasis::Mass);
        assert!(y.share_over_mass < -SHARE_MUST_EXCEED);
        assert_eq!(y.expect(8_000.0, 0.9).unwrap(), y.expect(18_000.0, 0.9).unwrap());
    }

    #[test]
    fn with_equal_intakes_the_two_are_even_and_mass_keeps_the_tie() {
        let range = ThreePoint::new(3000.0, 3700.0, 4600.0).unwrap();
        let sessions = [3600.0, 3800.0, 3500.0].map(|mass| WeighedSession { mass, intake: 13_000.0 });
        let y = learn(&range, 13_000.0, PRIOR_WORTH, &sessions).unwrap();
        assert!(y.share_over_mass.abs() < 1e-9);
        assert_eq!(y.basis, YieldBasis::Mass);
    }

    #[test]
    fn without_sessions_the_recipe_stands() {
        let range = ThreePoint::new(3000.0, 3700.0, 4600.0).unwrap();
        let y = learn(&range, 13_000.0, PRIOR_WORTH, &[]).unwrap();
        assert_eq!((y.sessions, y.learned), (0, y.recipe));
        let expected = y.expected(13_000.0, 0.3).unwrap();
        assert_eq!(expected.value(), range.pert().mean);
        // A t with 3 degrees of freedom, scale² = variance · (1 + 1/4), sd² = 3 · scale².
        let sd = (3.75 * range.pert().variance).sqrt();
        assert!((expected.sd() / sd - 1.0).abs() < 1e-12);
    }

    #[test]
    fn a_range_without_width_falls_back_to_mass() {
        let range = ThreePoint::new(5.0, 5.0, 5.0).unwrap();
        let y = learn(&range, 100.0, 4.0, &[WeighedSession { mass: 5.0, intake: 90.0 }]).unwrap();
        assert_eq!((y.basis, y.share_over_mass), (YieldBasis::Mass, 0.0));
    }

    #[test]
    fn impossible_sessions_are_refused() {
        let range = ThreePoint::new(1.0, 2.0, 3.0).unwrap();
        for bad in [WeighedSession { mass: f64::NAN, intake: 9.0 }, WeighedSession { mass: 2.0, intake: 0.0 }] {
            assert!(learn(&range, 10.0, 4.0, &[bad]).is_err());
        }
        assert!(learn(&range, 0.0, 4.0, &[]).is_err());
    }
}
