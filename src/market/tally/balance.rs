//! The plain mass balance: does the output weigh what the input did?

use rust_decimal::prelude::ToPrimitive;

use super::TallyError;
use crate::market::haul::{Haul, RemainderOf, WeightSource};
use crate::quantity::Mass;
use crate::stats::Uncertain;
use crate::stats::balance::{self, GapVerdict};

/// The verdict of the balance.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BalanceVerdict {
    /// The scales explain the gap.
    Closes,
    /// The gap is larger than the scales explain. A balance cannot tell which entry is wrong.
    DoesNotClose,
    /// There is nothing to compare, and why.
    CannotBeSaid(&'static str),
}

impl BalanceVerdict {
    /// The verdict in words.
    pub fn words(self) -> String {
        match self {
            BalanceVerdict::Closes => "closes".into(),
            BalanceVerdict::DoesNotClose => "does not close".into(),
            BalanceVerdict::CannotBeSaid(why) => format!("cannot be said: {why}"),
        }
    }
}

/// Intake against the readings of everything that came out.
///
/// The exact gap, and the verdict of [`crate::stats::balance::gap`], where the limits are defined.
#[derive(Debug, Clone, PartialEq)]
pub struct Balance {
    /// Intake minus the sum of the readings; set if both exist.
    pub gap: Option<Mass>,
    /// Standard deviation of the gap in grams; set if every division is known.
    pub sd_grams: Option<f64>,
    /// Gap in standard deviations; set if there is a verdict.
    pub z: Option<f64>,
    /// The verdict.
    pub verdict: BalanceVerdict,
}

/// Checks the balance of a haul.
pub(super) fn check(haul: &Haul) -> Result<Balance, TallyError> {
    let unsaid = |gap, why| Balance { gap, sd_grams: None, z: None, verdict: BalanceVerdict::CannotBeSaid(why) };
    let Some(intake) = haul.intake else {
        return Ok(unsaid(None, "the unit was not weighed"));
    };
    if haul.readings.is_empty() {
        return Ok(unsaid(None, "nothing that came out was weighed"));
    }
    let gap = Mass::sum(haul.readings.iter().map(|reading| reading.mass))
        .and_then(|sum| intake.minus(sum))
        .map_err(TallyError::in_step("the mass balance"))?;
    let left = haul.remainders.iter().find(|remainder| remainder.of == RemainderOf::Unit);
    match left.map(|remainder| remainder.how) {
        Some(WeightSource::Computed) => return Ok(unsaid(Some(gap), "what is left was computed, not weighed")),
        Some(WeightSource::Unknown) => return Ok(unsaid(Some(gap), "what is left was not weighed")),
        Some(WeightSource::Weighed) | None => {}
    }
    let Some((intake, parts)) = readings(haul) else {
        return Ok(unsaid(Some(gap), "the division of a scale is not known"));
    };
    let plain = balance::gap(&intake, &parts);
    let verdict = match plain.verdict {
        GapVerdict::Closes => BalanceVerdict::Closes,
        GapVerdict::DoesNotClose => BalanceVerdict::DoesNotClose,
        GapVerdict::CannotSay => BalanceVerdict::CannotBeSaid("the scales are too coarse for this unit"),
    };
    Ok(Balance { gap: Some(gap), sd_grams: Some(plain.sd), z: Some(plain.z), verdict })
}

/// The intake and every reading with their sds in grams; `None` if a division is unknown.
fn readings(haul: &Haul) -> Option<(Uncertain, Vec<Uncertain>)> {
    let reading = |mass: Mass, division: Mass| Uncertain::reading(in_grams(mass), in_grams(division)).ok();
    let parts = haul.readings.iter().map(|part| reading(part.mass, part.division));
    Some((reading(haul.intake?, haul.intake_division)?, parts.collect::<Option<_>>()?))
}

fn in_grams(mass: Mass) -> f64 {
    // A mass is at most 10¹² g, which every float holds.
    mass.grams().to_f64().unwrap_or_default()
}
