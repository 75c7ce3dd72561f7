//! Files: the only room that accesses disks.
//!
//! All of a user's data is readable text in one folder ([`home`]). It holds two kinds of file:
//!
//! * **logs** ([`log`]): append-only TOML in which each entry is sealed by a digest of all that stands before it. The
//!   journal of a session ([`journal`]), the dated quotes ([`quotes`]) and the stock ([`stock`]) are logs. An entry is
//!   on disk before the call that adds it returns.
//! * **whole files**: settings ([`config`]), scripts, reports. They are replaced at one stroke or not at all
//!   ([`files`]).
//!
//! A torn tail (below) is moved to a side file and reported: for a journal when its session is resumed, for the other
//! logs after the user agrees. A settlement writes a ticket, quotes and a stock entry, the entry last: what no entry
//! refers to counts nowhere.
//!
//! Everything goes through one small interface, [`disk::Disk`], so that tests can substitute a failing disk. Clock,
//! process environment and terminal stay outside: what the room needs of them comes in as arguments.
//!
//! # Assumptions about the disk
//!
//! 1. Bytes that were written and then synced without an error are there after a crash or a power cut.
//! 2. A write that was not synced may be lost, entirely or from some byte on: a *torn tail*. Bytes before it are
//!    untouched.
//! 3. Renaming within a folder is atomic: afterwards a name leads to the old file or the new one. It lasts once the
//!    folder is synced. Where a system cannot sync folders (Windows), its own ordering of renames has to do.
//! 4. After a failed sync nothing is known about what was written since the last good one, and a later sync may report
//!    success all the same. So a log that failed once accepts no more entries, and opening a log for writing first
//!    replaces it with a fresh, synced copy of its sound part.
//! 5. A file's length never grows ahead of its bytes. If a power cut leaves zero bytes at the end of a file, they are
//!    reported as damage, with the line, not taken for a torn tail.
//! 6. What was made by a process that died before syncing may be visible and still be lost. So an existing folder or
//!    stored copy is synced again before anything depends on it.
//! 7. A file lock ends with the process that holds it, however it ends, and keeps out whoever asks for it on
//!    the same machine. On a network share it is as good as that network's locks.
//! 8. The folder belongs to its owner: between checking what is at a path and opening it, nobody puts a link or a pipe
//!    there. What is there *before* is checked every time: no link is followed, no pipe opened.
//!
//! Not assumed: that a write is taken whole (a short one is an error), that space is left, that a file stays where it
//! was (checked after each entry), the order in which unsynced names and bytes reach the disk, the clock.
//!
//! # How changes to a file are detected
//!
//! | file | detected by |
//! |---|---|
//! | journals, quotes, stock | the chain: it covers every byte, names the line, and nothing after it is read |
//! | tickets, kept copies, bundles | a digest of the whole file; the first version of tickets had none |
//! | results of sessions | a digest of each line and of the journal it was made from; what fails is made anew |
//! | pins | names and digests that the program never writes; a pin without its text or its copy |
//! | settings, scripts, test sessions | not detected: they are meant to be edited; faults are rejected with the line |
//!
//! What digests cannot show: a log cut off exactly between two entries looks like a shorter log. The program never does
//! that to an acknowledged entry; an editor can. Nor are digests signatures: whoever can write a file can reseal it.
//!
//! The line editor itself writes what was typed at the shell (`history.txt`), bypassing the interface; losing it costs
//! nothing.

pub mod answers;
pub mod bundle;
pub mod config;
mod digest;
pub mod disk;
mod error;
pub mod files;
pub mod home;
pub mod journal;
pub mod lock;
pub mod log;
mod name;
pub mod quotes;
pub mod stock;
mod toml_text;

pub use digest::digest;
pub use error::StoreError;
pub use home::Home;
pub use name::Id;
