//! What can go wrong with files: what, where, the offending value, and what to do next.

use std::io;
use std::path::{Path, PathBuf};

use thiserror::Error;

use super::disk::FileKind;
use super::log::text::shown;

/// Damage in a file the program wrote: it is not as it was written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Damage {
    /// The file.
    pub path: PathBuf,
    /// The line, from 1.
    pub line: usize,
    /// What is wrong there, with the offending value.
    pub what: String,
    /// Number of sound entries before it.
    pub sound: usize,
}

impl std::fmt::Display for Damage {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let Self { path, line, what, sound } = self;
        write!(f, "{}, line {line}: {what}. ", named(path))?;
        match sound {
            0 => write!(f, "No entry stands before it. Put a sound copy of the file in its place, or move it away"),
            _ => write!(
                f,
                "{}. Nothing is written to this file while it is so: put a sound copy in its place, or keep a copy and \
                 delete everything after entry {sound}",
                safe(*sound as u64 + 1)
            ),
        }
    }
}

/// Why something in the user's folder could not be read or written.
#[derive(Debug, Error)]
#[non_exhaustive]
pub enum StoreError {
    /// A system error.
    #[error("cannot {doing} {}: {source}{}", named(path), advice(source))]
    Io {
        /// The operation, as in "cannot read".
        doing: &'static str,
        /// On what.
        path: PathBuf,
        /// The system's error.
        source: io::Error,
    },
    /// Something other than the expected file or folder.
    #[error("{} is {}, where {wanted} belongs. Move it away", named(path), kind.words())]
    WrongKind {
        /// Where.
        path: PathBuf,
        /// What is there.
        kind: FileKind,
        /// What should be there.
        wanted: &'static str,
    },
    /// The file is missing.
    #[error("there is no file {}", named(path))]
    Missing {
        /// Where it should be.
        path: PathBuf,
    },
    /// The name is taken.
    #[error("{} is there already. Choose another name, or move it away", named(path))]
    Exists {
        /// What is there.
        path: PathBuf,
    },
    /// Larger than the program reads into memory.
    #[error("{} is larger than {limit} bytes, the most that is read of such a file", named(path))]
    TooLarge {
        /// The file.
        path: PathBuf,
        /// The limit in bytes.
        limit: u64,
    },
    /// Not UTF-8 text.
    #[error("{}, line {line}: the bytes there are not UTF-8 text. Save the file as UTF-8", named(path))]
    NotText {
        /// The file.
        path: PathBuf,
        /// The line, from 1.
        line: usize,
    },
    /// Another process holds the lock.
    #[error("{} is in use{owner}. Finish or close that first; a lock is let go when its process ends", named(path))]
    Locked {
        /// The lock file.
        path: PathBuf,
        /// The holder, as ` by process 12 since …`; empty if unreadable.
        owner: String,
    },
    /// A log is not as it was written.
    #[error("{0}")]
    Damaged(Damage),
    /// A log ends inside an entry, and nobody has agreed yet to move the torn piece aside.
    #[error(
        "{}, line {line}: the log ends inside an entry that was never finished, and nothing is written behind it. Do this at \
             a terminal and say yes to put that piece aside, or move what begins on that line out of the file",
        named(path)
    )]
    Torn {
        /// The log.
        path: PathBuf,
        /// The line where the piece begins, from 1.
        line: usize,
    },
    /// A file from a later version of the program.
    #[error(
        "{} was made by a newer version of this program (format version {version}; this one reads up to \
             {newest}). Use that version",
        named(path)
    )]
    Newer {
        /// The file.
        path: PathBuf,
        /// Its version as written.
        version: String,
        /// The newest version this program understands.
        newest: u32,
    },
    /// A file of another format.
    #[error("{}, line 1: this is not a {wanted} file; it begins with {seen}", named(path))]
    Foreign {
        /// The file.
        path: PathBuf,
        /// The expected format.
        wanted: &'static str,
        /// How the file begins.
        seen: String,
    },
    /// An entry was not saved, and the log accepts no more.
    #[error("entry {entry} was not saved in {}: {reason}. {}. Nothing more is written to this file now: see to the \
             disk, then open it again to go on", named(path), safe(*entry))]
    NotSaved {
        /// The file.
        path: PathBuf,
        /// The number of the entry not saved; all before it are safe.
        entry: u64,
        /// What happened.
        reason: String,
    },
    /// An entry that cannot be written, whatever the disk.
    #[error("entry {entry} cannot be recorded in {}: {reason}", named(path))]
    Unwritable {
        /// The file.
        path: PathBuf,
        /// The number it would have had.
        entry: u64,
        /// What is wrong with it.
        reason: String,
    },
    /// A name that cannot be a file name.
    #[error("{} cannot be a name here: {reason}. Use a-z, 0-9 and '-', up to 80 characters", shown(name))]
    BadName {
        /// The name.
        name: String,
        /// What is wrong with it.
        reason: &'static str,
    },
    /// A user-written file contains something invalid.
    #[error("{}, line {line}: {what}", named(path))]
    Content {
        /// The file.
        path: PathBuf,
        /// The line, from 1.
        line: usize,
        /// What is wrong there, with the offending value and what to write instead.
        what: String,
    },
    /// An invalid setting or value given to the program, not read from a file.
    #[error("{what}")]
    Refused {
        /// What is wrong, with the offending value and what to give instead.
        what: String,
    },
}

impl StoreError {
    /// A system error, with what was tried and where.
    pub(super) fn io<'a>(doing: &'static str, path: &'a Path) -> impl FnOnce(io::Error) -> Self + 'a {
        move |source| Self::Io { doing, path: path.to_owned(), source }
    }
}

/// A path for a message, with control characters and the like made visible.
pub(super) fn named(path: &Path) -> String {
    super::log::text::visible(&path.to_string_lossy())
}

/// What a user can do about a system error.
fn advice(source: &io::Error) -> &'static str {
    match source.kind() {
        io::ErrorKind::PermissionDenied => ". Check who owns the folder, or choose another with --home",
        io::ErrorKind::ReadOnlyFilesystem => ". It can be read but not written; choose another folder with --home",
        io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => ". Free some space first",
        io::ErrorKind::Unsupported => ". This file system lacks it; choose a folder on another with --home",
        _ => "",
    }
}

/// Which entries are safe if the given one is not.
fn safe(entry: u64) -> String {
    match entry {
        0 | 1 => "No entry stands before it".to_owned(),
        2 => "Entry 1 is safe".to_owned(),
        _ => format!("Entries 1 to {} are safe", entry - 1),
    }
}
