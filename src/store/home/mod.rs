//! The folder that holds all of a user's data.
//!
//! ```text
//! sessions/<id>.toml            journals, <id>.lock while one is written, <id>.toml.torn-N what a crash cut off
//! recipes/ yards/ tools/ reports/   <id>.rhai: their own scripts, which come before the shipped ones
//! recipes/<id>.session.toml     the test session of a recipe
//! library/                      modules that their scripts import, beside those shipped
//! pinned.toml                   digests of texts taken over from others
//! scripts-seen/<digest>.rhai    a copy of each script that a session ran under, so that it can be replayed
//! config.toml                   settings
//! quotes.toml                   dated quotes; quotes.toml.torn-N what a crash cut off
//! stock.toml                    what became of what was freed; loose finds; likewise
//! tickets/<id>.toml             tickets of yards, as settled; one counts while a sale in the stock names it
//! results.txt                   what ended sessions came to, made from their journals; deleting it loses nothing
//! history.txt                   what was typed at the shell
//! lock                          while something other than a session or results.txt is written
//! ```
//!
//! Reading needs no write permission, and creates nothing but `results.txt`, which is replaced at one stroke without
//! the lock: whoever writes a line, its journal says it. The folder is created on the first write.

mod logs;
mod pins;
mod results;
mod scripts;
mod sessions;
mod survey;
mod yard_run;

use std::ffi::OsStr;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use etcetera::BaseStrategy;

pub use logs::Single;
pub use pins::{Pin, Pins};
pub use results::Results;
pub use scripts::{MAX_SCRIPT, Shelf};
pub use yard_run::{TICKET_FORMAT, TICKET_VERSION};

use super::config::{self, Config};
use super::disk::{Disk, FileKind, LocalDisk};
use super::error::StoreError;
use super::files;
use super::lock::Lock;
use super::name::Id;

/// A user's folder.
#[derive(Clone)]
pub struct Home {
    root: PathBuf,
    disk: Arc<dyn Disk>,
}

/// The files of one kind in a folder.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct FolderListing {
    /// Their names, sorted.
    pub ids: Vec<Id>,
    /// Other files there, not the program's (or with a name it cannot use).
    pub others: Vec<String>,
}

impl std::fmt::Debug for Home {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Home").field("root", &self.root).finish_non_exhaustive()
    }
}

impl Home {
    /// The folder at `root` on this machine's disk. Accesses nothing yet.
    #[must_use]
    pub fn at(root: impl Into<PathBuf>) -> Self {
        Self::on(Arc::new(LocalDisk), root)
    }

    /// The folder at `root` on the caller's disk.
    #[must_use]
    pub fn on(disk: Arc<dyn Disk>, root: impl Into<PathBuf>) -> Self {
        Self { root: root.into(), disk }
    }

    /// Chooses the folder: `flag` (the option `--home`) before `variable` (`KNOCKDOWN_HOME`; empty counts as unset)
    /// before `platform` (see [`platform_folder`]).
    ///
    /// # Errors
    /// [`StoreError::Refused`] if the flag is empty, or none of the three is given.
    pub fn choose(
        flag: Option<&Path>,
        variable: Option<&OsStr>,
        platform: Option<PathBuf>,
    ) -> Result<PathBuf, StoreError> {
        let refused = |what: &str| StoreError::Refused { what: what.to_owned() };
        match (flag, variable.filter(|value| !value.is_empty())) {
            (Some(flag), _) if flag.as_os_str().is_empty() => Err(refused("--home is empty. Name a folder")),
            (Some(flag), _) => Ok(flag.to_owned()),
            (None, Some(variable)) => Ok(PathBuf::from(variable)),
            (None, None) => platform
                .ok_or_else(|| refused("this system names no folder for data. Name one with --home or KNOCKDOWN_HOME")),
        }
    }

    /// The folder itself.
    #[must_use]
    pub fn root(&self) -> &Path {
        &self.root
    }

    /// The disk it is on.
    #[must_use]
    pub fn disk(&self) -> &Arc<dyn Disk> {
        &self.disk
    }

