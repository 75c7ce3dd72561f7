//! The probability of a set of weights under one hypothesis.

use super::super::uncertain::Uncertain;
use super::rates::{LN_SPAN, MISFIT, MISFIT_ALONE};
use super::weighings::{WeighingState, Weighings};

/// What a hypothesis says about one part.
#[derive(Debug, Clone, Copy)]
pub(super) enum SupposedMass {
    /// The scale's reading.
    Read(Uncertain),
    /// Present, with unknown weight.
    Unknown,
    /// Absent.
    Absent,
}

/// The weights as they would be if one hypothesis were true.
#[derive(Debug, Clone)]
pub(super) struct Case {
    /// Intake, or `None` if the hypothesis says nothing about it.
    pub(super) intake: Option<Uncertain>,
    /// Parts with their expectations.
    pub(super) parts: Vec<(SupposedMass, Option<Uncertain>)>,
    /// ln of the probability, in the entries as typed, of what the hypothesis sets aside, such as an entry it calls
    /// wrong.
    pub(super) ln_aside: f64,
    /// Probability that an expectation is entirely wrong.
    misfit: f64,
}

/// The sum of the parts.
struct Sum {
    mean: f64,
    variance: f64,
    /// Whether a part with unknown weight is present.
    open: bool,
    /// Whether such a part lacks even an expectation.
    blind: bool,
}

impl Case {
    pub(super) fn of_weighings(weighings: &Weighings) -> Self {
        let mass = |weighing: &WeighingState| match weighing {
            WeighingState::Entered(entry) => SupposedMass::Read(entry.reading()),
            WeighingState::Skipped => SupposedMass::Absent,
        };
        let parts = weighings.parts.iter();
        Self {
            intake: Some(weighings.intake.reading()),
            parts: parts.map(|p| (mass(&p.weighing), p.expected)).collect(),
            ln_aside: 0.0,
            misfit: MISFIT,
        }
    }

    pub(super) fn of_entry(reading: &Uncertain, expected: &Uncertain) -> Self {
        Self {
            intake: None,
            parts: vec![(SupposedMass::Read(*reading), Some(*expected))],
            ln_aside: 0.0,
            misfit: MISFIT_ALONE,
        }
    }

    /// ln of the probability density of everything entered: of each part's reading given its expectation, and of the
    /// intake given the parts.
    ///
    /// An expectation is a normal distribution; with a small probability, though, the recipe is wrong about the part
    /// and any mass is possible. A reading is so much sharper than an expectation that it alone settles which of the
    /// two holds.
    pub(super) fn ln_evidence(&self) -> f64 {
        let parts: f64 = self.parts.iter().map(|p| self.ln_part(p)).sum();
        parts + self.ln_balance() + self.ln_aside
    }

    /// χ² of the case, taking all expectations at face value.
    pub(super) fn chi2(&self) -> f64 {
        let disagreement = |part: &(SupposedMass, Option<Uncertain>)| match part {
            (SupposedMass::Read(y), Some(p)) => (y.value() - p.value()).powi(2) / (y.variance() + p.variance()),
            _ => 0.0,
        };
        let parts: f64 = self.parts.iter().map(disagreement).sum();
        let sum = self.sum(merged);
        match self.intake {
            Some(intake) if !sum.blind => {
                let gap = intake.value() - sum.mean;
                parts + gap * gap / (intake.variance() + sum.variance)
            }
            _ => parts,
        }
    }

    /// What the balance leaves for the part at `index` (or for one not on the list, if `index` is past the last):
    /// intake minus all others. `None` if another part is wholly unknown or there is no intake.
    pub(super) fn left_for(&self, index: usize) -> Option<f64> {
        let mut others = self.clone();
        if let Some(part) = others.parts.get_mut(index) {
            part.0 = SupposedMass::Absent;
        }
        let sum = others.sum(|y, p| self.likely(y, p));
        let intake = self.intake.filter(|_| !sum.blind)?;
        Some(intake.value() - sum.mean)
    }

    /// The sum of the parts, for checking a doubtful intake.
    pub(super) fn parts_sum(&self) -> Option<f64> {
        let sum = self.sum(|y, p| self.likely(y, p));
        (!sum.blind).then_some(sum.mean)
    }

