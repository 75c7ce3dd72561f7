//! The one door to the file system.
//!
//! [`Disk`] has only primitives, about one system call each, so that a test disk can make any single one fail. Compound
//! operations (replacing a file atomically, creating a log) are in [`super::files`] and above.

mod local;

use std::io;
use std::path::Path;

pub use local::LocalDisk;

/// What is at a path, not following symbolic links.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FileKind {
    /// A regular file.
    File {
        /// Its length in bytes.
        len: u64,
    },
    /// A folder.
    Folder,
    /// A symbolic link, wherever it points.
    Link,
    /// A pipe, socket, device or the like.
    Special,
}

impl FileKind {
    /// The kind in words, for messages: `a folder`.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::File { .. } => "a file",
            Self::Folder => "a folder",
            Self::Link => "a symbolic link",
            Self::Special => "a pipe, socket or device",
        }
    }
}

/// The file-system primitives this room needs.
///
/// Errors are the system's own; callers add the operation and the path. No rules of the program here: limits, names and
/// the order of syncs are up to the callers.
pub trait Disk: Send + Sync {
    /// What is at `path`; `None` if nothing is. Does not follow a symbolic link at `path` itself.
    ///
    /// # Errors
    /// Any system error except "not found".
    fn kind(&self, path: &Path) -> io::Result<Option<FileKind>>;

    /// At most `limit` bytes from the start of the file.
    ///
    /// # Errors
    /// Any system error.
    fn read(&self, path: &Path, limit: u64) -> io::Result<Vec<u8>>;

    /// The names in a folder, unordered; non-Unicode names contain replacement characters.
    ///
    /// # Errors
    /// Any system error.
    fn list(&self, folder: &Path) -> io::Result<Vec<String>>;

    /// Creates one folder; its parent must exist.
    ///
    /// # Errors
    /// `AlreadyExists` if the name is taken, or any system error.
    fn make_folder(&self, folder: &Path) -> io::Result<()>;

    /// Creates an empty file and opens it for writing.
    ///
    /// # Errors
    /// `AlreadyExists` if the name is taken, or any system error.
    fn create(&self, path: &Path) -> io::Result<Box<dyn OpenFile>>;

    /// Opens an existing file for appending.
    ///
    /// # Errors
    /// Any system error.
    fn append(&self, path: &Path) -> io::Result<Box<dyn OpenFile>>;

    /// Renames, replacing a file with the new name.
    ///
    /// # Errors
    /// Any system error.
    fn rename(&self, from: &Path, to: &Path) -> io::Result<()>;

    /// Renames only if the new name is free.
    ///
    /// # Errors
    /// `AlreadyExists` if the new name is taken, or any system error.
    fn rename_new(&self, from: &Path, to: &Path) -> io::Result<()>;

    /// Removes a file.
    ///
    /// # Errors
    /// Any system error.
    fn remove(&self, path: &Path) -> io::Result<()>;

    /// Makes a folder's entries durable: creations, renames and removals up to now.
    ///
    /// # Errors
    /// Any system error.
    fn sync_folder(&self, folder: &Path) -> io::Result<()>;

    /// Locks the lock file at `path` and notes `owner` in it; `None` if another holds it.
    ///
    /// # Errors
    /// Any system error.
    fn lock(&self, path: &Path, owner: &str) -> io::Result<Option<Box<dyn HeldLock>>>;
}

/// A file open for writing.
pub trait OpenFile: Send {
    /// Writes as much of `bytes` as one call takes; returns how many were taken.
    ///
    /// # Errors
    /// Any system error.
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize>;

    /// Waits until everything written would survive a power cut: the bytes and the file length.
    ///
    /// # Errors
    /// Any system error.
    fn sync(&mut self) -> io::Result<()>;
}

/// A lock, held until it is dropped or the process ends.
pub trait HeldLock: Send + Sync {}
