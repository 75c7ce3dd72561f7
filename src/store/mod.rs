//! Files: the only room that knows disks.
//!
//! Everything a person owns is readable text in one folder ([`home`]). Two kinds of file live there:
//!
//! * **logs** ([`log`]): append-only TOML in which each entry is sealed by a digest of all that stands before it. The
//!   journal of a session ([`journal`]), the dated quotes ([`quotes`]) and the stock ([`stock`]) are logs. An entry is
//!   on disk before the call that adds it returns.
//! * **whole files**: settings ([`config`]), scripts, reports. They are replaced at one stroke or not at all
//!   ([`files`]).
//!
//! A torn tail (below) is moved to a side file and told of: that of a journal when its session is taken up, that of the
//! other logs after a yes. A settlement writes a ticket, quotes and an entry of the stock, the entry last: what no
//! entry names counts nowhere.
//!
//! All of it goes through one small door, [`disk::Disk`], so that tests can put a failing disk behind it. Clock,
//! process environment and terminal stay outside: what the room needs of them comes in as arguments.
//!
//! # What is assumed of the disk
//!
//! 1. Bytes that were written and then synced without an error are there after a crash or a power cut.
//! 2. A write that was not synced may be lost, wholly or from some byte on: a *torn tail*. Bytes before it are
//!    untouched.
//! 3. Renaming within one folder is one stroke: afterwards a name leads to the old file or to the new one. It lasts
//!    once
//!    the folder was synced. Where a system cannot sync folders (Windows), its own ordering of renames has to do.
//! 4. After a failed sync nothing is known of what was written since the last good one, and a later sync may report
//!    success all the same. So a log that failed once takes no more entries, and opening a log to write it again first
//!    puts a fresh, synced copy of its sound part in its place.
//! 5. A file's length never grows ahead of its bytes. Where a power cut leaves zero bytes at the end of a file, they
//!    are
//!    reported as damage, with the line, and not taken for a torn tail.
//! 6. What was made by a process that died before it synced may be seen and still be lost. So a folder or a kept copy
//!    that
//!    is found there already is synced again before anything rests on it.
//! 7. A lock that the system gives on a file ends with the process that holds it, however it ends, and keeps out
//!    whoever
//!    asks for it on the same machine. On a folder shared over a network it is as good as that network's locks.
//! 8. The folder is its owner's: between the look at what stands at a path and the opening of it, nobody puts a link or
//!    a
//!    pipe there. What stands there *before* is looked at every time: no link is followed, no pipe opened.
//!
//! What it does not rest on: that a write is taken whole (a short one is an error), that space is left, that a file
//! stays where it was (each entry is followed by a look), the order in which unsynced names and bytes reach the disk,
//! the clock.
//!
//! # What can be told from a file
//!
//! | file | a change is told by |
//! |---|---|
//! | journals, quotes, stock | the chain: every byte is covered, the line is named, nothing after it is read |
//! | tickets, kept copies, bundles | a digest over the whole; the first version of tickets had none |
//! | pins | names and digests that the program never writes; a pin without its text or its copy |
//! | settings, scripts, test sessions | nothing: they are made to be edited; what is not understood is refused with its
//! line |
//!
//! What digests cannot show: a log cut off exactly between two entries looks like a shorter log. The program never does
//! that to an acknowledged entry; somebody's editor can. Nor are they signatures: whoever can write a file can seal it
//! afresh.
//!
//! What was typed at the shell (`history.txt`) is written by the line editor, not through the door; losing it costs
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
pub use error::{Damage, StoreError};
pub use home::Home;
pub use lock::Lock;
pub use name::Id;
