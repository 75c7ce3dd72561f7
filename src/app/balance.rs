//! The balance of a whole session: does it close, which entry is to be looked at first, and which slip explains it.

use rust_decimal::Decimal;

use super::doubt::reading;
use super::gather::finest;
use super::memory::Learned;
use crate::bench::{Presence, UnitState};
use crate::quantity::Mass;
use crate::stats::Uncertain;
use crate::stats::balance::{Fraction, Gap, Suspect, gap, weigh_up};
use crate::stats::slips::{Entry, Part, Place, Slip, Weighing, Weighings, diagnose};

/// What a χ² has to exceed before a suspect is named although the plain balance closes.
const CONFIDENCE: f64 = 0.99;

/// The least sd of an expectation, as a share of it. An estimate.
const LEAST_SD: f64 = 0.01;

/// What the weights of a session say together.
#[derive(Debug, Clone, PartialEq)]
pub struct Balance {
    /// Intake less everything that came out, in grams, and what that means.
    pub gap: Gap,
    /// The entry whose deletion would lower χ² the most, and by how much; only where something is wrong.
    pub suspect: Option<(String, f64)>,
    /// The slip that explains the weights better than none does.
    pub slip: Option<FoundSlip>,
}

/// A slip that probably happened.
#[derive(Debug, Clone, PartialEq)]
pub struct FoundSlip {
    /// The entry that it concerns; `None` for something that is not on the list.
    pub entry: Option<String>,
    /// What happened, as a clause.
    pub what: String,
    /// What was entered.
    pub entered: Option<Mass>,
    /// What would fit.
    pub corrected: Option<Mass>,
    /// How probable it is among all single slips considered and none.
    pub probability: f64,
}

/// One entry of the balance.
struct Row {
    name: String,
    weighing: Weighing,
    expected: Option<Uncertain>,
}

/// The balance of a unit; `None` while intake or remainder are not weighed: then nothing can close.
pub(super) fn balance(
    state: &UnitState,
    learned: &Learned,
    tares: Vec<f64>,
    division: Option<Mass>,
) -> Option<Balance> {
    let (intake, rest) = (state.intake?, state.remainder?);
    let entry = |net, shown| reading(net, finest(shown, division)).map(Entry::new);
    let whole = entry(intake.net, intake.finest)?;
    let mut rows: Vec<Row> = Vec::new();
    for part in state.parts.iter().filter(|part| part.host.is_none()) {
        let usual = part.expected.usual().grams().try_into().unwrap_or(0.0_f64);
        let expected = learned.uncertain(&part.part, &part.expected, Some(intake.net), (usual * LEAST_SD).max(0.1));
        let weighing = match part.presence {
            Presence::Weighed(reading) => Weighing::Entered(entry(reading.net, reading.finest)?),
            Presence::Absent => Weighing::Skipped,
            Presence::TooLight => continue,
        };
        rows.push(Row { name: part.part.clone(), weighing, expected });
    }
    let left = Weighing::Entered(entry(rest.net, rest.finest)?);
    rows.push(Row { name: "what is left".into(), weighing: left, expected: None });
    Some(judge(&whole, &rows, tares))
}

fn judge(whole: &Entry, rows: &[Row], tares: Vec<f64>) -> Balance {
    let entered = |row: &Row| match row.weighing {
        Weighing::Entered(entry) => Some(entry.reading()),
        Weighing::Awaited | Weighing::Skipped => None,
    };
    let readings: Vec<Uncertain> = rows.iter().filter_map(entered).collect();
    let gap = gap(&whole.reading(), &readings);
    let parts: Vec<Part> = rows.iter().map(|row| Part { weighing: row.weighing, expected: row.expected }).collect();
    let diagnosis = diagnose(&Weighings { intake: *whole, parts, tares });
    let slip = diagnosis.likeliest().map(|candidate| {
        let name = |index: usize| rows.get(index).map(|row| row.name.clone());
        let entry = match candidate.place {
            Place::Intake => Some("the whole unit".to_owned()),
            Place::Part(index) => name(index),
            Place::Unlisted => None,
        };
        let what = match candidate.slip {
            Slip::RepeatOf { part } => format!("it repeats the weight of {}", name(part).unwrap_or_default()),
            other => other.to_string(),
        };
        let (entered, corrected) = (candidate.entered.and_then(mass), mass(candidate.corrected));
        FoundSlip { entry, what, entered, corrected, probability: candidate.probability }
    });
    Balance { gap, suspect: suspect(whole, rows), slip }
}

/// The prime suspect of the weighted balance, where χ² is too large for a sound one.
fn suspect(whole: &Entry, rows: &[Row]) -> Option<(String, f64)> {
    let fraction = |row: &Row| match (row.weighing, row.expected) {
        (Weighing::Entered(entry), Some(expected)) => Some(Fraction::Both { reading: entry.reading(), expected }),
        (Weighing::Entered(entry), None) => Some(Fraction::Weighed(entry.reading())),
        _ => None,
    };
    let known: Vec<(&Row, Fraction)> = rows.iter().filter_map(|row| Some((row, fraction(row)?))).collect();
    let fractions: Vec<Fraction> = known.iter().map(|(_, fraction)| *fraction).collect();
    let weighed = weigh_up(&whole.reading(), &fractions).ok()?;
    if weighed.chi2 <= weighed.critical_chi2(CONFIDENCE).ok()? {
        return None;
    }
    Some(match weighed.prime_suspect() {
        Suspect::Intake => ("the whole unit".to_owned(), weighed.intake_drop),
        Suspect::Part(index) => (known.get(index)?.0.name.clone(), *weighed.part_drops.get(index)?),
    })
}

/// A mass from the statistics, to a tenth of a gram.
fn mass(grams: f64) -> Option<Mass> {
    Decimal::try_from(grams).ok().and_then(|grams| Mass::from_grams(grams.round_dp(1)).ok())
}
