//! What comparing and learning need of a session.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;
use rust_decimal::prelude::ToPrimitive;
use serde::{Deserialize, Serialize};

use super::past::Past;
use crate::bench::Presence;
use crate::quantity::{Mass, Minutes};

/// What comparing and learning need of a session. A [`Past`] holds some hundred thousand bytes, too many to keep of
/// thousands.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct SessionSummary {
    /// The session's name.
    #[serde(skip)]
    pub id: String,
    /// The day on which it began.
    #[serde(skip)]
    pub day: Option<Date>,
    intake: Option<Mass>,
    parts: BTreeMap<String, Presence>,
    /// Parts whose weight the person was asked about, and kept or put right.
    meant: BTreeSet<String>,
    minutes: BTreeMap<String, Minutes>,
}

impl From<&Past> for SessionSummary {
    fn from(past: &Past) -> SessionSummary {
        let state = &past.run_result.state;
        SessionSummary {
            id: past.header.id.clone(),
            day: past.day(),
            intake: state.intake.map(|reading| reading.net),
            parts: state.parts.iter().map(|part| (part.part.clone(), part.presence)).collect(),
            meant: state.parts.iter().filter(|part| past.is_meant(part)).map(|part| part.part.clone()).collect(),
            minutes: state.minutes.iter().cloned().collect(),
        }
    }
}

impl SessionSummary {
    /// The intake weight in grams, if the unit was weighed.
    pub fn intake(&self) -> Option<f64> {
        grams(self.intake?).filter(|grams| *grams > 0.0)
    }

    /// What became of a part; `None` when its step was not done.
    pub fn presence(&self, part: &str) -> Option<Presence> {
        self.parts.get(part).copied()
    }

    /// Whether the person was asked about the weight of a part, and kept it or put it right.
    pub fn is_meant(&self, part: &str) -> bool {
        self.meant.contains(part)
    }

    /// What a part weighed in grams; `None` when it was not weighed or did not come out.
    pub fn weight(&self, part: &str) -> Option<f64> {
        match self.presence(part)? {
            Presence::Weighed(reading) => grams(reading.net),
            Presence::TooLight | Presence::Absent => None,
        }
    }

    /// How long a step took in minutes; `None` when it was not done.
    pub fn minutes(&self, step: &str) -> Option<f64> {
        self.minutes.get(step)?.get().to_f64()
    }
}

fn grams(mass: Mass) -> Option<f64> {
    mass.grams().to_f64()
}
