//! A session's notes, and the tags in them.

use std::path::PathBuf;

use super::Session;
use crate::bench::{Entry, Kind};
use crate::store::Id;
use crate::world::{AppError, World};

impl Session<'_> {
    /// Stores a note. Its words that begin with `#` are tags.
    ///
    /// # Errors
    /// It is empty, too long or not plain text; or the journal cannot be written.
    pub fn note(&mut self, text: &str) -> Result<(), AppError> {
        let text = remark(text)?;
        self.record(Kind::Note, None, Some((text, text)))?;
        self.fold();
        Ok(())
    }

    /// Tags the session with a note that holds only the tags.
    ///
    /// # Errors
    /// As [`Session::note`].
    pub fn tag(&mut self, tags: &[&str]) -> Result<(), AppError> {
        let marked: Vec<String> = tags.iter().map(|tag| format!("#{tag}")).collect();
        if marked.is_empty() { Ok(()) } else { self.note(&marked.join(" ")) }
    }
}

impl World {
    /// Adds a note to a session that is not in use, even after its end; its recipe need not run any more. Returns the
    /// session's name, and the side file of an unfinished last entry if the journal ended in one.
    ///
    /// # Errors
    /// As [`Session::note`]; no such session, or it is damaged or in use.
    pub fn add_note(&self, session: &str, text: &str) -> Result<(String, Option<PathBuf>), AppError> {
        let text = remark(text)?;
        let id = self.session_id(session)?;
        let torn = self.append_to(&id, Kind::Note, Some(text))?;
        Ok((id.to_string(), torn))
    }

    /// Adds one entry to the journal of a session that is not in use.
    pub(super) fn append_to(&self, id: &Id, kind: Kind, text: Option<&str>) -> Result<Option<PathBuf>, AppError> {
        let at = self.clock.stamp();
        let mut opened = self.home.resume_session(id, &at)?;
        let (seq, text) = (opened.writer.next_seq(), text.map(str::to_owned));
        let entry = Entry { seq, at, kind, question: None, typed: text.clone(), understood: text, origin: None };
        opened.writer.append(&entry)?;
        Ok(opened.torn)
    }
}

fn remark(text: &str) -> Result<&str, AppError> {
    let text = text.trim();
    if text.is_empty() || text.chars().count() > 500 || text.chars().any(char::is_control) {
        return Err(AppError::Refused("a note is one line of 1 to 500 plain characters".into()));
    }
    Ok(text)
}
