//! Every single slip that could have produced the weights as entered.

use std::fmt;

use super::entry::{Grams, TypedWeight};
use super::evidence::{Case, SupposedMass, ln_any};
use super::kind::{Place, Slip};
use super::rates;
use super::undo::{Undone, typing_slips, weighing_slips};
use super::weighings::{WeighingState, Weighings};

/// One hypothesis about what happened.
pub(super) struct Hypothesis {
    place: Place,
    slip: Slip,
    entered: Option<f64>,
    corrected: f64,
    /// ln of its rate.
    pub(super) ln_rate: f64,
    /// The weights with the slip undone.
    pub(super) case: Case,
}

impl Hypothesis {
    /// The hypothesis as a candidate, given χ² as entered and its probability.
    pub(super) fn candidate(&self, chi2_before: f64, probability: f64) -> Candidate {
        Candidate {
            place: self.place,
            slip: self.slip,
            entered: self.entered,
            corrected: self.corrected,
            chi2_drop: chi2_before - self.case.chi2(),
            penalty: -2.0 * self.ln_rate,
            probability,
        }
    }
}

/// All single slips in a unit's weights.
pub(super) fn of_weighings(weighings: &Weighings) -> Vec<Hypothesis> {
    let sound = Case::of_weighings(weighings);
    let mut all = of_intake(&weighings.intake, &sound);
    for (index, part) in weighings.parts.iter().enumerate() {
        match part.weighing {
            WeighingState::Entered(entry) => {
                all.extend(of_entry(&entry, index, &sound, &weighings.tares));
                all.extend(repeats(&entry, index, weighings, &sound));
                all.extend(unexplained_part(&entry, index, &sound));
            }
            WeighingState::Skipped => all.extend(left_out(index, &sound)),
        }
    }
    all.extend(unlisted(&sound));
    all
}

/// All single slips within the entry of the part at `index`.
pub(super) fn of_entry(entry: &TypedWeight, index: usize, sound: &Case, tares: &[f64]) -> Vec<Hypothesis> {
    let mut undone = typing_slips(entry);
    undone.extend(weighing_slips(entry, tares));
    let with = |u: Undone| {
        let mut case = sound.clone();
        case.parts[index].0 = SupposedMass::Read(u.reading);
        hypothesis(Place::Part(index), entry, u, case)
    };
    undone.into_iter().map(with).collect()
}

fn of_intake(entry: &TypedWeight, sound: &Case) -> Vec<Hypothesis> {
    let with = |u: Undone| {
        let mut case = sound.clone();
        case.intake = Some(u.reading);
        hypothesis(Place::Intake, entry, u, case)
    };
    let mut all: Vec<Hypothesis> = typing_slips(entry).into_iter().map(with).collect();
    if let Some(corrected) = sound.parts_sum() {
        let mut case = sound.clone();
        case.intake = None;
        case.ln_aside = ln_any(entry.reading().value());
        all.push(Hypothesis {
            place: Place::Intake,
            slip: Slip::Unexplained,
            entered: Some(entry.reading().value()),
            corrected,
            ln_rate: rates::OTHER.ln(),
            case,
        });
    }
    all
}

fn hypothesis(place: Place, entry: &TypedWeight, undone: Undone, mut case: Case) -> Hypothesis {
    // The same digits stand for steps of another size: a density per gram meant becomes one per gram entered.
    case.ln_aside += undone.ln_stretch;
    Hypothesis {
        place,
        slip: undone.slip,
        entered: Some(entry.reading().value()),
        corrected: undone.reading.value(),
        ln_rate: undone.rate.ln(),
        case,
    }
}

