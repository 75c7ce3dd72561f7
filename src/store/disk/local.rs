//! The real file system.

use std::fs::{self, File, OpenOptions, TryLockError};
use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};

use super::{Disk, FileKind, HeldLock, OpenFile};

/// How often locking is retried when the lock file is removed under our hands.
const LOCK_TRIES: usize = 100;

/// The file system of this machine.
#[derive(Debug, Clone, Copy, Default)]
pub struct LocalDisk;

impl Disk for LocalDisk {
    fn kind(&self, path: &Path) -> io::Result<Option<FileKind>> {
        let metadata = match fs::symlink_metadata(path) {
            Ok(metadata) => metadata,
            Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(None),
            Err(error) => return Err(error),
        };
        let kind = metadata.file_type();
        Ok(Some(if kind.is_symlink() {
            FileKind::Link
        } else if kind.is_dir() {
            FileKind::Folder
        } else if kind.is_file() {
            FileKind::File { len: metadata.len() }
        } else {
            FileKind::Special
        }))
    }

    fn read(&self, path: &Path, limit: u64) -> io::Result<Vec<u8>> {
        let file = File::open(path)?;
        // Room for everything at once, plus one byte to detect the end. The reported length is only a hint.
        let room = file.metadata()?.len().min(limit).saturating_add(1);
        let mut bytes = Vec::with_capacity(usize::try_from(room).unwrap_or_default());
        file.take(limit).read_to_end(&mut bytes)?;
        Ok(bytes)
    }

    fn list(&self, folder: &Path) -> io::Result<Vec<String>> {
        fs::read_dir(folder)?.map(|entry| Ok(entry?.file_name().to_string_lossy().into_owned())).collect()
    }

    fn make_folder(&self, folder: &Path) -> io::Result<()> {
        fs::create_dir(folder)
    }

    fn create(&self, path: &Path) -> io::Result<Box<dyn OpenFile>> {
        Ok(Box::new(LocalFile(OpenOptions::new().write(true).create_new(true).open(path)?)))
    }

    fn append(&self, path: &Path) -> io::Result<Box<dyn OpenFile>> {
        Ok(Box::new(LocalFile(OpenOptions::new().append(true).open(path)?)))
    }

    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        fs::rename(from, to)
    }

    fn rename_new(&self, from: &Path, to: &Path) -> io::Result<()> {
        tempfile::TempPath::try_from_path(from)?.persist_noclobber(to).map_err(|failed| {
            // Removing the file is the caller's decision, not a drop's.
            let _ = failed.path.keep();
            failed.error
        })
    }

    fn remove(&self, path: &Path) -> io::Result<()> {
        fs::remove_file(path)
    }

    #[cfg(unix)]
    fn sync_folder(&self, folder: &Path) -> io::Result<()> {
        match File::open(folder)?.sync_all() {
            // Some network file systems cannot sync a folder and report that; nothing more can be done there.
            Err(error) if matches!(error.kind(), io::ErrorKind::InvalidInput | io::ErrorKind::Unsupported) => Ok(()),
            result => result,
        }
    }

    #[cfg(not(unix))]
    fn sync_folder(&self, _folder: &Path) -> io::Result<()> {
        Ok(()) // The standard library opens no folders here; see the assumptions of the room.
    }

    fn lock(&self, path: &Path, owner: &str) -> io::Result<Option<Box<dyn HeldLock>>> {
        for _ in 0..LOCK_TRIES {
            let file = OpenOptions::new().read(true).write(true).create(true).truncate(false).open(path)?;
            match file.try_lock() {
                Ok(()) => {}
                Err(TryLockError::WouldBlock) => return Ok(None),
                Err(TryLockError::Error(error)) => return Err(error),
            }
            if still_at(&file, path)? {
                note_owner(&file, owner);
                return Ok(Some(Box::new(LocalLock { file, path: path.to_owned() })));
            }
        }
        Ok(None)
    }
}

/// A file of the real file system.
struct LocalFile(File);

impl OpenFile for LocalFile {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        loop {
            match self.0.write(bytes) {
                Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
                result => return result,
            }
        }
    }

    /// `sync_data` waits for the bytes and the length, and omits only what no reader needs (the modification time),
    /// which saves a journalling file system one commit per answer.
    fn sync(&mut self) -> io::Result<()> {
        self.0.sync_data()
    }
}

/// A lock of the real file system. The system releases it when the process ends, however it ends.
struct LocalLock {
    file: File,
    path: PathBuf,
}

impl HeldLock for LocalLock {}

impl Drop for LocalLock {
    /// Removes the lock file while it is still held, if that is safe (see [`still_at`]), then releases it.
    fn drop(&mut self) {
        if cfg!(unix) {
            let _ = fs::remove_file(&self.path);
        }
        let _ = self.file.unlock();
    }
}

/// Whether the locked file is still the one at this path. Between opening and locking, the previous holder may have
/// removed it, and a lock on a removed file keeps nobody out.
#[cfg(unix)]
fn still_at(file: &File, path: &Path) -> io::Result<bool> {
    use std::os::unix::fs::MetadataExt;
    let held = file.metadata()?;
    match fs::symlink_metadata(path) {
        Ok(named) => Ok(held.dev() == named.dev() && held.ino() == named.ino()),
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(false),
        Err(error) => Err(error),
    }
}

/// Elsewhere lock files are never removed, so the path always leads to the same one.
#[cfg(not(unix))]
fn still_at(_file: &File, _path: &Path) -> io::Result<bool> {
    Ok(true)
}

/// Notes the holder in the lock file. A lock without the note is still a lock, so failure is not an error.
fn note_owner(mut file: &File, owner: &str) {
    let _ = file.set_len(0).and_then(|()| file.write_all(owner.as_bytes()));
}
