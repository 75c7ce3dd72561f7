//! Scripts in the folder: the user's own, and copies of those that sessions ran under.

use std::path::{Path, PathBuf};

use super::{FolderListing, Home};
use crate::store::digest::digest;
use crate::store::error::StoreError;
use crate::store::files;
use crate::store::name::Id;

/// The largest script accepted, in bytes. A script engine takes long over a larger one.
pub const MAX_SCRIPT: u64 = 128 * 1024;

/// A kind of script, with a folder of its own.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Shelf {
    /// Recipes.
    Recipes,
    /// Yards: price modules.
    Yards,
    /// Tools: commands added by scripts.
    Tools,
    /// Reports.
    Reports,
    /// Modules that other scripts import.
    Library,
}

impl Shelf {
    /// All of them.
    pub const ALL: [Self; 5] = [Self::Recipes, Self::Yards, Self::Tools, Self::Reports, Self::Library];

    /// The name of its folder.
    #[must_use]
    pub fn folder(self) -> &'static str {
        match self {
            Self::Recipes => "recipes",
            Self::Yards => "yards",
            Self::Tools => "tools",
            Self::Reports => "reports",
            Self::Library => "library",
        }
    }
}

impl Home {
    /// The path of the user's own script of that name, existing or not.
    #[must_use]
    pub fn script_file(&self, shelf: Shelf, id: &Id) -> PathBuf {
        self.root.join(shelf.folder()).join(format!("{id}.rhai"))
    }

    /// The names of the user's own scripts; empty if there is no such folder.
    ///
    /// # Errors
    /// [`StoreError::Io`].
    pub fn scripts(&self, shelf: Shelf) -> Result<FolderListing, StoreError> {
        let is_ours: fn(&str) -> bool = match shelf {
            Shelf::Recipes => |name| name.ends_with(".session.toml"),
            _ => |_| false,
        };
        self.list(&self.root.join(shelf.folder()), ".rhai", is_ours)
    }

    /// The text of one of the user's own scripts; `None` if there is none of that name.
    ///
    /// # Errors
    /// As for [`files::read_text`], except that a missing file is no error.
    pub fn script(&self, shelf: Shelf, id: &Id) -> Result<Option<String>, StoreError> {
        self.text_at(&self.script_file(shelf, id))
    }

    /// Writes a new script of the user's own and returns its path.
    ///
    /// # Errors
    /// [`StoreError::Exists`] if the name is taken; otherwise as for [`files::write_new`] and [`Home::lock`].
    pub fn add_script(&self, shelf: Shelf, id: &Id, text: &str, now: &str) -> Result<PathBuf, StoreError> {
        let _lock = self.lock(now)?;
        let path = self.script_file(shelf, id);
        files::make_folders(self.disk.as_ref(), &self.root.join(shelf.folder()))?;
        files::write_new(self.disk.as_ref(), &path, text.as_bytes())?;
        Ok(path)
    }

    /// The path of the test session of the user's own recipe, existing or not.
    #[must_use]
    pub fn test_session_file(&self, recipe: &Id) -> PathBuf {
        self.root.join(Shelf::Recipes.folder()).join(format!("{recipe}.session.toml"))
    }

    /// The test session of the user's own recipe; `None` if there is none.
    ///
    /// # Errors
    /// As for [`files::read_text`], except that a missing file is no error.
    pub fn test_session(&self, recipe: &Id) -> Result<Option<String>, StoreError> {
        self.text_at(&self.test_session_file(recipe))
    }

    /// Writes or replaces the test session of the user's own recipe and returns its path.
    ///
    /// # Errors
    /// As for [`files::replace`] and [`Home::lock`].
    pub fn put_test_session(&self, recipe: &Id, text: &str, now: &str) -> Result<PathBuf, StoreError> {
        let _lock = self.lock(now)?;
        let path = self.test_session_file(recipe);
        files::make_folders(self.disk.as_ref(), &self.root.join(Shelf::Recipes.folder()))?;
        files::replace(self.disk.as_ref(), &path, text.as_bytes())?;
        Ok(path)
    }

    /// Stores a copy of a script that a session runs under, if there is none yet; returns its digest. On return, the
    /// copy is on disk.
    ///
    /// # Errors
    /// As for [`files::write_new`]; as for [`Home::seen_script`] if an existing copy is damaged.
    pub fn keep_script(&self, text: &str) -> Result<String, StoreError> {
        let digest = digest(text.as_bytes());
        let folder = self.root.join("scripts-seen");
        files::make_folders(self.disk.as_ref(), &folder)?;
        let path = self.seen_file(&digest);
        let kept = match self.seen_script(&digest)? {
            Some(_) => Err(StoreError::Exists { path: path.clone() }),
            None => files::write_new(self.disk.as_ref(), &path, text.as_bytes()),
        };
        match kept {
            // It is the same text, since names are digests; but its writer may have died before the name was synced.
            Err(StoreError::Exists { .. }) => files::sync_found(self.disk.as_ref(), &path)?,
            result => result?,
        }
        Ok(digest)
    }

    /// The copy of the script with that digest; `None` if there is none.
    ///
    /// # Errors
    /// [`StoreError::Content`] if the copy does not match its digest; [`StoreError::BadName`] if the digest is invalid;
    /// otherwise as for [`files::read_text`].
    pub fn seen_script(&self, wanted: &str) -> Result<Option<String>, StoreError> {
        Id::new(wanted)?;
        let path = self.seen_file(wanted);
        let Some(text) = self.text_at(&path)? else { return Ok(None) };
        let found = digest(text.as_bytes());
        if found == wanted {
            return Ok(Some(text));
        }
        let what = format!("the text was changed: its digest is {found}. Remove the file, or put the old text back");
        Err(StoreError::Content { path, line: 1, what })
    }

    /// The digests of all stored copies; empty if there is no such folder.
    ///
    /// # Errors
    /// [`StoreError::Io`].
    pub fn seen_scripts(&self) -> Result<FolderListing, StoreError> {
        self.list(&self.root.join("scripts-seen"), ".rhai", |_| false)
    }

    /// Replaces or adds one of the user's own scripts; the old text is stored among the copies.
    ///
    /// # Errors
    /// As for [`Home::script`], [`Home::keep_script`], [`files::replace`] and [`Home::lock`].
    pub fn replace_script(&self, shelf: Shelf, id: &Id, text: &str, now: &str) -> Result<PathBuf, StoreError> {
        let _lock = self.lock(now)?;
        if let Some(old) = self.script(shelf, id)? {
            self.keep_script(&old)?;
        }
        let path = self.script_file(shelf, id);
        files::make_folders(self.disk.as_ref(), &self.root.join(shelf.folder()))?;
        files::replace(self.disk.as_ref(), &path, text.as_bytes())?;
        Ok(path)
    }

    fn seen_file(&self, digest: &str) -> PathBuf {
        self.root.join("scripts-seen").join(format!("{digest}.rhai"))
    }

    /// The text of a script; `None` if there is no such file.
    fn text_at(&self, path: &Path) -> Result<Option<String>, StoreError> {
        match files::read_text(self.disk.as_ref(), path, MAX_SCRIPT) {
            Err(StoreError::Missing { .. }) => Ok(None),
            result => result.map(Some),
        }
    }
}
