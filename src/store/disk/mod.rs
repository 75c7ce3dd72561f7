//! The one door to the file system.
//!
//! [`Disk`] has only primitives, one system call each or nearly so, so that a test disk can fail any single one of
//! them. What is made of several (replace a file at one stroke, create a log) is in [`super::files`] and above.

mod local;

use std::io;
use std::path::Path;

pub use local::LocalDisk;

/// What stands at a path, symbolic links not followed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FileKind {
    /// A regular file of so many bytes.
    File {
        /// Its length in bytes.
        len: u64,
    },
    /// A folder.
    Folder,
    /// A symbolic link, wherever it leads.
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

/// The primitives that the room needs of a file system.
///
/// Errors are the system's own; the callers add what was being done and where. None of these follow a rule of the
/// program: limits, names and order of syncs are the callers' part.
pub trait Disk: Send + Sync {
    /// What stands at `path`; `None` if nothing does. Does not follow a symbolic link at `path` itself.
    ///
    /// # Errors
    /// Whatever the system reports, except that nothing is there.
    fn kind(&self, path: &Path) -> io::Result<Option<FileKind>>;

    /// At most `limit` bytes from the start of the file.
    ///
    /// # Errors
    /// Whatever the system reports.
    fn read(&self, path: &Path, limit: u64) -> io::Result<Vec<u8>>;

    /// The names in a folder, in no order; a name that is no Unicode comes with replacement marks.
    ///
    /// # Errors
    /// Whatever the system reports.
    fn list(&self, folder: &Path) -> io::Result<Vec<String>>;

    /// Makes one folder; its parent must be there.
    ///
    /// # Errors
    /// `AlreadyExists` if something has that name, or whatever the system reports.
    fn make_folder(&self, folder: &Path) -> io::Result<()>;

    /// Makes a new empty file and opens it for writing.
    ///
    /// # Errors
    /// `AlreadyExists` if something has that name, or whatever the system reports.
    fn create(&self, path: &Path) -> io::Result<Box<dyn OpenFile>>;

    /// Opens a file that is there so that every write goes to its end.
    ///
    /// # Errors
    /// Whatever the system reports.
    fn append(&self, path: &Path) -> io::Result<Box<dyn OpenFile>>;

    /// Renames, replacing a file of the new name.
    ///
    /// # Errors
    /// Whatever the system reports.
    fn rename(&self, from: &Path, to: &Path) -> io::Result<()>;

    /// Renames only if nothing has the new name.
    ///
    /// # Errors
    /// `AlreadyExists` if something has that name, or whatever the system reports.
    fn rename_new(&self, from: &Path, to: &Path) -> io::Result<()>;

    /// Removes a file.
    ///
    /// # Errors
    /// Whatever the system reports.
    fn remove(&self, path: &Path) -> io::Result<()>;

    /// Makes the names in a folder last: creations, renames and removals up to now.
    ///
    /// # Errors
    /// Whatever the system reports.
    fn sync_folder(&self, folder: &Path) -> io::Result<()>;

    /// Takes the lock that the file at `path` stands for and notes `owner` in it; `None` if another holds it.
    ///
    /// # Errors
    /// Whatever the system reports.
    fn lock(&self, path: &Path, owner: &str) -> io::Result<Option<Box<dyn HeldLock>>>;
}

/// A file open for writing.
pub trait OpenFile: Send {
    /// Writes at most all of `bytes` with one call; returns how many were taken.
    ///
    /// # Errors
    /// Whatever the system reports.
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize>;

    /// Waits until what was written would survive a power cut: the bytes and the length that leads to them.
    ///
    /// # Errors
    /// Whatever the system reports.
    fn sync(&mut self) -> io::Result<()>;
}

/// A lock, held until it is dropped or the process ends.
pub trait HeldLock: Send + Sync {}
