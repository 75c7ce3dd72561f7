//! A session's journal as it was read: what any text of its recipe can be run over. Plain data, so that it can be read on a thread
//! of its own.

use std::sync::mpsc::{SyncSender, sync_channel};
use std::thread;

use super::then::RanUnder;
use crate::bench::Standing;
use crate::market::Haul;
use crate::store::home::Home;
use crate::store::journal::{JournalReading, SessionHeader};
use crate::store::{Id, StoreError};

/// How many journals may wait to be worked on.
const AHEAD: usize = 16;

/// The longest journal that is read ahead, in bytes: twenty times a long one. Those beyond are read one by one, when it is their
/// turn, so that a folder of huge ones takes no more memory than the largest of them.
const MOST_AHEAD: u64 = 512 * 1024;

/// A session's journal, read and folded.
#[derive(Debug)]
pub struct Record {
    /// What was fixed when it began.
    pub(super) header: SessionHeader,
    /// The answers that stand.
    pub(super) standing: Standing,
    /// The texts that it ran under last.
    pub(super) ran: RanUnder,
    /// What is wrong with the end of the journal.
    pub(super) damage: Option<String>,
}

impl Record {
    /// Reads a session's journal.
    ///
    /// # Errors
    /// Its header is damaged or foreign, or it cannot be read at all.
    pub fn read(home: &Home, id: &Id) -> Result<Record, StoreError> {
        Ok(Record::of(home.session(id)?))
    }

    /// A journal, folded.
    pub fn of(reading: JournalReading) -> Record {
        let damage = reading.ending.told();
        let ran = RanUnder::of(&reading.header, &reading.records);
        Record { header: reading.header, standing: Standing::of(reading.records), ran, damage }
    }

    /// What is wrong with the end of the journal, if anything.
    pub fn damage(&self) -> Option<&str> {
        self.damage.as_deref()
    }

    /// The digests of all texts that it ran under.
    pub fn texts(&self) -> impl Iterator<Item = &str> {
        let yard = self.standing.yard_digest().or(self.header.yard_digest.as_deref());
        self.ran.digests().chain(yard)
    }

    /// What was fixed when the session began.
    pub fn into_header(self) -> SessionHeader {
        self.header
    }

    /// What the session came to, where its journal keeps that and is whole.
    pub fn result(&self) -> Option<Haul> {
        kept_result(&self.standing, self.damage.as_deref())
    }
}

/// What a session came to, where its journal keeps that and is whole.
pub(super) fn kept_result(standing: &Standing, damage: Option<&str>) -> Option<Haul> {
    Haul::from_line(standing.result().filter(|_| damage.is_none())?)
}

/// What was read ahead; `None` for what has to wait for its turn.
type Ahead = Option<Result<Record, StoreError>>;

/// Reads journals in order on a thread of its own, some ahead of `act`, which stays on this one. Where no thread is to be had, each
/// is read when it is its turn.
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
            // A reader that ended before its time leaves the rest to be read here.
            let read = if ahead { receiver.recv().ok().flatten() } else { None };
            act(id, read.unwrap_or_else(|| Record::read(home, id)))?;
        }
        Ok(())
    })
}

/// Reads until all is read or nobody listens any more.
fn read_ahead(home: &Home, ids: &[Id], sender: SyncSender<Ahead>) {
    for id in ids {
        let is_short = home.session_len(id).is_none_or(|len| len <= MOST_AHEAD);
        if sender.send(is_short.then(|| Record::read(home, id))).is_err() {
            return;
        }
    }
}
