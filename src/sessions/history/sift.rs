//! Which weights teach: all but those that are most likely slips of hand which nobody noticed.
//!
//! A weight is judged as one that is typed at the bench is: by what the recipe and all the *other* sessions lead to expect of it, and
//! by how much better it would fit with a known slip undone ([`crate::stats::slips`]). So units that differ from the recipe are
//! learned from as soon as they differ alike, and a weight that is merely far out still teaches: only a weight that a slip explains,
//! with nine chances in ten, does not. One that the person was asked about and kept, or put right, is meant as it stands.

use std::fmt;

use super::super::doubt::reading;
use super::summary::SessionSummary;
use crate::bench::Presence;
use crate::quantity::Mass;
use crate::stats::slips::{Entry, Slip, diagnose_entry};
use crate::stats::three_point::ThreePoint;
use crate::stats::yields::{Weighed, learn};

/// From which probability of any slip on a weight does not teach.
const MOST_LIKELY: f64 = 0.9;

/// The least sd of what is expected, as a share of its value: no part is known better than that.
const LEAST_SD: f64 = 0.01;

/// A weight that teaches nothing.
#[derive(Debug, Clone, PartialEq)]
pub struct Slipped {
    /// The part.
    pub part: String,
    /// The session in which it was weighed.
    pub session: String,
    /// The weight as it stands there.
    pub mass: Mass,
    /// The slip that would explain it best.
    pub slip: Slip,
}

impl fmt::Display for Slipped {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "most likely a slip (such as: {}), so that nothing is learned from it", self.slip)
    }
}

/// The weights of a part in these sessions, parted into those that teach and those that do not.
pub(super) fn sift(
    part: &str,
    range: &ThreePoint,
    usual_intake: f64,
    worth: f64,
    pasts: &[&SessionSummary],
) -> (Vec<Weighed>, Vec<Slipped>) {
    let weighed = |past: &SessionSummary| Some(Weighed { mass: past.weight(part)?, intake: past.intake()? });
    let all: Vec<(&SessionSummary, Weighed)> = pasts.iter().filter_map(|past| Some((*past, weighed(past)?))).collect();
    let others = |place: usize| -> Vec<Weighed> {
        all.iter().enumerate().filter(|(other, _)| *other != place).map(|(_, (_, weighed))| *weighed).collect()
    };
    let slip_at = |place: usize| -> Option<(Mass, Slip)> {
        let (past, weighed) = all[place];
        let Presence::Weighed(found) = past.presence(part).filter(|_| !past.is_meant(part))? else { return None };
        let known = learn(range, usual_intake, worth, &others(place)).ok()?;
        let least = known.predictive(weighed.intake).ok()?.centre().abs() * LEAST_SD;
        let expected = known.expected(weighed.intake, least.max(0.1)).ok()?;
        let diagnosis = diagnose_entry(&Entry::new(reading(found.net, found.finest)?), &expected, &[]);
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
