//! The mass balance of a unit with the recipe's ranges as pseudo-measurements, in closed form.

use super::super::describe::compensated_sum;
use super::super::distribution::chi_square_quantile;
use super::super::error::{StatsError, at_least};
use super::super::uncertain::Uncertain;

/// The sd, in grams, given to an observation to take it out of the balance: too large to carry information about any
/// unit that fits on a bench.
const DELETED_SD: f64 = 1e7;

/// A part of the balance: the weight read, and the weight expected.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum WeightedFraction {
    /// Weighed, with a range in the recipe.
    Both {
        /// The scale's reading.
        reading: Uncertain,
        /// The expected weight, such as the PERT mean and sd of the recipe's range.
        expected: Uncertain,
    },
    /// Weighed, without an expectation.
    Weighed(Uncertain),
}

/// The entry that fits worst.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Suspect {
    /// The intake.
    Intake,
    /// The part at this position, from 0.
    Part(usize),
}

/// The balance of a unit, adjusted.
#[derive(Debug, Clone, PartialEq)]
pub struct MassBalance {
    /// Adjusted intake.
    pub intake: f64,
    /// Adjusted masses of the parts; they add up to `intake`.
    pub parts: Vec<f64>,
    /// The total disagreement of readings, expectations and the balance.
    pub chi2: f64,
    /// Its degrees of freedom: one for the balance, and one per part both weighed and expected.
    pub dof: usize,
    /// Measurement test of the intake, |adjustment| over its sd.
    pub intake_test: f64,
    /// Measurement tests of the readings, 0 for a part that was not weighed.
    pub part_tests: Vec<f64>,
    /// The drop of χ² if the intake is deleted.
    pub intake_drop: f64,
    /// The drop of χ² if the reading is deleted, 0 for a part that was not weighed.
    pub part_drops: Vec<f64>,
}

impl MassBalance {
    /// The entry whose deletion lowers χ² the most. Check it first, but it is not proven wrong; and something is wrong
    /// at all only if χ² is too large.
    #[must_use]
    pub fn prime_suspect(&self) -> Suspect {
        let mut found = (Suspect::Intake, self.intake_drop);
        for (k, drop) in self.part_drops.iter().enumerate() {
            if *drop > found.1 {
                found = (Suspect::Part(k), *drop);
            }
        }
        found.0
    }

    /// The χ² below which a sound balance stays with probability `confidence`.
    ///
    /// # Errors
    /// If `confidence` is not strictly between 0 and 1.
    pub fn critical_chi2(&self, confidence: f64) -> Result<f64, StatsError> {
        chi_square_quantile(confidence, self.dof as f64)
    }
}

/// Adjusts intake, readings and expectations by weighted least squares under intake = Σ parts.
///
/// The sparse system has a closed form. Each part's reading y (variance v) and expectation p (variance q) merge to a
/// mean c of variance w = vq/(v + q) and disagree by χ² (y − p)²/(v + q). The residual of the balance, R = intake − Σc,
/// then has variance S = v₀ + Σw and costs R²/S; it is distributed as v₀R/S off the intake and wR/S onto each part.
///
/// # Errors
/// If there are no parts.
pub fn weigh_up(intake: &Uncertain, parts: &[WeightedFraction]) -> Result<MassBalance, StatsError> {
    at_least("a mass balance", 1, parts.len())?;
    let merged: Vec<Merged> = parts.iter().map(Merged::of).collect();
    let rest = intake.value() - compensated_sum(merged.iter().map(|m| m.mean));
    let spread = intake.variance() + compensated_sum(merged.iter().map(|m| m.variance));
    let lambda = rest / spread;
    let disagreement = compensated_sum(merged.iter().map(|m| m.chi2));
    let tests: Vec<Test> = merged.iter().map(|m| m.test(lambda, spread)).collect();
    let whole =
        Test::new(intake.variance(), intake.variance() * lambda, intake.variance() * intake.variance() / spread);
    Ok(MassBalance {
        intake: intake.value() - intake.variance() * lambda,
        parts: merged.iter().map(|m| m.mean + m.variance * lambda).collect(),
        chi2: disagreement + rest * lambda,
        dof: 1 + merged.iter().filter(|m| m.both).count(),
        intake_test: whole.statistic,
        part_tests: tests.iter().map(|t| t.statistic).collect(),
        intake_drop: whole.drop,
        part_drops: tests.iter().map(|t| t.drop).collect(),
    })
}

/// Reading and expectation of one part, merged.
struct Merged {
    mean: f64,
    variance: f64,
    /// Variance of the reading, if there is one.
    reading: Option<f64>,
    /// Reading minus merged mean.
    off: f64,
    /// Variance of `off`.
    off_variance: f64,
    chi2: f64,
    both: bool,
}

