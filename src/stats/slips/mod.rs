//! The likely slip behind a weight that does not fit.
//!
//! People misread, mistype and mis-weigh in a handful of ways: pounds entered as kilograms, a misplaced decimal point,
//! swapped digits, the tub weighed along. Each turns the right number into a wrong one by a known rule, so each can be
//! undone and the result judged: does the corrected number fit the recipe and close the balance, and so much better
//! that a slip, rare as it is, explains the weights better than no slip?
//!
//! This compares probabilities. For every possible slip, and for none, the probability of the weights as entered is
//! computed ([`diagnose`] with the whole balance, [`diagnose_entry`] from one part's range alone, for use as a weight
//! is typed) and multiplied by the rate of such slips (`rates`). The results are odds, not proof: the sentence says
//! *probably*, and the user decides.
//!
//! `tests/stats_slips` measures on sampled weighings how often the named slip is right. Only single slips are
//! considered. Two at once usually raise an alarm with the wrong name, or with none.

mod candidates;
mod entry;
mod evidence;
mod kind;
mod rates;
mod undo;
mod weighings;

pub use candidates::Candidate;
pub use entry::{TypedWeight, Unit};
pub use kind::{Place, Slip};
pub use weighings::{WeighedPart, WeighingState, Weighings};

use self::candidates::{Hypothesis, of_entry, of_weighings};
use self::evidence::Case;
use super::uncertain::Uncertain;

/// The outcome.
#[derive(Debug, Clone, PartialEq)]
pub struct Diagnosis {
    /// Probability that no slip was made.
    pub sound: f64,
    /// Possible slips, likeliest first, omitting those below one in a thousand.
    pub candidates: Vec<Candidate>,
    /// The probability of a slip from which to ask: [`ASK_FROM`] or [`ASK_AT_ONCE_FROM`].
    pub ask_from: f64,
}

/// The probability of a slip from which to ask the user. A needless question costs a key; a missed slip spoils the
/// session's figures and the user's learned ranges. If the second is ten times as bad, asking pays from one in eleven.
pub const ASK_FROM: f64 = 1.0 / 11.0;

/// The same for a weight just typed and judged by its range alone: a slip missed here is looked for again once all
/// weights are there, so only one likelier than not is worth a question.
pub const ASK_AT_ONCE_FROM: f64 = 0.5;

impl Diagnosis {
    /// Whether a slip is likely enough to ask about.
    #[must_use]
    pub fn is_alarm(&self) -> bool {
        1.0 - self.sound > self.ask_from
    }

    /// The likeliest slip, if worth asking about.
    #[must_use]
    pub fn likeliest(&self) -> Option<&Candidate> {
        self.candidates.first().filter(|_| self.is_alarm())
    }
}

/// Looks for a slip using the whole balance: intake, parts, and expectations.
#[must_use]
pub fn diagnose(weighings: &Weighings) -> Diagnosis {
    ranked(&Case::of_weighings(weighings), of_weighings(weighings), ASK_FROM)
}

/// Looks for a slip in one entry from that part's expectation alone.
///
/// An entry far outside its range with no slip to explain it raises no alarm here: then the range itself is in doubt,
/// and the caller can call it unusual. `tares` are in grams.
#[must_use]
pub fn diagnose_entry(entry: &TypedWeight, expected: &Uncertain, tares: &[f64]) -> Diagnosis {
    let sound = Case::of_entry(&entry.reading(), expected);
    ranked(&sound, of_entry(entry, 0, &sound, tares), ASK_AT_ONCE_FROM)
}

fn ranked(sound: &Case, hypotheses: Vec<Hypothesis>, ask_from: f64) -> Diagnosis {
    let base = sound.ln_evidence();
    let weight = |h: &Hypothesis| h.ln_rate + h.case.ln_evidence();
    let weights: Vec<f64> = hypotheses.iter().map(weight).collect();
    let top = weights.iter().copied().fold(base, f64::max);
    if !top.is_finite() {
        // Not even "no slip" has a probability (weights beyond the range of a double), so there is no result.
        return Diagnosis { sound: 1.0, candidates: Vec::new(), ask_from };
    }
    let total: f64 = (base - top).exp() + weights.iter().map(|w| (w - top).exp()).sum::<f64>();
    let before = sound.chi2();
    let mut candidates: Vec<Candidate> = hypotheses
        .iter()
        .zip(&weights)
        .map(|(h, w)| h.candidate(before, (w - top).exp() / total))
        .filter(|c| c.probability >= 1e-3)
        .collect();
    candidates.sort_by(|a, b| b.probability.total_cmp(&a.probability));
    Diagnosis { sound: (base - top).exp() / total, candidates, ask_from }
}

#[cfg(test)]
mod tests;
