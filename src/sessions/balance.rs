//! The mass balance of a whole session: does it close, which entry to check first, and which slip explains the gap.

use rust_decimal::Decimal;

use super::doubt::{reading, retyped, typed_as};
use super::haul_of_run::resolution;
use super::history::Learned;
use crate::bench::{Presence, Reading, UnitState};
use crate::quantity::{Mass, Notation, Weighed};
use crate::stats::Uncertain;
use crate::stats::balance::{Gap, Suspect, WeightedFraction, gap, weigh_up};
use crate::stats::slips::{Candidate, Place, Slip, TypedWeight, WeighedPart, WeighingState, Weighings, diagnose};

/// Confidence of the χ² test above which a suspect is named even if the plain balance closes.
const CONFIDENCE: f64 = 0.99;

/// Smallest sd of an expected value, as a share of it. An estimate.
const LEAST_SD: f64 = 0.01;

/// What the weights of a session say together.
#[derive(Debug, Clone, PartialEq)]
pub struct BalanceWithSlips {
    /// Intake minus everything that came out, in grams, and its verdict.
    pub gap: Gap,
    /// The entry whose removal would lower χ² the most, and by how much; only if something is wrong.
    pub suspect: Option<(String, f64)>,
    /// The slip that explains the weights better than no slip at all.
    pub slip: Option<FoundSlip>,
}

/// A probable slip.
#[derive(Debug, Clone, PartialEq)]
pub struct FoundSlip {
    /// The entry affected; `None` for something that is not on the list.
    pub entry: Option<String>,
    /// The question that the entry answers.
    pub question: Option<String>,
    /// What was meant, as it would have been typed, if the slip determines it; otherwise the part must be weighed
    /// again.
    pub retyped: Option<String>,
    /// What happened, as a clause.
    pub what: String,
    /// What was entered.
    pub entered: Option<Mass>,
    /// What would fit.
    pub corrected: Option<Mass>,
    /// Its probability among all single slips considered, and no slip.
    pub probability: f64,
}

/// One entry of the balance.
struct Row {
    name: String,
    question: String,
    weighing: WeighingState,
    expected: Option<Uncertain>,
}

/// What the weights of a session are checked against.
pub(super) struct Grounds<'a> {
    /// What other sessions say about the parts.
    pub learned: &'a Learned,
    /// Containers that may have been weighed along, in grams.
    pub tares: Vec<f64>,
    /// The division of the user's scale.
    pub division: Option<Mass>,
    /// How the answer to a question was typed, if known.
    pub typed: &'a dyn Fn(&str) -> Option<Weighed>,
    /// The number format.
    pub notation: Notation,
}

impl Grounds<'_> {
    /// A reading as statistics input, with the unit and digits typed.
    fn entry(&self, question: &str, shown: Reading) -> Option<TypedWeight> {
        let entry = TypedWeight::new(reading(shown.net, resolution(shown.resolution, self.division))?);
        let typed = (self.typed)(question).filter(|typed| typed.net == shown.net);
        Some(typed.map_or(entry, |typed| typed_as(entry, &typed)))
    }
}

/// The balance of a unit; `None` until intake and remainder are both weighed, since it cannot close before.
pub(super) fn balance(state: &UnitState, grounds: &Grounds<'_>) -> Option<BalanceWithSlips> {
    let (intake, rest) = (state.intake?, state.remainder?);
    let whole = Row {
        name: "the whole unit".into(),
        question: "unit/intake".into(),
        weighing: WeighingState::Entered(grounds.entry("unit/intake", intake)?),
        expected: None,
    };
    let mut rows: Vec<Row> = Vec::new();
    for part in state.parts.iter().filter(|part| part.host.is_none()) {
        let usual = part.expected.usual().grams().try_into().unwrap_or(0.0_f64);
        let least_sd = (usual * LEAST_SD).max(0.1);
        let question = format!("{}/{}", part.step, part.part);
        let weighing = match part.presence {
            Presence::Weighed(reading) => WeighingState::Entered(grounds.entry(&question, reading)?),
            Presence::Absent => WeighingState::Skipped,
            Presence::TooLight => continue,
        };
        let expected = grounds.learned.uncertain(&part.part, &part.expected, Some(intake.net), least_sd);
        rows.push(Row { name: part.part.clone(), question, weighing, expected });
    }
    rows.push(Row {
        name: "what is left".into(),
        question: "unit/remainder".into(),
        weighing: WeighingState::Entered(grounds.entry("unit/remainder", rest)?),
        expected: None,
    });
    judge(&whole, &rows, grounds)
}

