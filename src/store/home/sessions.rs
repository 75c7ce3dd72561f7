//! Sessions in the folder: one journal each.

use std::path::PathBuf;

use super::{FolderListing, Home};
use crate::store::disk::FileKind;
use crate::store::error::StoreError;
use crate::store::files;
use crate::store::journal::{Journal, JournalReading, OpenedJournal, SessionHeader};
use crate::store::lock::Lock;
use crate::store::log::{self, Tail};
use crate::store::name::Id;

/// The most sessions of one recipe on one day.
const MAX_A_DAY: u32 = 9999;

impl Home {
    fn sessions_folder(&self) -> PathBuf {
        self.root.join("sessions")
    }

    /// The path of a session's journal.
    #[must_use]
    pub fn session_file(&self, id: &Id) -> PathBuf {
        self.sessions_folder().join(format!("{id}.toml"))
    }

    /// All sessions, without opening them: by date, then recipe, then number; empty if there is no such folder.
    ///
    /// # Errors
    /// [`StoreError::Io`].
    pub fn sessions(&self) -> Result<FolderListing, StoreError> {
        let is_ours = |name: &str| name.ends_with(".lock") || name.contains(".toml.torn-");
        let mut list = self.list(&self.sessions_folder(), ".toml", is_ours)?;
        list.ids.sort_by_cached_key(|id| match id.as_str().rsplit_once('-') {
            Some((stem, number)) => (stem.to_owned(), number.parse().unwrap_or(u32::MAX)),
            None => (id.as_str().to_owned(), 0),
        });
        Ok(list)
    }

    /// Begins a session on the local `date` (`2026-11-02`): names it `<date>-<recipe>-<n>` with the lowest free number,
    /// creates its journal, and holds its lock. Fills in the header's `id`.
    ///
    /// # Errors
    /// [`StoreError::BadName`] if no name can be made; otherwise as for [`Journal::create`] and [`Lock::take`].
    pub fn begin_session(&self, date: &str, header: &SessionHeader) -> Result<Journal, StoreError> {
        files::make_folders(self.disk.as_ref(), &self.sessions_folder())?;
        for number in 1..=MAX_A_DAY {
            let id = Id::new(&format!("{date}-{}-{number}", header.recipe))?;
            let path = self.session_file(&id);
            if files::kind(self.disk.as_ref(), &path)?.is_some() {
                continue;
            }
            // Whoever holds the lock takes that name, so there is no point in waiting.
            let lock = Lock::take_at_once(self.disk.as_ref(), &self.session_lock(&id), &header.started);
            let made = lock.and_then(|lock| {
                let header = SessionHeader { id: id.to_string(), ..header.clone() };
                Journal::create(self.disk.clone(), &path, &header, lock)
            });
            match made {
                // Another process was quicker.
                Err(StoreError::Exists { .. } | StoreError::Locked { .. }) => {}
                result => return result,
            }
        }
        Err(StoreError::Refused { what: format!("{} has had {MAX_A_DAY} sessions on {date}", header.recipe) })
    }

    /// Opens a session for writing.
    ///
    /// # Errors
    /// As for [`Journal::open`] and [`Lock::take`]; [`StoreError::Content`] if the journal belongs to another session.
    pub fn resume_session(&self, id: &Id, now: &str) -> Result<OpenedJournal, StoreError> {
        let path = self.session_file(id);
        // Otherwise a mistyped name would leave a lock file behind.
        if files::kind(self.disk.as_ref(), &path)?.is_none() {
            return Err(StoreError::Missing { path });
        }
        let lock = Lock::take(self.disk.as_ref(), &self.session_lock(id), now)?;
        let opened = Journal::open(self.disk.clone(), &path, lock, Tail::PutAside)?;
        self.expect_id(id, &opened.reading)?;
        Ok(opened)
    }

    /// Reads a session; damage after the header is part of the result.
    ///
    /// # Errors
    /// As for [`log::read`]; [`StoreError::Content`] if the journal belongs to another session.
    pub fn session(&self, id: &Id) -> Result<JournalReading, StoreError> {
        self.session_in(id, &self.session_bytes(id)?)
    }

    /// The bytes of a session's journal.
    ///
    /// # Errors
    /// As for [`files::read`].
    pub fn session_bytes(&self, id: &Id) -> Result<Vec<u8>, StoreError> {
        files::read(self.disk.as_ref(), &self.session_file(id), log::MAX_FILE)
    }

    /// The session in the bytes of its journal.
    ///
    /// # Errors
    /// As for [`Home::session`].
    pub fn session_in(&self, id: &Id, bytes: &[u8]) -> Result<JournalReading, StoreError> {
        let reading = log::parse(&self.session_file(id), bytes)?;
        self.expect_id(id, &reading)?;
        Ok(reading)
    }

    /// The length of a session's journal in bytes; `None` if there is no file.
    #[must_use]
    pub fn session_len(&self, id: &Id) -> Option<u64> {
        match files::kind(self.disk.as_ref(), &self.session_file(id)) {
            Ok(Some(FileKind::File { len })) => Some(len),
            _ => None,
        }
    }

    fn session_lock(&self, id: &Id) -> PathBuf {
        self.sessions_folder().join(format!("{id}.lock"))
    }

    /// Rejects a journal filed under another session's name: the session would be counted twice.
    fn expect_id(&self, id: &Id, reading: &JournalReading) -> Result<(), StoreError> {
        if reading.header.id == id.as_str() {
            return Ok(());
        }
        let seen = log::text::shown(&reading.header.id);
        let what = format!("this is the journal of the session {seen}. Give the file that name again");
        Err(StoreError::Content { path: self.session_file(id), line: 3, what })
    }
}
