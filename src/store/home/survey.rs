//! What else is in the folder: draft files left by a crash, torn tails moved aside, and other things where files
//! belong.

use std::path::{Path, PathBuf};

use super::{Home, Shelf};
use crate::store::disk::FileKind;
use crate::store::error::StoreError;
use crate::store::files;

/// Something in the folder that no file reader comes across.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Oddity {
    /// Where.
    pub path: PathBuf,
    /// What it is and what to do about it.
    pub what: String,
    /// Whether it is in the way; otherwise it can stay.
    pub is_fault: bool,
}

impl Home {
    /// The folders within the folder.
    fn folders(&self) -> Vec<PathBuf> {
        let shelves = Shelf::ALL.into_iter().map(Shelf::folder);
        shelves.chain(["scripts-seen", "sessions", "tickets"]).map(|name| self.root.join(name)).collect()
    }

    /// Finds what no file reader comes across.
    ///
    /// # Errors
    /// [`StoreError::Io`].
    pub fn survey(&self) -> Result<Vec<Oddity>, StoreError> {
        let mut found = Vec::new();
        if !self.exists()? {
            return Ok(found);
        }
        for name in ["history.txt", "results.txt"] {
            found.extend(self.in_place_of_file(&self.root.join(name))?);
        }
        for folder in [self.root.clone()].into_iter().chain(self.folders()) {
            match files::kind(self.disk.as_ref(), &folder)? {
                None => {}
                Some(FileKind::Folder | FileKind::Link) => self.survey_folder(&folder, &mut found)?,
                Some(kind) => found.push(wrong_kind(&folder, kind, "a folder")),
            }
        }
        Ok(found)
    }

    fn survey_folder(&self, folder: &Path, found: &mut Vec<Oddity>) -> Result<(), StoreError> {
        let mut names = self.disk.list(folder).map_err(StoreError::io("list", folder))?;
        names.sort();
        for name in names {
            let path = folder.join(&name);
            let mut left =
                |what: &str| found.push(Oddity { path: path.clone(), what: what.to_owned(), is_fault: false });
            if name.starts_with('.') && name.ends_with(".part") {
                left("a file in the making, left when a process ended; nothing in it was acknowledged. Remove it");
            } else if name.contains(".toml.torn-") {
                left("the beginning of an entry that was never finished, moved aside. Look at it, then remove it");
            } else if name.ends_with(".lock") {
                found.extend(self.in_place_of_file(&path)?);
            }
        }
        Ok(())
    }

    /// What is in a file's place, if not a file.
    fn in_place_of_file(&self, path: &Path) -> Result<Option<Oddity>, StoreError> {
        Ok(match files::kind(self.disk.as_ref(), path)? {
            None | Some(FileKind::File { .. }) => None,
            Some(kind) => Some(wrong_kind(path, kind, "a file")),
        })
    }

    /// Tries to write in the folder and each of its subfolders, as much as a log entry needs at most, and removes it
    /// again; stops at the first failure.
    ///
    /// # Errors
    /// Why writing fails: no permission, no space, a read-only file system, one that cannot sync.
    pub fn try_out(&self) -> Result<(), StoreError> {
        for folder in [self.root.clone()].into_iter().chain(self.folders()) {
            if matches!(files::kind(self.disk.as_ref(), &folder)?, Some(FileKind::Folder | FileKind::Link)) {
                files::try_out(self.disk.as_ref(), &folder)?;
            }
        }
        Ok(())
    }
}

fn wrong_kind(path: &Path, kind: FileKind, wanted: &'static str) -> Oddity {
    let what = format!("is {}, where {wanted} belongs. Move it away", kind.words());
    Oddity { path: path.to_owned(), what, is_fault: true }
}