/// The entry at `index` repeats that of an earlier or later part. The entered value is then certain, up to the scale's
/// step.
fn repeats(entry: &TypedWeight, index: usize, weighings: &Weighings, sound: &Case) -> Vec<Hypothesis> {
    let same = |other: &TypedWeight| (other.reading().value() - entry.reading().value()).abs() < entry.step() / 2.0;
    let found = |(part, p): (usize, &super::WeighedPart)| {
        matches!(&p.weighing, WeighingState::Entered(other) if part != index && same(other)).then_some(part)
    };
    let repeat = |part: usize| {
        let slip = Slip::RepeatOf { part };
        set_aside(entry, index, sound, slip, rates::REPEAT, -entry.step().ln())
    };
    weighings.parts.iter().enumerate().filter_map(found).filter_map(repeat).collect()
}

fn unexplained_part(entry: &TypedWeight, index: usize, sound: &Case) -> Option<Hypothesis> {
    let ln_entered = ln_any(entry.reading().value());
    set_aside(entry, index, sound, Slip::Unexplained, rates::OTHER, ln_entered)
}

/// The hypothesis that the entry at `index` says nothing about its part. A part without an expectation is then absent.
fn set_aside(
    entry: &TypedWeight,
    index: usize,
    sound: &Case,
    slip: Slip,
    rate: f64,
    ln_entered: f64,
) -> Option<Hypothesis> {
    let mut case = sound.clone();
    let expected = case.parts[index].1.is_some();
    case.parts[index].0 = if expected { SupposedMass::Unknown } else { SupposedMass::Absent };
    case.ln_aside = ln_entered;
    let corrected = if expected { sound.left_for(index)?.max(0.0) } else { 0.0 };
    Some(Hypothesis {
        place: Place::Part(index),
        slip,
        entered: Some(entry.reading().value()),
        corrected,
        ln_rate: rate.ln(),
        case,
    })
}

fn left_out(index: usize, sound: &Case) -> Option<Hypothesis> {
    sound.parts[index].1?;
    let mut case = sound.clone();
    case.parts[index].0 = SupposedMass::Unknown;
    Some(Hypothesis {
        place: Place::Part(index),
        slip: Slip::LeftOut,
        entered: None,
        corrected: sound.left_for(index)?.max(0.0),
        ln_rate: rates::SKIPPED.ln(),
        case,
    })
}

/// Something not on the list fills the gap, which can then be any mass.
fn unlisted(sound: &Case) -> Option<Hypothesis> {
    let gap = sound.left_for(sound.parts.len()).filter(|gap| *gap > 0.0)?;
    let mut case = sound.clone();
    case.intake = None;
    case.ln_aside = ln_any(gap);
    Some(Hypothesis {
        place: Place::Unlisted,
        slip: Slip::LeftOut,
        entered: None,
        corrected: gap,
        ln_rate: rates::UNLISTED.ln(),
        case,
    })
}

/// A slip that may have happened.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Candidate {
    /// Which entry it concerns.
    pub place: Place,
    /// What happened.
    pub slip: Slip,
    /// The mass as entered, in grams; `None` where nothing was.
    pub entered: Option<f64>,
    /// The mass that was meant, in grams: the entry with the slip undone, or what the balance leaves for it where the
    /// slip itself does not tell.
    pub corrected: f64,
    /// By how much χ² of the balance falls if it is so.
    pub chi2_drop: f64,
    /// What the fall has to be weighed against: −2 ln of how often such a slip is made.
    pub penalty: f64,
    /// Its probability among all single slips considered and none.
    pub probability: f64,
}

impl fmt::Display for Candidate {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let surely = match self.probability {
            p if p >= 0.9 => "most likely",
            p if p >= 0.5 => "probably",
            _ => "perhaps",
        };
        let mass = Grams(self.corrected);
        match (self.place, self.entered) {
            (Place::Unlisted, _) => write!(f, "{surely} {}: about {mass} is missing", self.slip),
            (place, Some(entered)) => {
                let entered = Grams(entered);
                write!(f, "{place}: {entered} is {surely} wrong: {}; {mass} would fit", self.slip)
            }
            (place, None) => write!(f, "{place}: {surely} {}; {mass} would fit", self.slip),
        }
    }
}
