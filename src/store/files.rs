//! Whole files: read within a limit, created or replaced atomically.

use std::io;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU64, Ordering};

use super::disk::{Disk, FileKind};
use super::error::StoreError;

/// How often a name for a draft file is tried; only leftovers of a crash can be in the way.
const DRAFT_TRIES: usize = 100;

/// Reads a whole file of at most `limit` bytes.
///
/// # Errors
/// [`StoreError::Missing`]; [`StoreError::WrongKind`] for a folder, link, pipe or device; [`StoreError::TooLarge`];
/// [`StoreError::Io`].
pub fn read(disk: &dyn Disk, path: &Path, limit: u64) -> Result<Vec<u8>, StoreError> {
    let too_large = || StoreError::TooLarge { path: path.to_owned(), limit };
    match kind(disk, path)? {
        Some(FileKind::File { len }) if len > limit => return Err(too_large()),
        Some(FileKind::File { .. }) => {}
        Some(kind) => return Err(StoreError::WrongKind { path: path.to_owned(), kind, wanted: "a file" }),
        None => return Err(StoreError::Missing { path: path.to_owned() }),
    }
    let bytes = disk.read(path, limit + 1).map_err(StoreError::io("read", path))?;
    if bytes.len() as u64 > limit { Err(too_large()) } else { Ok(bytes) }
}

/// Reads a whole text file of at most `limit` bytes.
///
/// # Errors
/// As for [`read`], and [`StoreError::NotText`] with the line if it is not UTF-8.
pub fn read_text(disk: &dyn Disk, path: &Path, limit: u64) -> Result<String, StoreError> {
    String::from_utf8(read(disk, path, limit)?).map_err(|error| {
        let sound = &error.as_bytes()[..error.utf8_error().valid_up_to()];
        let line = 1 + sound.iter().filter(|byte| **byte == b'\n').count();
        StoreError::NotText { path: path.to_owned(), line }
    })
}

/// Writes a new file atomically. On return, its bytes and its name are on disk; a crash leaves all of it or nothing.
///
/// # Errors
/// [`StoreError::Exists`] if the name is taken; [`StoreError::Io`]. After an error the file may exist, whole, but is
/// not guaranteed to last.
pub fn write_new(disk: &dyn Disk, path: &Path, bytes: &[u8]) -> Result<(), StoreError> {
    let draft = write_draft(disk, path, bytes)?;
    if let Err(error) = disk.rename_new(&draft, path) {
        // The draft is useless now; if removing it fails as well, that only leaves clutter.
        let _ = disk.remove(&draft);
        return Err(match error.kind() {
            io::ErrorKind::AlreadyExists => StoreError::Exists { path: path.to_owned() },
            _ => StoreError::io("write", path)(error),
        });
    }
    sync_parent(disk, path)
}

/// Replaces or creates a file atomically. On return, the new bytes are on disk; a crash leaves the old file or the new
/// one.
///
/// # Errors
/// [`StoreError::WrongKind`] if something other than a file is there; [`StoreError::Io`].
pub fn replace(disk: &dyn Disk, path: &Path, bytes: &[u8]) -> Result<(), StoreError> {
    expect_file_or_nothing(disk, path)?;
    let draft = write_draft(disk, path, bytes)?;
    if let Err(error) = disk.rename(&draft, path) {
        let _ = disk.remove(&draft); // As in `write_new`.
        return Err(StoreError::io("replace", path)(error));
    }
    sync_parent(disk, path)
}

/// A draft file that grows piece by piece and takes its final name when finished; dropped before that, it leaves
/// nothing.
pub struct Growing<'d> {
    disk: &'d dyn Disk,
    path: PathBuf,
    draft: PathBuf,
    file: Option<Box<dyn super::disk::OpenFile>>,
    waiting: Vec<u8>,
}

/// How many bytes are buffered before a write.
const PIECE: usize = 64 * 1024;

impl<'d> Growing<'d> {
    /// Begins a file that will end up at `path`, replacing an existing one.
    ///
    /// # Errors
    /// [`StoreError::WrongKind`] if something other than a file is there; [`StoreError::Io`].
    pub fn begin(disk: &'d dyn Disk, path: &Path) -> Result<Growing<'d>, StoreError> {
        expect_file_or_nothing(disk, path)?;
        let (draft, file) = create_draft(disk, path)?;
        Ok(Growing { disk, path: path.to_owned(), draft, file: Some(file), waiting: Vec::new() })
    }

    /// Appends bytes.
    ///
    /// # Errors
    /// [`StoreError::Io`].
    pub fn add(&mut self, bytes: &[u8]) -> Result<(), StoreError> {
        self.waiting.extend_from_slice(bytes);
        if self.waiting.len() < PIECE { Ok(()) } else { self.write() }
    }

    fn write(&mut self) -> Result<(), StoreError> {
        let waiting = std::mem::take(&mut self.waiting);
        match &mut self.file {
            Some(file) => write_all(file.as_mut(), &waiting).map_err(StoreError::io("write", &self.path)),
            None => Ok(()),
        }
    }

    /// Gives the file its name. On return, it is on disk.
    ///
    /// # Errors
    /// [`StoreError::Io`].
    pub fn finish(mut self) -> Result<(), StoreError> {
        self.write()?;
        if let Some(mut file) = self.file.take() {
            file.sync().map_err(StoreError::io("write", &self.path))?;
        }
        self.disk.rename(&self.draft, &self.path).map_err(StoreError::io("replace", &self.path))?;
        sync_parent(self.disk, &self.path)
    }
}

impl Drop for Growing<'_> {
    fn drop(&mut self) {
        self.file = None;
        // After `finish` the draft no longer exists; otherwise what was begun is useless.
        let _ = self.disk.remove(&self.draft);
    }
}

