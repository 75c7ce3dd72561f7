//! Drops likely typing errors before learning.
//!
//! A weight is judged as at the bench: by what the recipe and all the *other* sessions predict, and by how much better
//! it would fit with a known slip undone ([`crate::stats::slips`]). So units that differ from the recipe in the same
//! way teach at once, and a weight that is merely far out still teaches; only one that a slip explains with 90 %
//! probability does not. A weight that was questioned and kept, or corrected, is taken as meant.

use std::fmt;

use super::super::doubt::reading;
use super::summary::SessionSummary;
use crate::bench::Presence;
use crate::quantity::Mass;
use crate::stats::slips::{Slip, TypedWeight, diagnose_entry};
use crate::stats::three_point::ThreePoint;
use crate::stats::yields::{WeighedSession, learn};

/// A weight whose probability of any slip reaches this is dropped.
const MOST_LIKELY: f64 = 0.9;

/// Smallest sd of an expected value, as a share of it: no part is known better than that.
const LEAST_SD: f64 = 0.01;

/// A weight excluded from learning.
#[derive(Debug, Clone, PartialEq)]
pub struct Slipped {
    /// The part.
    pub part: String,
    /// The session in which it was weighed.
    pub session: String,
    /// The recorded weight.
    pub mass: Mass,
    /// The slip that would explain it best.
    pub slip: Slip,
}

impl fmt::Display for Slipped {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "most likely a slip (such as: {}), so that nothing is learned from it", self.slip)
    }
}

/// Splits a part's weights into those to learn from and those to drop.
pub(super) fn sift(
    part: &str,
    range: &ThreePoint,
    usual_intake: f64,
    worth: f64,
    pasts: &[&SessionSummary],
) -> (Vec<WeighedSession>, Vec<Slipped>) {
    let weighed = |past: &SessionSummary| Some(WeighedSession { mass: past.weight(part)?, intake: past.intake()? });
    let all: Vec<(&SessionSummary, WeighedSession)> =
        pasts.iter().filter_map(|past| Some((*past, weighed(past)?))).collect();
    let others = |place: usize| -> Vec<WeighedSession> {
        all.iter().enumerate().filter(|(other, _)| *other != place).map(|(_, (_, weighed))| *weighed).collect()
    };
    let slip_at = |place: usize| -> Option<(Mass, Slip)> {
        let (past, weighed) = all[place];
        let Presence::Weighed(found) = past.presence(part).filter(|_| !past.is_meant(part))? else { return None };
        let known = learn(range, usual_intake, worth, &others(place)).ok()?;
        let least = known.predictive(weighed.intake).ok()?.centre().abs() * LEAST_SD;
        let expected = known.expected(weighed.intake, least.max(0.1)).ok()?;
        let diagnosis = diagnose_entry(&TypedWeight::new(reading(found.net, found.resolution)?), &expected, &[]);
        let likely = diagnosis.likeliest().filter(|_| 1.0 - diagnosis.sound >= MOST_LIKELY)?;
        Some((found.net, likely.slip)).filter(|(_, slip)| *slip != Slip::Unexplained)
    };
    let (mut teach, mut slips) = (Vec::new(), Vec::new());
    for (place, (past, weighed)) in all.iter().enumerate() {
        match slip_at(place) {
            None => teach.push(*weighed),
            Some((mass, slip)) => slips.push(Slipped { part: part.to_owned(), session: past.id.clone(), mass, slip }),
        }
    }
    (teach, slips)
}
