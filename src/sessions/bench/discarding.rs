//! A session that is a mistake is set aside, and brought back: entries of its journal like all others.

use std::path::PathBuf;

use super::Session;
use crate::bench::{Kind, Standing};
use crate::store::Id;
use crate::world::{AppError, World};

/// How a session that was set aside is brought back, in a sentence.
fn set_aside(session: &str) -> String {
    format!("{session} is set aside and counts nowhere; `discard {session} --bring-back` brings it back")
}

impl Session<'_> {
    /// Sets the session at hand aside: from here on it counts nowhere.
    ///
    /// # Errors
    /// The journal cannot be written.
    pub fn discard(&mut self) -> Result<(), AppError> {
        self.record(Kind::Discard, None, None)
    }

    /// That the session is set aside, and how it is brought back; `None` where it counts.
    pub fn why_not_counted(&self) -> Option<String> {
        self.standing.is_discarded().then(|| set_aside(self.id()))
    }
}

impl World {
    /// Sets a session aside that nobody works at, or brings it back; the side file of an entry that was never finished, if its
    /// journal ended in one.
    ///
    /// # Errors
    /// It is set aside already, or was not; it is damaged or in use.
    pub fn discard(&self, id: &Id, back: bool) -> Result<Option<PathBuf>, AppError> {
        if back != self.is_discarded(id)? {
            let why = if back { format!("{id} is not set aside; it counts") } else { set_aside(id.as_str()) };
            return Err(AppError::Refused(why));
        }
        self.append_to(id, if back { Kind::BringBack } else { Kind::Discard }, None)
    }

    /// The session that a word means, unless it is set aside. What else is wrong with its journal is said where it is read.
    ///
    /// # Errors
    /// As [`World::session_id`]; it counts nowhere, also where it is named.
    pub fn counted_session(&self, word: &str) -> Result<Id, AppError> {
        let id = self.session_id(word)?;
        match self.is_discarded(&id) {
            Ok(true) => Err(AppError::Refused(set_aside(id.as_str()))),
            Ok(false) | Err(_) => Ok(id),
        }
    }

    /// Whether a session is set aside.
    ///
    /// # Errors
    /// Its journal cannot be read at all.
    pub fn is_discarded(&self, id: &Id) -> Result<bool, AppError> {
        Ok(Standing::of(self.home.session(id)?.records).is_discarded())
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