    /// Whether the folder exists.
    ///
    /// # Errors
    /// [`StoreError::WrongKind`] if something else is; [`StoreError::Io`].
    pub fn exists(&self) -> Result<bool, StoreError> {
        match files::kind(self.disk.as_ref(), &self.root)? {
            None => Ok(false),
            Some(FileKind::Folder | FileKind::Link) => Ok(true),
            Some(kind) => Err(StoreError::WrongKind { path: self.root.clone(), kind, wanted: "a folder" }),
        }
    }

    /// The line editor's history file; `None` if the folder does not exist or something other than a file is in that
    /// place. The line editor opens it itself, and opening a pipe would block for ever.
    #[must_use]
    pub fn history_file(&self) -> Option<PathBuf> {
        let path = self.root.join("history.txt");
        let is_free =
            self.exists().is_ok_and(|there| there) && files::expect_file_or_nothing(self.disk.as_ref(), &path).is_ok();
        is_free.then_some(path)
    }

    /// Creates the folder if missing and takes the right to write anything in it but sessions.
    ///
    /// # Errors
    /// As for [`Lock::take`] and [`files::make_folders`].
    pub fn lock(&self, now: &str) -> Result<Lock, StoreError> {
        files::make_folders(self.disk.as_ref(), &self.root)?;
        Lock::take(self.disk.as_ref(), &self.root.join("lock"), now)
    }

    /// The path of the settings.
    #[must_use]
    pub fn config_file(&self) -> PathBuf {
        self.root.join("config.toml")
    }

    /// The settings; defaults if there is no such file.
    ///
    /// # Errors
    /// As for [`config::parse`], [`files::read_text`] and [`Home::exists`].
    pub fn config(&self) -> Result<Config, StoreError> {
        // Blame the folder rather than a file in it: the folder is what has to be moved away.
        self.exists()?;
        let path = self.config_file();
        config::parse(&path, &self.config_text()?)
    }

    /// Changes one setting (`key` as for [`config::edit`]; `None` removes it) and leaves the rest of the file as it is.
    ///
    /// # Errors
    /// As for [`config::edit`], [`Home::lock`] and [`files::replace`].
    pub fn configure(&self, key: &str, value: Option<&str>, now: &str) -> Result<(), StoreError> {
        let path = self.config_file();
        let _lock = self.lock(now)?;
        let text = config::edit(&path, &self.config_text()?, key, value)?;
        files::replace(self.disk.as_ref(), &path, text.as_bytes())
    }

    /// The files in a folder whose names end with `extension`; empty if there is no such folder. Leaves out draft files
    /// and those that `is_ours` recognises.
    fn list(&self, folder: &Path, extension: &str, is_ours: fn(&str) -> bool) -> Result<FolderListing, StoreError> {
        let mut listing = FolderListing::default();
        match files::kind(self.disk.as_ref(), folder)? {
            None => return Ok(listing),
            Some(FileKind::Folder | FileKind::Link) => {}
            Some(kind) => return Err(StoreError::WrongKind { path: folder.to_owned(), kind, wanted: "a folder" }),
        }
        for name in self.disk.list(folder).map_err(StoreError::io("list", folder))? {
            match name.strip_suffix(extension).map(Id::new) {
                Some(Ok(id)) => listing.ids.push(id),
                _ if name.starts_with('.') || is_ours(&name) => {}
                _ => listing.others.push(name),
            }
        }
        listing.ids.sort();
        listing.others.sort();
        Ok(listing)
    }

    fn config_text(&self) -> Result<String, StoreError> {
        match files::read_text(self.disk.as_ref(), &self.config_file(), config::MAX_FILE) {
            Err(StoreError::Missing { .. }) => Ok(String::new()),
            result => result,
        }
    }
}

/// The data folder of the platform's conventions (`~/.local/share/knockdown`, `~/Library/Application
/// Support/knockdown`, `%APPDATA%\knockdown`); `None` if the user has no home folder. Reads the process environment, so
/// only the edge of the process calls it.
#[must_use]
pub fn platform_folder() -> Option<PathBuf> {
    etcetera::base_strategy::choose_native_strategy().ok().map(|strategy| strategy.data_dir().join("knockdown"))
}
