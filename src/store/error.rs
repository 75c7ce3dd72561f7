//! What can go wrong with files: what, where, the value seen, and what to do next.

use std::io;
use std::path::{Path, PathBuf};

use thiserror::Error;

use super::disk::FileKind;
use super::log::text::shown;

/// Damage in a file that the program wrote: a place where it is not as it was written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Damage {
    /// The file.
    pub path: PathBuf,
    /// The line, from 1.
    pub line: usize,
    /// What is wrong there, with the value seen.
    pub what: String,
    /// How many entries before it are sound.
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
    /// The system refused.
    #[error("cannot {doing} {}: {source}{}", named(path), advice(source))]
    Io {
        /// What was tried, as in "cannot read".
        doing: &'static str,
        /// On what.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// Something else stands where a file or folder belongs.
    #[error("{} is {}, where {wanted} belongs. Move it away", named(path), kind.words())]
    WrongKind {
        /// Where.
        path: PathBuf,
        /// What is there.
        kind: FileKind,
        /// What belongs there.
        wanted: &'static str,
    },
    /// There is no such file.
    #[error("there is no file {}", named(path))]
    Missing {
        /// Where it was looked for.
        path: PathBuf,
    },
    /// Something has that name already.
    #[error("{} is there already. Choose another name, or move it away", named(path))]
    Exists {
        /// What is there.
        path: PathBuf,
    },
    /// More than the program reads into memory.
    #[error("{} is larger than {limit} bytes, the most that is read of such a file", named(path))]
    TooLarge {
        /// The file.
        path: PathBuf,
        /// The limit in bytes.
        limit: u64,
    },
    /// Not text in UTF-8.
    #[error("{}, line {line}: the bytes there are not UTF-8 text. Save the file as UTF-8", named(path))]
    NotText {
        /// The file.
        path: PathBuf,
        /// The line, from 1.
        line: usize,
    },
    /// Another process writes here.
    #[error("{} is in use{owner}. Finish or close that first; a lock is let go when its process ends", named(path))]
    Locked {
        /// The lock file.
        path: PathBuf,
        /// Who holds it, as ` by process 12 since …`; empty if it cannot be read.
        owner: String,
    },
    /// A log is not as it was written.
    #[error("{0}")]
    Damaged(Damage),
    /// A log ends inside an entry, and nobody has said yet that the piece may be put aside.
    #[error(
        "{}, line {line}: the log ends inside an entry that was never finished, and nothing is written behind it. Do this at \
             a terminal and say yes to put that piece aside, or move what begins on that line out of the file",
        named(path)
    )]
    Torn {
        /// The log.
        path: PathBuf,
        /// The line on which the piece begins, from 1.
        line: usize,
    },
    /// A file of a later version of the program.
    #[error(
        "{} was made by a newer version of this program (format version {version}; this one reads up to \
             {newest}). Use that version",
        named(path)
    )]
    Newer {
        /// The file.
        path: PathBuf,
        /// Its version as written there.
        version: String,
        /// The newest version that is understood.
        newest: u32,
    },
    /// A file that is not what it was opened as.
    #[error("{}, line 1: this is not a {wanted} file; it begins with {seen}", named(path))]
    Foreign {
        /// The file.
        path: PathBuf,
        /// The format that was expected.
        wanted: &'static str,
        /// How it begins.
        seen: String,
    },
    /// An entry was not saved, and the log takes no more.
    #[error("entry {entry} was not saved in {}: {reason}. {}. Nothing more is written to this file now: see to the \
             disk, then open it again to go on", named(path), safe(*entry))]
    NotSaved {
        /// The file.
        path: PathBuf,
        /// The number of the entry that was not saved; all before it are safe.
        entry: u64,
        /// What happened.
        reason: String,
    },
    /// An entry that cannot be written down, whatever the disk.
    #[error("entry {entry} cannot be recorded in {}: {reason}", named(path))]
    Unwritable {
        /// The file.
        path: PathBuf,
        /// The number that it would have had.
        entry: u64,
        /// What is wrong with it.
        reason: String,
    },
    /// A name that cannot be used for a file.
    #[error("{} cannot be a name here: {reason}. Use a-z, 0-9 and '-', up to 80 characters", shown(name))]
    BadName {
        /// The name.
        name: String,
        /// What is wrong with it.
        reason: &'static str,
    },
    /// A file that a person wrote says something that is not understood.
    #[error("{}, line {line}: {what}", named(path))]
    Content {
        /// The file.
        path: PathBuf,
        /// The line, from 1.
        line: usize,
        /// What is wrong there, with the value seen and what to write instead.
        what: String,
    },
    /// A setting or value given to the program, not read from a file, is not understood.
    #[error("{what}")]
    Refused {
        /// What is wrong with it, with the value seen and what to give instead.
        what: String,
    },
}

impl StoreError {
    /// A system error, with what was tried and where.
    pub(super) fn io<'a>(doing: &'static str, path: &'a Path) -> impl FnOnce(io::Error) -> Self + 'a {
        move |source| Self::Io { doing, path: path.to_owned(), source }
    }
}

/// A path for a message: control characters and the like shown, not obeyed.
pub(super) fn named(path: &Path) -> String {
    super::log::text::visible(&path.to_string_lossy())
}

/// What a person can do about a system error.
fn advice(source: &io::Error) -> &'static str {
    match source.kind() {
        io::ErrorKind::PermissionDenied => ". Check who owns the folder, or choose another with --home",
        io::ErrorKind::ReadOnlyFilesystem => ". It can be read but not written; choose another folder with --home",
        io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => ". Free some space first",
        io::ErrorKind::Unsupported => ". This file system lacks it; choose a folder on another with --home",
        _ => "",
    }
}

/// Which entries are safe when the given one is not.
fn safe(entry: u64) -> String {
    match entry {
        0 | 1 => "No entry stands before it".to_owned(),
        2 => "Entry 1 is safe".to_owned(),
        _ => format!("Entries 1 to {} are safe", entry - 1),
    }
}