    fn ln_balance(&self) -> f64 {
        let Some(intake) = self.intake else {
            return 0.0;
        };
        let sum = self.sum(|y, p| self.likely(y, p));
        if sum.blind {
            return ln_any(intake.value());
        }
        let gap = intake.value() - sum.mean;
        let closes = ln_normal(gap, intake.variance() + sum.variance);
        if !sum.open {
            return closes;
        }
        // A part with unknown weight may be one the recipe is wrong about.
        let read = self.sum_of_read();
        let misfit = self.misfit.ln() + ln_any(intake.value() - read);
        ln_add((1.0 - self.misfit).ln() + closes, misfit)
    }

    fn ln_part(&self, part: &(SupposedMass, Option<Uncertain>)) -> f64 {
        match part {
            (SupposedMass::Read(y), Some(p)) => {
                let (fits, misfits) = ln_accounts(y, p, self.misfit);
                ln_add(fits, misfits)
            }
            (SupposedMass::Read(y), None) => ln_any(y.value()),
            (SupposedMass::Unknown | SupposedMass::Absent, _) => 0.0,
        }
    }

    /// Mean and variance of a part, from its reading with or without the expectation, whichever is likelier.
    fn likely(&self, reading: &Uncertain, expected: &Uncertain) -> (f64, f64) {
        let (fits, misfits) = ln_accounts(reading, expected, self.misfit);
        if fits >= misfits { merged(reading, expected) } else { (reading.value(), reading.variance()) }
    }

    fn sum_of_read(&self) -> f64 {
        let read = |part: &(SupposedMass, Option<Uncertain>)| match part.0 {
            SupposedMass::Read(y) => y.value(),
            _ => 0.0,
        };
        self.parts.iter().map(read).sum()
    }

    /// Adds up the parts, merging reading and expectation by `merge`.
    fn sum(&self, merge: impl Fn(&Uncertain, &Uncertain) -> (f64, f64)) -> Sum {
        let mut sum = Sum { mean: 0.0, variance: 0.0, open: false, blind: false };
        for part in &self.parts {
            let (mean, variance) = match part {
                (SupposedMass::Read(y), Some(p)) => merge(y, p),
                (SupposedMass::Read(y), None) => (y.value(), y.variance()),
                (SupposedMass::Unknown, Some(p)) => {
                    sum.open = true;
                    (p.value(), p.variance())
                }
                (SupposedMass::Unknown, None) => {
                    sum.blind = true;
                    (0.0, 0.0)
                }
                (SupposedMass::Absent, _) => (0.0, 0.0),
            };
            sum.mean += mean;
            sum.variance += variance;
        }
        sum
    }
}

/// ln of the densities of a reading if its expectation is right, and if it is entirely wrong.
fn ln_accounts(reading: &Uncertain, expected: &Uncertain, misfit: f64) -> (f64, f64) {
    let variance = reading.variance() + expected.variance();
    let fits = ln_normal(reading.value() - expected.value(), variance);
    ((1.0 - misfit).ln() + fits, misfit.ln() + ln_any(reading.value()))
}

/// Reading and expectation merged by weighted least squares.
fn merged(reading: &Uncertain, expected: &Uncertain) -> (f64, f64) {
    let (v, q) = (reading.variance(), expected.variance());
    let share = v / (v + q);
    let mean = reading.value() - (reading.value() - expected.value()) * share;
    (mean, q * share)
}

/// ln of a normal density with mean 0.
fn ln_normal(x: f64, variance: f64) -> f64 {
    -0.5 * (x * x / variance + variance.ln() + (2.0 * std::f64::consts::PI).ln())
}

/// ln of the density of a wholly unknown mass in grams: log-uniform from one gram on, constant below, zero below zero.
pub(super) fn ln_any(mass: f64) -> f64 {
    if mass > 0.0 { -(LN_SPAN.ln() + mass.max(1.0).ln()) } else { f64::NEG_INFINITY }
}

/// ln(eᵃ + eᵇ) without overflow.
fn ln_add(a: f64, b: f64) -> f64 {
    let (low, high) = if a < b { (a, b) } else { (b, a) };
    if high == f64::NEG_INFINITY { high } else { high + (low - high).exp().ln_1p() }
}
