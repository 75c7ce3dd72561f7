//! Stock and tickets in the folder.
//!
//! A ticket is written once and then only read. Its first line is `digest = "…"`, the SHA-256 of all that stands below it;
//! the first version of the format had no such line.

use std::path::{Path, PathBuf};

use serde::Deserialize;
use serde::de::DeserializeOwned;

use super::{Home, Listing};
use crate::stock::Entry;
use crate::store::digest::digest;
use crate::store::error::StoreError;
use crate::store::files;
use crate::store::log;
use crate::store::log::text::shown;
use crate::store::name::Id;
use crate::store::quotes::QuoteHeader;
use crate::store::stock::{StockLog, StockReading, StockWriter};
use crate::store::toml_text::fault;

/// What a ticket says that it is.
pub const TICKET_FORMAT: &str = "knockdown-ticket";
/// The version of the form of a ticket that is written; those before it are read.
pub const TICKET_VERSION: u32 = 2;

/// The largest ticket, in bytes.
const MAX_TICKET: u64 = 1024 * 1024;

/// The most tickets of one yard on one day.
const MAX_A_DAY: u32 = 999;

impl Home {
    /// Where the log of the stock is.
    #[must_use]
    pub fn stock_file(&self) -> PathBuf {
        self.root.join("stock.toml")
    }

    /// The log of the stock; `None` if there is no such file.
    ///
    /// # Errors
    /// As for [`log::read`].
    pub fn stock(&self) -> Result<Option<StockReading>, StoreError> {
        match log::read::<StockLog>(self.disk.as_ref(), &self.stock_file()) {
            Err(StoreError::Missing { .. }) => Ok(None),
            result => result.map(Some),
        }
    }

    /// Adds an entry. When this returns, it is on the disk. An entry whose number is not the next is refused: somebody else
    /// has written since the stock was looked at. The path is that of a torn tail moved aside, if there was one.
    ///
    /// # Errors
    /// As for [`log::Writer::open`], [`log::Writer::append`] and [`Home::lock`].
    pub fn add_stock_entry(&self, entry: &Entry) -> Result<Option<PathBuf>, StoreError> {
        let path = self.stock_file();
        let lock = self.lock(&entry.at)?;
        let (mut writer, torn) = match files::kind(self.disk.as_ref(), &path)? {
            None => (StockWriter::create(self.disk.clone(), &path, &QuoteHeader, lock)?, None),
            Some(_) => {
                let opened = StockWriter::open(self.disk.clone(), &path, lock)?;
                (opened.writer, opened.torn)
            }
        };
        writer.append(entry)?;
        Ok(torn)
    }

    /// The file of a ticket.
    #[must_use]
    pub fn ticket_file(&self, id: &Id) -> PathBuf {
        self.root.join("tickets").join(format!("{id}.toml"))
    }

    /// The names of the tickets; none if there is no such folder.
    ///
    /// # Errors
    /// [`StoreError::Io`].
    pub fn tickets(&self) -> Result<Listing, StoreError> {
        self.list(&self.root.join("tickets"), ".toml", |_| false)
    }

    /// Keeps a ticket under the first free name `<date>-<yard>-<n>`, behind its digest. When this returns, it is on the disk.
    ///
    /// # Errors
    /// [`StoreError::BadName`] if no name can be made; else as for [`files::write_new`] and [`Home::lock`].
    pub fn add_ticket(&self, date: &str, yard: &str, text: &str, now: &str) -> Result<Id, StoreError> {
        let _lock = self.lock(now)?;
        files::make_folders(self.disk.as_ref(), &self.root.join("tickets"))?;
        let sealed = format!("digest = \"{}\"\n{text}", digest(text.as_bytes()));
        for number in 1..=MAX_A_DAY {
            let id = Id::new(&format!("{date}-{yard}-{number}"))?;
            let path = self.ticket_file(&id);
            if files::kind(self.disk.as_ref(), &path)?.is_none() {
                files::write_new(self.disk.as_ref(), &path, sealed.as_bytes())?;
                return Ok(id);
            }
        }
        Err(StoreError::Refused { what: format!("{yard} has {MAX_A_DAY} tickets of {date}") })
    }

    /// A ticket as it was kept.
    ///
    /// # Errors
    /// [`StoreError::Content`] with the line if it is not as it was written, [`StoreError::Newer`]; else as for
    /// [`files::read_text`].
    pub fn ticket<T: DeserializeOwned>(&self, id: &Id) -> Result<T, StoreError> {
        let path = self.ticket_file(id);
        let text = files::read_text(self.disk.as_ref(), &path, MAX_TICKET)?;
        let sealed = seal_of(&text);
        let body = sealed.map_or(text.as_str(), |(_, body)| body);
        expect_version(&path, body, sealed.is_some())?;
        if let Some((seal, body)) = sealed.filter(|(seal, body)| *seal != digest(body.as_bytes())) {
            let what = format!(
                "the digest is {}, but what stands below has {}: the ticket was changed after it was settled. Put the text \
                 back, or undo the sale and settle the ticket again",
                shown(seal),
                digest(body.as_bytes())
            );
            return Err(StoreError::Content { path, line: 1, what });
        }
        toml::from_str(body).map_err(|error| below(fault(&path, body, &error), sealed.is_some()))
    }
}

/// What every ticket says first.
#[derive(Deserialize)]
struct Beginning {
    format: String,
    version: u32,
}

/// The digest on the first line, and what stands below it; `None` where the first line is no digest.
fn seal_of(text: &str) -> Option<(&str, &str)> {
    let (first, body) = text.split_once('\n')?;
    Some((first.strip_prefix("digest = \"")?.strip_suffix('"')?, body))
}

/// Refuses what is no ticket, one of a later version, and one that has lost its digest.
fn expect_version(path: &Path, body: &str, is_sealed: bool) -> Result<(), StoreError> {
    let path = || path.to_owned();
    let begun: Beginning = toml::from_str(body).map_err(|error| below(fault(&path(), body, &error), is_sealed))?;
    if begun.format != TICKET_FORMAT {
        return Err(StoreError::Foreign { path: path(), wanted: TICKET_FORMAT, seen: shown(&begun.format) });
    }
    match begun.version {
        version if version > TICKET_VERSION => {
            Err(StoreError::Newer { path: path(), version: version.to_string(), newest: TICKET_VERSION })
        }
        1 => Ok(()),
        TICKET_VERSION if is_sealed => Ok(()),
        TICKET_VERSION => {
            let what =
                "the digest that stands here in every ticket is missing. Put a sound copy of the file in its place";
            Err(StoreError::Content { path: path(), line: 1, what: what.to_owned() })
        }
        version => {
            let what = format!("there never was a version {version} of this format");
            Err(StoreError::Content { path: path(), line: 1 + usize::from(is_sealed) + 1, what })
        }
    }
}

/// The line of a fault in what stands below the digest.
fn below(error: StoreError, is_sealed: bool) -> StoreError {
    match error {
        StoreError::Content { path, line, what } => {
            StoreError::Content { path, line: line + usize::from(is_sealed), what }
        }
        other => other,
    }
}
