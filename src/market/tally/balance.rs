//! The plain mass balance: does what came out weigh what went in?

use rust_decimal::prelude::ToPrimitive;

use super::TallyError;
use crate::market::haul::{Haul, Host, How};
use crate::quantity::Mass;

/// Beyond this many standard deviations a balance does not close. An estimate: an honest session steps over it about three
/// times in a thousand when the errors are many and small.
const LIMIT: f64 = 3.0;

/// A gap of this share of the intake must be able to show for "closes" to mean anything. An estimate.
const MATTERS: f64 = 0.05;

/// What the balance says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BalanceVerdict {
    /// The gap is within what the scales explain.
    Closes,
    /// The gap is larger than the scales explain. Which entry is wrong, a balance cannot say.
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
/// A reading of a scale with division d has a standard deviation of d/√12 (error uniform over one division), so the gap has
/// √(Σ d²/12) and z = gap ÷ that.
#[derive(Debug, Clone, PartialEq)]
pub struct Balance {
    /// Intake less the sum of the readings; set when both are there.
    pub gap: Option<Mass>,
    /// Standard deviation of the gap in grams; set when every division is known.
    pub sd_grams: Option<f64>,
    /// Gap in standard deviations; set when something can be said.
    pub z: Option<f64>,
    /// What that means.
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
    let left = haul.remainders.iter().find(|remainder| remainder.of == Host::Unit);
    match left.map(|remainder| remainder.how) {
        Some(How::Computed) => return Ok(unsaid(Some(gap), "what is left was computed, not weighed")),
        Some(How::Unknown) => return Ok(unsaid(Some(gap), "what is left was not weighed")),
        Some(How::Weighed) | None => {}
    }
    let Some(sd) = gap_sd(haul) else {
        return Ok(unsaid(Some(gap), "the division of a scale is not known"));
    };
    let z = in_grams(gap) / sd;
    let verdict = if z.abs() > LIMIT {
        BalanceVerdict::DoesNotClose
    } else if LIMIT * sd > MATTERS * in_grams(intake) {
        BalanceVerdict::CannotBeSaid("the scales are too coarse for this unit")
    } else {
        BalanceVerdict::Closes
    };
    Ok(Balance { gap: Some(gap), sd_grams: Some(sd), z: Some(z), verdict })
}

fn in_grams(mass: Mass) -> f64 {
    // A mass is at most 10¹² g, which every float holds.
    mass.grams().to_f64().unwrap_or_default()
}

/// √(Σ d²/12) in grams over the intake and every reading; `None` when a division is not known.
fn gap_sd(haul: &Haul) -> Option<f64> {
    let divisions = haul.readings.iter().map(|reading| reading.division).chain([haul.intake_division]);
    let variances = divisions.map(|d| (d > Mass::ZERO).then(|| in_grams(d).powi(2) / 12.0));
    variances.sum::<Option<f64>>().map(f64::sqrt)
}
