//! Scripts in the folder: the person's own, and copies of those that sessions ran under.

use std::path::{Path, PathBuf};

use super::{Home, Listing};
use crate::store::digest::digest;
use crate::store::error::StoreError;
use crate::store::files;
use crate::store::name::Id;

/// The largest script that is read, in bytes. A script engine takes long over a larger one.
pub const MAX_SCRIPT: u64 = 128 * 1024;

/// A kind of script, with a folder of its own.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Shelf {
    /// Recipes.
    Recipes,
    /// Yards: price modules.
    Yards,
    /// Tools: commands that scripts add.
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
    /// Where the person's own script of that name is or would be.
    #[must_use]
    pub fn script_file(&self, shelf: Shelf, id: &Id) -> PathBuf {
        self.root.join(shelf.folder()).join(format!("{id}.rhai"))
    }

    /// The names of the person's own scripts; none if there is no such folder.
    ///
    /// # Errors
    /// [`StoreError::Io`].
    pub fn scripts(&self, shelf: Shelf) -> Result<Listing, StoreError> {
        let is_ours: fn(&str) -> bool = match shelf {
            Shelf::Recipes => |name| name.ends_with(".session.toml"),
            _ => |_| false,
        };
        self.list(&self.root.join(shelf.folder()), ".rhai", is_ours)
    }

    /// The text of one of the person's own scripts; `None` if there is none of that name.
    ///
    /// # Errors
    /// As for [`files::read_text`], except that it is missing.
    pub fn script(&self, shelf: Shelf, id: &Id) -> Result<Option<String>, StoreError> {
        self.text_at(&self.script_file(shelf, id))
    }

    /// Writes a new script of the person's own and returns where it is.
    ///
    /// # Errors
    /// [`StoreError::Exists`] if there is one of that name; else as for [`files::write_new`] and [`Home::lock`].
    pub fn add_script(&self, shelf: Shelf, id: &Id, text: &str, now: &str) -> Result<PathBuf, StoreError> {
        let _lock = self.lock(now)?;
        let path = self.script_file(shelf, id);
        files::make_folders(self.disk.as_ref(), &self.root.join(shelf.folder()))?;
        files::write_new(self.disk.as_ref(), &path, text.as_bytes())?;
        Ok(path)
    }

    /// Where the test session of a recipe of the person's own is or would be.
    #[must_use]
    pub fn test_session_file(&self, recipe: &Id) -> PathBuf {
        self.root.join(Shelf::Recipes.folder()).join(format!("{recipe}.session.toml"))
    }

    /// The test session of a recipe of the person's own; `None` if there is none.
    ///
    /// # Errors
    /// As for [`files::read_text`], except that it is missing.
    pub fn test_session(&self, recipe: &Id) -> Result<Option<String>, StoreError> {
        self.text_at(&self.test_session_file(recipe))
    }

    /// Writes the test session of a recipe of the person's own, in place of the one that is there, and returns where it
    /// is.
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

    /// Keeps a copy of a script that a session runs under, if there is none yet; returns its digest. When this returns,
    /// the copy is on the disk.
    ///
    /// # Errors
    /// As for [`files::write_new`]; as for [`Home::seen_script`] if the copy that is there is damaged.
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
            // It is the same text, since names are digests; but whoever wrote it may have died before its name was
            // synced.
            Err(StoreError::Exists { .. }) => files::sync_found(self.disk.as_ref(), &path)?,
            result => result?,
        }
        Ok(digest)
    }

    /// The copy of the script with that digest; `None` if there is none.
    ///
    /// # Errors
    /// [`StoreError::Content`] if the copy is not the text that its name promises; [`StoreError::BadName`] if the
    /// digest is none; else as for [`files::read_text`].
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

    /// The digests of all copies that were kept; none if there is no such folder.
    ///
    /// # Errors
    /// [`StoreError::Io`].
    pub fn seen_scripts(&self) -> Result<Listing, StoreError> {
        self.list(&self.root.join("scripts-seen"), ".rhai", |_| false)
    }

    /// Puts a new text in place of one of the person's own scripts, or adds it; the old text is kept among the copies.
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
