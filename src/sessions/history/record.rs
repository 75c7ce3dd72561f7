//! A session's journal as read: any text of its recipe can be run over it. Plain data, so that a separate thread can
//! read it.

use super::then::RanUnder;
use crate::bench::CurrentAnswers;
use crate::market::Haul;
use crate::store::digest;
use crate::store::home::Home;
use crate::store::journal::{JournalReading, SessionHeader};
use crate::store::{Id, StoreError};

/// A session's journal, read and folded.
#[derive(Debug)]
pub struct SessionRecord {
    /// What was fixed when it began.
    pub(super) header: SessionHeader,
    /// The current answers.
    pub(super) standing: CurrentAnswers,
    /// The texts it last ran under.
    pub(super) ran: RanUnder,
    /// What is wrong with the end of the journal.
    pub(super) damage: Option<String>,
    /// The SHA-256 of its bytes; empty where nobody asked for it.
    pub(super) journal: String,
}

impl SessionRecord {
    /// Reads a session's journal.
    ///
    /// # Errors
    /// Its header is damaged or from a foreign program, or it cannot be read at all.
    pub fn read(home: &Home, id: &Id) -> Result<SessionRecord, StoreError> {
        let bytes = home.session_bytes(id)?;
        SessionRecord::in_bytes(home, id, &bytes, digest(&bytes))
    }

    pub(super) fn in_bytes(home: &Home, id: &Id, bytes: &[u8], journal: String) -> Result<SessionRecord, StoreError> {
        Ok(SessionRecord { journal, ..SessionRecord::of(home.session_in(id, bytes)?) })
    }

    /// Folds a journal.
    pub fn of(reading: JournalReading) -> SessionRecord {
        let damage = reading.ending.told();
        let ran = RanUnder::of(&reading.header, &reading.records);
        SessionRecord {
            header: reading.header,
            standing: CurrentAnswers::of(reading.records),
            ran,
            damage,
            journal: String::new(),
        }
    }

    /// What is wrong with the end of the journal, if anything.
    pub fn damage(&self) -> Option<&str> {
        self.damage.as_deref()
    }

    /// The digests of all texts it ran under.
    pub fn texts(&self) -> impl Iterator<Item = &str> {
        let yard = self.standing.yard_digest().or(self.header.yard_digest.as_deref());
        self.ran.digests().chain(yard)
    }

    /// What was fixed when the session began.
    pub fn into_header(self) -> SessionHeader {
        self.header
    }

    /// The session's result, if its journal is intact and stores one.
    pub fn result(&self) -> Option<Haul> {
        kept_result(&self.standing, self.damage.as_deref())
    }
}

/// The session's result, if its journal is intact and stores one.
pub(super) fn kept_result(standing: &CurrentAnswers, damage: Option<&str>) -> Option<Haul> {
    Haul::from_line(standing.result().filter(|_| damage.is_none())?)
}
