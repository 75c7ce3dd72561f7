//! Stock and tickets in the folder.

use std::path::PathBuf;

use super::Home;
use crate::stock::Entry;
use crate::store::error::StoreError;
use crate::store::files;
use crate::store::log;
use crate::store::name::Id;
use crate::store::quotes::QuoteHeader;
use crate::store::stock::{StockLog, StockReading, StockWriter};

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

    /// Keeps a ticket under the first free name `<date>-<yard>-<n>`. When this returns, it is on the disk.
    ///
    /// # Errors
    /// [`StoreError::BadName`] if no name can be made; else as for [`files::write_new`] and [`Home::lock`].
    pub fn add_ticket(&self, date: &str, yard: &str, text: &str, now: &str) -> Result<Id, StoreError> {
        let _lock = self.lock(now)?;
        files::make_folders(self.disk.as_ref(), &self.root.join("tickets"))?;
        for number in 1..=MAX_A_DAY {
            let id = Id::new(&format!("{date}-{yard}-{number}"))?;
            let path = self.ticket_file(&id);
            if files::kind(self.disk.as_ref(), &path)?.is_none() {
                files::write_new(self.disk.as_ref(), &path, text.as_bytes())?;
                return Ok(id);
            }
        }
        Err(StoreError::Refused { what: format!("{yard} has {MAX_A_DAY} tickets of {date}") })
    }

    /// The text of a ticket.
    ///
    /// # Errors
    /// As for [`files::read_text`].
    pub fn ticket(&self, id: &Id) -> Result<String, StoreError> {
        files::read_text(self.disk.as_ref(), &self.ticket_file(id), MAX_TICKET)
    }
}