/// Bytes written to try out a folder.
const TRIAL: usize = 64 * 1024;

/// Writes a file in a folder, syncs it and removes it again.
///
/// # Errors
/// [`StoreError::Io`]: the error that writing there would meet.
pub(super) fn try_out(disk: &dyn Disk, folder: &Path) -> Result<(), StoreError> {
    let draft = write_draft(disk, &folder.join("trial"), &[b' '; TRIAL])?;
    disk.remove(&draft).map_err(StoreError::io("remove", &draft))
}

/// Creates a folder and its missing parents, durably: also one that an earlier process made but could not sync.
///
/// # Errors
/// [`StoreError::WrongKind`] if a file is in the way; [`StoreError::Io`].
pub fn make_folders(disk: &dyn Disk, folder: &Path) -> Result<(), StoreError> {
    match kind(disk, folder)? {
        // A folder reached by a link is the user's own arrangement.
        Some(FileKind::Folder | FileKind::Link) => return sync_found(disk, folder),
        Some(kind) => return Err(StoreError::WrongKind { path: folder.to_owned(), kind, wanted: "a folder" }),
        None => {}
    }
    if let Some(parent) = parent(folder) {
        make_folders(disk, parent)?;
    }
    match disk.make_folder(folder) {
        Err(error) if error.kind() != io::ErrorKind::AlreadyExists => {
            Err(StoreError::io("make the folder", folder)(error))
        }
        _ => sync_parent(disk, folder),
    }
}

/// What is at a path.
pub(super) fn kind(disk: &dyn Disk, path: &Path) -> Result<Option<FileKind>, StoreError> {
    disk.kind(path).map_err(StoreError::io("look at", path))
}

/// Rejects a folder, link, pipe or device where a file belongs.
pub(super) fn expect_file_or_nothing(disk: &dyn Disk, path: &Path) -> Result<(), StoreError> {
    match kind(disk, path)? {
        None | Some(FileKind::File { .. }) => Ok(()),
        Some(kind) => Err(StoreError::WrongKind { path: path.to_owned(), kind, wanted: "a file" }),
    }
}

/// Writes and syncs a draft in the target file's folder; returns its path.
fn write_draft(disk: &dyn Disk, path: &Path, bytes: &[u8]) -> Result<PathBuf, StoreError> {
    let (draft, mut file) = create_draft(disk, path)?;
    let filled = fill(file.as_mut(), bytes);
    // Some systems cannot rename an open file.
    drop(file);
    match filled {
        Ok(()) => Ok(draft),
        Err(error) => {
            let _ = disk.remove(&draft); // As in `write_new`.
            Err(StoreError::io("write", path)(error))
        }
    }
}

/// Writes all bytes to an empty file and syncs it.
fn fill(file: &mut dyn super::disk::OpenFile, bytes: &[u8]) -> io::Result<()> {
    write_all(file, bytes)?;
    file.sync()
}

fn write_all(file: &mut dyn super::disk::OpenFile, mut bytes: &[u8]) -> io::Result<()> {
    while !bytes.is_empty() {
        match file.write(bytes)? {
            0 => return Err(io::ErrorKind::WriteZero.into()),
            written => bytes = &bytes[written..],
        }
    }
    Ok(())
}

/// Creates a file beside `path` under a name no other process uses.
fn create_draft(disk: &dyn Disk, path: &Path) -> Result<(PathBuf, Box<dyn super::disk::OpenFile>), StoreError> {
    static COUNT: AtomicU64 = AtomicU64::new(0);
    let mut last = io::Error::from(io::ErrorKind::AlreadyExists);
    for _ in 0..DRAFT_TRIES {
        let name = path.file_name().unwrap_or_default().to_string_lossy();
        let count = COUNT.fetch_add(1, Ordering::Relaxed);
        let draft = path.with_file_name(format!(".{name}.{}-{count}.part", std::process::id()));
        match disk.create(&draft) {
            Ok(file) => return Ok((draft, file)),
            Err(error) if error.kind() == io::ErrorKind::AlreadyExists => last = error,
            Err(error) => return Err(StoreError::io("write", path)(error)),
        }
    }
    Err(StoreError::io("write", path)(last))
}

/// Makes an existing name durable: its creator may have died before syncing it.
///
/// # Errors
/// [`StoreError::Io`], except if the parent folder cannot be opened: what was made there was made by someone else.
pub(super) fn sync_found(disk: &dyn Disk, path: &Path) -> Result<(), StoreError> {
    match sync_parent(disk, path) {
        Err(StoreError::Io { source, .. }) if source.kind() == io::ErrorKind::PermissionDenied => Ok(()),
        result => result,
    }
}

/// Makes a file's name durable.
fn sync_parent(disk: &dyn Disk, path: &Path) -> Result<(), StoreError> {
    let folder = parent(path).unwrap_or(Path::new("."));
    disk.sync_folder(folder).map_err(StoreError::io("sync the folder of", path))
}

/// The parent folder of a path; `None` if the path names none.
fn parent(path: &Path) -> Option<&Path> {
    path.parent().filter(|parent| !parent.as_os_str().is_empty())
}
