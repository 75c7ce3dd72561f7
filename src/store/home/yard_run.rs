//! Tickets in the folder.
//!
//! A ticket is written once and then only read. Its first line is `digest = "…"`, the SHA-256 of everything below it;
//! the first version of the format had no such line.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use serde::Deserialize;
use serde::de::DeserializeOwned;

use super::{FolderListing, Home};
use crate::stock::StockEntry;
use crate::store::digest::digest;
use crate::store::error::StoreError;
use crate::store::files;
use crate::store::log::text::shown;
use crate::store::name::Id;
use crate::store::quotes::{QuoteLog, QuoteRecord, TICKET_ORIGIN};
use crate::store::stock::StockLog;
use crate::store::toml_text::fault;

/// The value of a ticket's `format` key.
pub const TICKET_FORMAT: &str = "knockdown-ticket";
/// The ticket version that is written; earlier ones are readable.
pub const TICKET_VERSION: u32 = 2;

/// The largest ticket, in bytes.
const MAX_TICKET: u64 = 1024 * 1024;

/// The most tickets of one yard on one day.
const MAX_A_DAY: u32 = 999;

impl Home {
    /// The path of a ticket.
    #[must_use]
    pub fn ticket_file(&self, id: &Id) -> PathBuf {
        self.root.join("tickets").join(format!("{id}.toml"))
    }

    /// The names of the tickets; empty if there is no such folder.
    ///
    /// # Errors
    /// [`StoreError::Io`].
    pub fn tickets(&self) -> Result<FolderListing, StoreError> {
        self.list(&self.root.join("tickets"), ".toml", |_| false)
    }

    /// Books a sale as one act: the ticket behind its digest, the prices learned from it, and last the entry that makes
    /// all of it count. If stopped before that, it leaves a ticket that nothing refers to. The ticket gets the first
    /// unused name `<date>-<yard>-<n>`, which goes into the quotes and the entry. On return, everything is on disk.
    ///
    /// # Errors
    /// [`StoreError::BadName`] if no name can be made; otherwise as for [`Home::add_quote`], [`Home::add_stock_entry`]
    /// and [`files::write_new`]. What can be rejected is rejected before anything is written.
    pub fn settle(
        &self,
        date: &str,
        ticket: &str,
        mut quotes: Vec<QuoteRecord>,
        mut sale: StockEntry,
    ) -> Result<StockEntry, StoreError> {
        let lock = self.lock(&sale.at)?;
        files::make_folders(self.disk.as_ref(), &self.root.join("tickets"))?;
        let id = self.free_ticket(date, sale.yard.as_deref().unwrap_or_default())?;
        sale.ticket = Some(id.to_string());
        let mut stock = self.open_log::<StockLog>(lock.clone())?;
        stock.check(&sale)?;
        let mut log = if quotes.is_empty() { None } else { Some(self.open_log::<QuoteLog>(lock)?) };
        for quote in &mut quotes {
            quote.origin = Some(format!("{TICKET_ORIGIN}{id}"));
            log.iter().try_for_each(|log| log.check(quote))?;
        }
        let sealed = format!("digest = \"{}\"\n{ticket}", digest(ticket.as_bytes()));
        files::write_new(self.disk.as_ref(), &self.ticket_file(&id), sealed.as_bytes())?;
        if let Some(log) = &mut log {
            quotes.iter().try_for_each(|quote| log.append(quote))?;
        }
        stock.append(&sale)?;
        Ok(sale)
    }

    /// A name used by no ticket, and by no entry or quote of a lost ticket: the leftovers of a stopped settlement must
    /// not count with another one.
    fn free_ticket(&self, date: &str, yard: &str) -> Result<Id, StoreError> {
        let quotes = self.quotes()?.map(|reading| reading.records).unwrap_or_default();
        let entries = self.stock()?.map(|reading| reading.records).unwrap_or_default();
        let sold = entries.iter().filter_map(|entry| entry.ticket.as_deref());
        let named: BTreeSet<&str> = quotes.iter().filter_map(QuoteRecord::ticket).chain(sold).collect();
        for number in 1..=MAX_A_DAY {
            let id = Id::new(&format!("{date}-{yard}-{number}"))?;
            if !named.contains(id.as_str()) && files::kind(self.disk.as_ref(), &self.ticket_file(&id))?.is_none() {
                return Ok(id);
            }
        }
        Err(StoreError::Refused { what: format!("{yard} has {MAX_A_DAY} tickets of {date}") })
    }

    /// Reads a ticket.
    ///
    /// # Errors
    /// [`StoreError::Content`] with the line if it is not as it was written, [`StoreError::Newer`]; otherwise as for
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

/// The fields every ticket begins with.
#[derive(Deserialize)]
struct Beginning {
    format: String,
    version: u32,
}

/// The digest on the first line, and what is below it; `None` if the first line is not a digest.
fn seal_of(text: &str) -> Option<(&str, &str)> {
    let (first, body) = text.split_once('\n')?;
    Some((first.strip_prefix("digest = \"")?.strip_suffix('"')?, body))
}

/// Rejects anything but a ticket of a known version, and one that has lost its digest.
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

/// Shifts the line of a fault in the text below the digest.
fn below(error: StoreError, is_sealed: bool) -> StoreError {
    match error {
        StoreError::Content { path, line, what } => {
            StoreError::Content { path, line: line + usize::from(is_sealed), what }
        }
        other => other,
    }
}
