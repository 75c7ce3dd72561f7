//! Reads sessions on a thread of its own, ahead of whoever works on them.

use std::sync::mpsc::{SyncSender, sync_channel};
use std::thread;

use super::outcome::{SessionOutcome, Told};
use super::record::SessionRecord;
use crate::store::digest;
use crate::store::home::{Home, Results};
use crate::store::{Id, StoreError};

/// How many journals may wait to be worked on.
const AHEAD: usize = 16;

/// The longest journal that is read ahead, in bytes: twenty times a long one. Those beyond are read one by one, when
/// it is their turn, so that a folder of huge ones takes no more memory than the largest of them.
const MOST_AHEAD: u64 = 512 * 1024;

/// Reads what a session came to where that is kept of just this journal, else its journal.
fn told(home: &Home, results: &Results, id: &Id) -> Result<Told, StoreError> {
    let bytes = home.session_bytes(id)?;
    let journal = digest(&bytes);
    let kept = results.of(id.as_str(), &journal).and_then(|line| SessionOutcome::from_line(line, &journal));
    let record = match kept {
        Some(_) => None,
        None => Some(SessionRecord::in_bytes(home, id, &bytes, journal)?),
    };
    Ok(Told { outcome: kept, record })
}

/// What was read ahead; `None` for what has to wait for its turn.
type Ahead = Option<Result<Told, StoreError>>;

/// Reads sessions in order on a thread of its own, some ahead of `act`, which stays on this one. Where no thread is to
/// be had, each is read when it is its turn.
pub(super) fn each_told<E>(
    home: &Home,
    results: &Results,
    ids: &[Id],
    mut act: impl FnMut(&Id, Result<Told, StoreError>) -> Result<(), E>,
) -> Result<(), E> {
    thread::scope(|scope| {
        let (sender, receiver) = sync_channel::<Ahead>(AHEAD);
        let reader = (ids.len() > 1)
            .then(|| thread::Builder::new().spawn_scoped(scope, || read_ahead(home, results, ids, sender)));
        let ahead = matches!(reader, Some(Ok(_)));
        for id in ids {
            // A reader that ended before its time leaves the rest to be read here.
            let read = if ahead { receiver.recv().ok().flatten() } else { None };
            act(id, read.unwrap_or_else(|| told(home, results, id)))?;
        }
        Ok(())
    })
}

/// Reads until all is read or nobody listens any more.
fn read_ahead(home: &Home, results: &Results, ids: &[Id], sender: SyncSender<Ahead>) {
    for id in ids {
        let is_short = home.session_len(id).is_none_or(|len| len <= MOST_AHEAD);
        if sender.send(is_short.then(|| told(home, results, id))).is_err() {
            return;
        }
    }
}
