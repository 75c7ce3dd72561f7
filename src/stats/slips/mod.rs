//! The likely slip behind a weight that does not fit.
//!
//! People misread, mistype and mis-weigh in a handful of ways: pounds entered as kilograms, a decimal point out of
//! place, two digits swapped, the tub weighed along. Each way turns the right number into the wrong one by a known
//! rule, so each can be undone and the outcome judged: does the corrected number fit the recipe and close the balance,
//! and by so much that a slip, rare as it is, explains the weights better than no slip does?
//!
//! That is a comparison of probabilities. For every slip that could have happened, and for none, the probability of the
//! weights as entered is worked out ([`diagnose`] with the whole balance, [`diagnose_entry`] from one part's range
//! alone, for use right when a weight is typed) and multiplied by how often such a slip is made (`rates`). What comes
//! out are odds, not proof: the sentence says *probably*, and the person at the bench decides.
//!
//! How often the name is right is measured by `tests/stats_slips` on sampled weighings. Only single slips are looked
//! for. Two at once usually show as an alarm with the wrong name on it, or with none.

mod candidates;
mod entry;
mod evidence;
mod kind;
mod rates;
mod undo;
mod weighings;

pub use candidates::Candidate;
pub use entry::{Entry, Unit};
pub use kind::{Place, Slip};
pub use weighings::{Part, Weighing, Weighings};

use self::candidates::{Hypothesis, of_entry, of_weighings};
use self::evidence::Case;
use super::uncertain::Uncertain;

/// The outcome.
#[derive(Debug, Clone, PartialEq)]
pub struct Diagnosis {
    /// Probability that no slip was made.
    pub sound: f64,
    /// Slips that may have happened, the likeliest first; those below one in a thousand are left out.
    pub candidates: Vec<Candidate>,
    /// From which probability of a slip on it is worth asking: [`ASK_FROM`] or [`ASK_AT_ONCE_FROM`].
    pub ask_from: f64,
}

/// From which probability of a slip on the person is asked. To ask in vain costs a key; to let a slip pass costs a
/// session its figures, and the person's learned ranges theirs. If the second is ten times as bad, asking pays from one
/// in eleven on.
pub const ASK_FROM: f64 = 1.0 / 11.0;

/// The same for a weight that has just been typed and is judged by its range alone: a slip that passes here is looked
/// for again once all weights are there, so only one that is likelier than none is worth a question.
pub const ASK_AT_ONCE_FROM: f64 = 0.5;

impl Diagnosis {
    /// Whether a slip is likely enough to ask about it.
    #[must_use]
    pub fn is_alarm(&self) -> bool {
        1.0 - self.sound > self.ask_from
    }

    /// The likeliest slip, if one is to be asked about.
    #[must_use]
    pub fn likeliest(&self) -> Option<&Candidate> {
        self.candidates.first().filter(|_| self.is_alarm())
    }
}

/// Looks for a slip with the whole balance: intake, parts, and what was expected of each.
#[must_use]
pub fn diagnose(weighings: &Weighings) -> Diagnosis {
    ranked(&Case::of_weighings(weighings), of_weighings(weighings), ASK_FROM)
}

/// Looks for a slip in one entry from what is expected of that part alone.
///
/// An entry far outside its range with no slip to explain it raises no alarm here: then the range itself is in doubt,
/// and the caller can say that it is unusual. `tares` are in grams.
#[must_use]
pub fn diagnose_entry(entry: &Entry, expected: &Uncertain, tares: &[f64]) -> Diagnosis {
    let sound = Case::of_entry(&entry.reading(), expected);
    ranked(&sound, of_entry(entry, 0, &sound, tares), ASK_AT_ONCE_FROM)
}

fn ranked(sound: &Case, hypotheses: Vec<Hypothesis>, ask_from: f64) -> Diagnosis {
    let base = sound.ln_evidence();
    let weight = |h: &Hypothesis| h.ln_rate + h.case.ln_evidence();
    let weights: Vec<f64> = hypotheses.iter().map(weight).collect();
    let top = weights.iter().copied().fold(base, f64::max);
    if !top.is_finite() {
        // Not even "no slip" has a probability (weights beyond the range of a double): nothing can be said.
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
