//! What an ended session came to, without its answers: all that sums over many sessions need of it.

use serde::{Deserialize, Serialize};

use super::occasion::Occasion;
use super::record::SessionRecord;
use super::summary::SessionSummary;
use super::then::RanUnder;
use crate::market::Haul;
use crate::store::home::Home;
use crate::store::journal::SessionHeader;
use crate::store::{Id, StoreError};

/// An ended session whose journal is whole and keeps what came out of it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct SessionOutcome {
    /// What was fixed when it began.
    pub header: SessionHeader,
    /// What came out.
    pub haul: Haul,
    /// The texts that it ran under last.
    pub(super) ran: RanUnder,
    yard: Option<String>,
    yard_digest: Option<String>,
    last_act: String,
    tags: Vec<String>,
    /// Its weights and minutes; `None` as long as nobody asked for them: they take a run of its recipe.
    pub(super) summary: Option<SessionSummary>,
    /// The SHA-256 of the journal that says so.
    #[serde(skip)]
    pub(super) journal: String,
}

impl SessionOutcome {
    /// As a journal says it; `None` where the session goes on, is set aside, or its journal is damaged or keeps no
    /// result.
    pub fn of(record: &SessionRecord) -> Option<SessionOutcome> {
        if record.standing.is_discarded() {
            return None;
        }
        let standing = &record.standing;
        Some(SessionOutcome {
            haul: record.result()?,
            header: record.header.clone(),
            ran: record.ran.clone(),
            yard: standing.yard().map(str::to_owned),
            yard_digest: standing.yard_digest().map(str::to_owned),
            last_act: standing.last_act().to_owned(),
            tags: standing.tags().into_iter().map(str::to_owned).collect(),
            summary: None,
            journal: record.journal.clone(),
        })
    }

    /// The same with its weights and minutes.
    pub(super) fn with(self, summary: SessionSummary) -> SessionOutcome {
        SessionOutcome { summary: Some(summary), ..self }
    }

    /// As one line of text.
    pub(super) fn to_line(&self) -> Option<String> {
        serde_json::to_string(self).ok()
    }

    /// Reads back what [`SessionOutcome::to_line`] wrote of the journal of this digest.
    pub(super) fn from_line(line: &str, journal: &str) -> Option<SessionOutcome> {
        let mut outcome: SessionOutcome = serde_json::from_str(line).ok()?;
        let mixes = outcome.haul.mixes.len();
        if outcome.haul.fractions.iter().filter_map(|fraction| fraction.in_mix).any(|at| at >= mixes) {
            return None;
        }
        journal.clone_into(&mut outcome.journal);
        let day = outcome.occasion().day();
        let id = outcome.header.id.clone();
        if let Some(summary) = &mut outcome.summary {
            (summary.id, summary.day) = (id, day);
        }
        Some(outcome)
    }

    /// When and where it was.
    pub(crate) fn occasion(&self) -> Occasion<'_> {
        Occasion {
            header: &self.header,
            yard: self.yard.as_deref(),
            yard_digest: self.yard_digest.as_deref(),
            last_act: &self.last_act,
        }
    }

    /// The tags of its notes.
    pub fn tags(&self) -> &[String] {
        &self.tags
    }
}

/// A session as it is told to whoever goes through many: what it came to, or its journal, or both.
pub struct Told {
    /// What it came to, where it has ended and the texts that it ran under are there.
    pub outcome: Option<SessionOutcome>,
    /// Its journal, where it was read.
    pub(super) record: Option<SessionRecord>,
}

impl Told {
    /// Its journal, read if it was not.
    ///
    /// # Errors
    /// As [`SessionRecord::read`].
    pub fn record(self, home: &Home, id: &Id) -> Result<SessionRecord, StoreError> {
        self.record.map_or_else(|| SessionRecord::read(home, id), Ok)
    }
}
