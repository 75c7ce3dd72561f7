//! A session's journal as read: any text of its recipe can be run over it. Plain data, so that a separate thread can
//! read it.

use std::sync::mpsc::{SyncSender, sync_channel};
use std::thread;

use super::then::RanUnder;
use crate::bench::Standing;
use crate::market::Haul;
use crate::store::home::Home;
use crate::store::journal::{JournalReading, SessionHeader};
use crate::store::{Id, StoreError};

/// How many journals may be read ahead.
const AHEAD: usize = 16;

/// The longest journal that is read ahead, in bytes: twenty times a long one. Longer ones are read one by one in their
/// turn, so that a folder of huge ones needs no more memory than the largest.
const MOST_AHEAD: u64 = 512 * 1024;

/// A session's journal, read and folded.
#[derive(Debug)]
pub struct Record {
    /// What was fixed when it began.
    pub(super) header: SessionHeader,
    /// The current answers.
    pub(super) standing: Standing,
    /// The texts it last ran under.
    pub(super) ran: RanUnder,
    /// What is wrong with the end of the journal.
    pub(super) damage: Option<String>,
}

impl Record {
    /// Reads a session's journal.
    ///
    /// # Errors
    /// Its header is damaged or from a foreign program, or it cannot be read at all.
    pub fn read(home: &Home, id: &Id) -> Result<Record, StoreError> {
        Ok(Record::of(home.session(id)?))
    }

    /// Folds a journal.
    pub fn of(reading: JournalReading) -> Record {
        let damage = reading.ending.told();
        let ran = RanUnder::of(&reading.header, &reading.records);
        Record { header: reading.header, standing: Standing::of(reading.records), ran, damage }
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
pub(super) fn kept_result(standing: &Standing, damage: Option<&str>) -> Option<Haul> {
    Haul::from_line(standing.result().filter(|_| damage.is_none())?)
}

/// A journal read ahead; `None` if it must be read in its turn.
type Ahead = Option<Result<Record, StoreError>>;

/// Reads journals in order on a separate thread, some ahead of `act`, which stays on this one. If no thread can be
/// started, each is read in its turn.
pub(super) fn each_record<E>(
    home: &Home,
    ids: &[Id],
    mut act: impl FnMut(&Id, Result<Record, StoreError>) -> Result<(), E>,
) -> Result<(), E> {
    thread::scope(|scope| {
        let (sender, receiver) = sync_channel::<Ahead>(AHEAD);
        let reader =
            (ids.len() > 1).then(|| thread::Builder::new().spawn_scoped(scope, || read_ahead(home, ids, sender)));
        let ahead = matches!(reader, Some(Ok(_)));
        for id in ids {
            // If the reader ended early, the rest is read here.
            let read = if ahead { receiver.recv().ok().flatten() } else { None };
            act(id, read.unwrap_or_else(|| Record::read(home, id)))?;
        }
        Ok(())
    })
}

/// Reads until everything is read or the receiver is gone.
fn read_ahead(home: &Home, ids: &[Id], sender: SyncSender<Ahead>) {
    for id in ids {
        let is_short = home.session_len(id).is_none_or(|len| len <= MOST_AHEAD);
        if sender.send(is_short.then(|| Record::read(home, id))).is_err() {
            return;
        }
    }
}
