//! Discarding a mistaken session, and restoring it: both are ordinary journal entries.

use std::path::PathBuf;

use super::Session;
use crate::bench::{CurrentAnswers, Kind};
use crate::store::Id;
use crate::world::{AppError, World};

/// How to restore a discarded session, in a sentence.
fn set_aside(session: &str) -> String {
    format!("{session} is set aside and counts nowhere; `discard {session} --bring-back` brings it back")
}

impl Session<'_> {
    /// Discards the current session: from here on it counts nowhere.
    ///
    /// # Errors
    /// The journal cannot be written.
    pub fn discard(&mut self) -> Result<(), AppError> {
        self.record(Kind::Discard, None, None)
    }

    /// That the session is discarded, and how to restore it; `None` if it counts.
    pub fn why_not_counted(&self) -> Option<String> {
        self.standing.is_discarded().then(|| set_aside(self.id()))
    }
}

impl World {
    /// Discards or restores a session that is not in use. Returns the side file of an unfinished last entry, if the
    /// journal ended in one.
    ///
    /// # Errors
    /// It is already discarded, or was not; it is damaged or in use.
    pub fn discard(&self, id: &Id, back: bool) -> Result<Option<PathBuf>, AppError> {
        if back != self.is_discarded(id)? {
            let why = if back { format!("{id} is not set aside; it counts") } else { set_aside(id.as_str()) };
            return Err(AppError::Refused(why));
        }
        self.append_to(id, if back { Kind::BringBack } else { Kind::Discard }, None)
    }

    /// The session that a word means, unless it is discarded. Other faults of its journal are reported where it is
    /// read.
    ///
    /// # Errors
    /// As [`World::session_id`]; the session is discarded, so it counts nowhere even when named.
    pub fn counted_session(&self, word: &str) -> Result<Id, AppError> {
        let id = self.session_id(word)?;
        match self.is_discarded(&id) {
            Ok(true) => Err(AppError::Refused(set_aside(id.as_str()))),
            Ok(false) | Err(_) => Ok(id),
        }
    }

    /// Whether a session is discarded.
    ///
    /// # Errors
    /// Its journal cannot be read at all.
    pub fn is_discarded(&self, id: &Id) -> Result<bool, AppError> {
        Ok(CurrentAnswers::of(self.home.session(id)?.records).is_discarded())
    }

    /// What was done in the stock with lots of a session, in words.
    ///
    /// # Errors
    /// The log of the stock cannot be read.
    pub fn used_in_stock(&self, session: &str) -> Result<Vec<String>, AppError> {
        let lot = format!("{session}/");
        let acts = self.standing_acts()?;
        let uses = acts.iter().filter(|act| act.lots.iter().any(|name| name.starts_with(&lot)));
        Ok(uses.map(|act| format!("{} (entry {} of the stock's log)", act.words(), act.seq)).collect())
    }
}