fn judge(whole: &Row, rows: &[Row], grounds: &Grounds<'_>) -> Option<BalanceWithSlips> {
    let entered = |row: &Row| match row.weighing {
        WeighingState::Entered(entry) => Some(entry),
        WeighingState::Skipped => None,
    };
    let intake = entered(whole)?;
    let readings: Vec<Uncertain> = rows.iter().filter_map(entered).map(|entry| entry.reading()).collect();
    let parts: Vec<WeighedPart> =
        rows.iter().map(|row| WeighedPart { weighing: row.weighing, expected: row.expected }).collect();
    let diagnosis = diagnose(&Weighings { intake, parts, tares: grounds.tares.clone() });
    Some(BalanceWithSlips {
        gap: gap(&intake.reading(), &readings),
        suspect: suspect(&intake, rows),
        slip: diagnosis.likeliest().map(|candidate| found(candidate, whole, rows, grounds)),
    })
}

fn found(candidate: &Candidate, whole: &Row, rows: &[Row], grounds: &Grounds<'_>) -> FoundSlip {
    let row = match candidate.place {
        Place::Intake => Some(whole),
        Place::Part(index) => rows.get(index),
        Place::Unlisted => None,
    };
    let what = match candidate.slip {
        Slip::RepeatOf { part } => {
            let other = rows.get(part).map(|row| row.name.as_str()).unwrap_or_default();
            format!("it repeats the weight of {other}")
        }
        other => other.to_string(),
    };
    let typed = row.and_then(|row| (grounds.typed)(&row.question));
    FoundSlip {
        entry: row.map(|row| row.name.clone()),
        question: row.map(|row| row.question.clone()),
        retyped: typed.and_then(|typed| retyped(&typed, candidate, grounds.notation)),
        what,
        entered: candidate.entered.and_then(mass),
        corrected: mass(candidate.corrected),
        probability: candidate.probability,
    }
}

/// The prime suspect of the weighted balance, if χ² is too large for a sound one.
fn suspect(whole: &TypedWeight, rows: &[Row]) -> Option<(String, f64)> {
    let fraction = |row: &Row| match (row.weighing, row.expected) {
        (WeighingState::Entered(entry), Some(expected)) => {
            Some(WeightedFraction::Both { reading: entry.reading(), expected })
        }
        (WeighingState::Entered(entry), None) => Some(WeightedFraction::Weighed(entry.reading())),
        _ => None,
    };
    let known: Vec<(&Row, WeightedFraction)> = rows.iter().filter_map(|row| Some((row, fraction(row)?))).collect();
    let fractions: Vec<WeightedFraction> = known.iter().map(|(_, fraction)| *fraction).collect();
    let weighed = weigh_up(&whole.reading(), &fractions).ok()?;
    if weighed.chi2 <= weighed.critical_chi2(CONFIDENCE).ok()? {
        return None;
    }
    Some(match weighed.prime_suspect() {
        Suspect::Intake => ("the whole unit".to_owned(), weighed.intake_drop),
        Suspect::Part(index) => (known.get(index)?.0.name.clone(), *weighed.part_drops.get(index)?),
    })
}

/// A mass from a statistic, to a tenth of a gram.
fn mass(grams: f64) -> Option<Mass> {
    Decimal::try_from(grams).ok().and_then(|grams| Mass::from_grams(grams.round_dp(1)).ok())
}
