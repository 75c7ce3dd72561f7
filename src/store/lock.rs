//! One writer at a time: per session, and per folder for everything else. Readers need no lock.

use std::path::Path;
use std::sync::Arc;
use std::thread::sleep;
use std::time::Duration;

use super::disk::{Disk, HeldLock};
use super::error::StoreError;
use super::files;
use super::log::text::visible;

/// The most read of a lock file to name its holder.
const OWNER_LIMIT: u64 = 200;

/// How long to wait for a lock that another holds; most actions take less.
const PATIENCE: Duration = Duration::from_secs(1);
/// The longest pause between attempts.
const LONGEST_PAUSE: Duration = Duration::from_millis(32);

/// The right to write, held until its last copy is dropped. The system releases it when the process ends, even if it is
/// killed.
#[derive(Clone)]
pub struct Lock(#[expect(dead_code, reason = "held for what dropping it does")] Arc<dyn HeldLock>);

impl std::fmt::Debug for Lock {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Lock")
    }
}

impl Lock {
    /// Takes the lock at `path`, waiting up to a second. `now` (any readable time) is noted there with the process id,
    /// for others who want the lock.
    ///
    /// # Errors
    /// [`StoreError::Locked`] if another process, or another part of this one, holds it all that time; it names the
    /// holder if the system lets the note be read. [`StoreError::WrongKind`] if no regular file is there.
    pub fn take(disk: &dyn Disk, path: &Path, now: &str) -> Result<Self, StoreError> {
        let (mut waited, mut pause) = (Duration::ZERO, Duration::from_millis(1));
        loop {
            match Self::take_at_once(disk, path, now) {
                Err(StoreError::Locked { .. }) if waited < PATIENCE => {}
                result => return result,
            }
            sleep(pause);
            waited += pause;
            pause = (2 * pause).min(LONGEST_PAUSE);
        }
    }

    /// The same without waiting.
    ///
    /// # Errors
    /// As for [`Lock::take`].
    pub fn take_at_once(disk: &dyn Disk, path: &Path, now: &str) -> Result<Self, StoreError> {
        files::expect_file_or_nothing(disk, path)?;
        let owner = format!("process {} since {now}\n", std::process::id());
        match disk.lock(path, &owner).map_err(StoreError::io("lock", path))? {
            Some(held) => Ok(Self(held.into())),
            None => Err(StoreError::Locked { path: path.to_owned(), owner: owner_of(disk, path) }),
        }
    }
}

/// Who holds a lock, as ` by process 12 since …`; empty if unreadable.
fn owner_of(disk: &dyn Disk, path: &Path) -> String {
    let note = disk.read(path, OWNER_LIMIT).unwrap_or_default();
    match String::from_utf8_lossy(&note).trim() {
        "" => String::new(),
        owner => format!(" by {}", visible(owner)),
    }
}