impl Merged {
    fn of(fraction: &WeightedFraction) -> Self {
        let alone = |u: &Uncertain, reading: Option<f64>| Self {
            mean: u.value(),
            variance: u.variance(),
            reading,
            off: 0.0,
            off_variance: 0.0,
            chi2: 0.0,
            both: false,
        };
        match fraction {
            WeightedFraction::Weighed(reading) => alone(reading, Some(reading.variance())),
            WeightedFraction::Both { reading, expected } => {
                let (v, q) = (reading.variance(), expected.variance());
                let differ = reading.value() - expected.value();
                let off = differ * (v / (v + q));
                Self {
                    mean: reading.value() - off,
                    variance: v * (q / (v + q)),
                    reading: Some(v),
                    off,
                    off_variance: v * (v / (v + q)),
                    chi2: differ * (differ / (v + q)),
                    both: true,
                }
            }
        }
    }

    /// The test of this part's reading: both its expectation and the balance adjust it, independently of each other.
    fn test(&self, lambda: f64, spread: f64) -> Test {
        match self.reading {
            Some(variance) => Test::new(
                variance,
                self.off - self.variance * lambda,
                self.off_variance + self.variance * self.variance / spread,
            ),
            None => Test { statistic: 0.0, drop: 0.0 },
        }
    }
}

/// Measurement test of one observation.
struct Test {
    statistic: f64,
    drop: f64,
}

impl Test {
    /// From the variance v of the observation, its adjustment a, and the variance of a.
    ///
    /// An observation that differs by e from what all others predict, with variance u, costs e²/(v + u) and is adjusted
    /// by ev/(v + u), whose variance is v²/(v + u). Hence the statistic e/√(v + u); and raising v to D² leaves e²/(D² +
    /// u), so that the drop is known without subtracting two large χ².
    fn new(variance: f64, adjustment: f64, adjustment_variance: f64) -> Self {
        let statistic = adjustment.abs() / adjustment_variance.sqrt();
        let total = variance * (variance / adjustment_variance);
        let deleted = DELETED_SD * DELETED_SD - variance + total;
        Self { statistic, drop: statistic * statistic * (1.0 - total / deleted) }
    }
}

#[cfg(test)]
mod tests {
    use super::super::linear::reconcile;
    use super::*;
    use proptest::prelude::*;

    fn u(value: f64, sd: f64) -> Uncertain {
        Uncertain::new(value, sd).unwrap()
    }

    #[test]
    fn nothing_to_weigh_up_is_refused() {
        assert!(weigh_up(&u(10.0, 1.0), &[]).is_err());
    }

    fn fraction() -> impl Strategy<Value = (f64, f64, f64, f64)> {
        (50.0..4000.0_f64, 0.3..6.0_f64, 0.5..1.5_f64, 0.03..0.3_f64)
            .prop_map(|(y, sd, off, rel)| (y, sd, y * off, y * rel))
    }

    proptest! {
        /// Checks the closed form against the general matrix form, with the expectations as further measurements of the
        /// same masses.
        #[test]
        fn the_closed_form_is_the_matrix_form(
            list in prop::collection::vec(fraction(), 1..7), sd in 1.0..20.0_f64, gap in -300.0..300.0_f64,
        ) {
            let n = list.len();
            let intake = u(list.iter().map(|f| f.0).sum::<f64>() + gap, sd);
            let parts: Vec<WeightedFraction> = list
                .iter()
                .map(|f| WeightedFraction::Both { reading: u(f.0, f.1), expected: u(f.2, f.3) })
                .collect();
            let closed = weigh_up(&intake, &parts).unwrap();

            let mut y = vec![intake];
            y.extend(list.iter().map(|f| u(f.0, f.1)));
            y.extend(list.iter().map(|f| u(f.2, f.3)));
            let mut rows = vec![vec![0.0; 2 * n + 1]; n + 1];
            rows[0][0] = 1.0;
            for k in 0..n {
                rows[0][1 + k] = -1.0;
                rows[1 + k][1 + k] = 1.0;
                rows[1 + k][1 + n + k] = -1.0;
            }
            let matrix = reconcile(&rows, &y).unwrap();
            let close = |a: f64, b: f64| (a - b).abs() <= 1e-6 * (1.0 + b.abs());
            prop_assert!(close(closed.chi2, matrix.chi2));
            prop_assert!(close(closed.intake, matrix.values[0]));
            prop_assert!(close(closed.intake_test, matrix.tests[0]));
            for k in 0..n {
                prop_assert!(close(closed.parts[k], matrix.values[1 + k]));
                prop_assert!(close(closed.part_tests[k], matrix.tests[1 + k]));
                prop_assert!(close(closed.part_drops[k], closed.part_tests[k].powi(2)));
            }
            prop_assert!(close(closed.intake, closed.parts.iter().sum::<f64>()));
        }
    }
}
