//! The logs that exist once per folder: the quotes and the stock.

use std::path::PathBuf;

use super::Home;
use crate::stock::StockEntry;
use crate::store::error::{StoreError, named};
use crate::store::files;
use crate::store::lock::Lock;
use crate::store::log::{self, Ending, Layout, LogReading, Tail, Writer};
use crate::store::quotes::{QuoteHeader, QuoteLog, QuoteReading, QuoteRecord};
use crate::store::stock::{StockLog, StockReading};

/// A log that exists once per folder.
pub trait Single: Layout<Header = QuoteHeader> {
    /// The name of its file.
    const FILE: &'static str;
}

impl Single for QuoteLog {
    const FILE: &'static str = "quotes.toml";
}

impl Single for StockLog {
    const FILE: &'static str = "stock.toml";
}

impl Home {
    /// Where a log is.
    #[must_use]
    pub fn log_file<L: Single>(&self) -> PathBuf {
        self.root.join(L::FILE)
    }

    /// Reads a log; `None` if there is no such file.
    ///
    /// # Errors
    /// As for [`log::read`].
    pub fn log<L: Single>(&self) -> Result<Option<LogReading<L>>, StoreError> {
        match log::read::<L>(self.disk.as_ref(), &self.log_file::<L>()) {
            Err(StoreError::Missing { .. }) => Ok(None),
            result => result.map(Some),
        }
    }

    /// The notice on how a log ends; `None` if it is whole.
    #[must_use]
    pub fn told<L: Single>(&self, ending: &Ending) -> Option<String> {
        let next = match ending {
            Ending::Torn { .. } => "; before more is written there, the program asks whether to put it aside",
            _ => "",
        };
        Some(format!("{}: {}{next}", named(&self.log_file::<L>()), ending.told()?))
    }

    /// All quotes as entered; `None` if there is no such file.
    ///
    /// # Errors
    /// As for [`log::read`].
    pub fn quotes(&self) -> Result<Option<QuoteReading>, StoreError> {
        self.log::<QuoteLog>()
    }

    /// The log of the stock; `None` if there is no such file.
    ///
    /// # Errors
    /// As for [`log::read`].
    pub fn stock(&self) -> Result<Option<StockReading>, StoreError> {
        self.log::<StockLog>()
    }

    /// Adds a quote. On return, it is on disk.
    ///
    /// # Errors
    /// As for [`Writer::open`] without permission to move a torn tail aside, [`Writer::append`] and [`Home::lock`].
    pub fn add_quote(&self, quote: &QuoteRecord, now: &str) -> Result<(), StoreError> {
        self.open_log::<QuoteLog>(self.lock(now)?)?.append(quote)
    }

    /// Adds an entry to the stock log. On return, it is on disk. An entry whose number is not the next one is rejected:
    /// someone else has written since the stock was read.
    ///
    /// # Errors
    /// As for [`Home::add_quote`].
    pub fn add_stock_entry(&self, entry: &StockEntry) -> Result<(), StoreError> {
        self.open_log::<StockLog>(self.lock(&entry.at)?)?.append(entry)
    }

    /// Moves the torn tail of a log to a side file and returns its path; `None` if the log now ends whole.
    ///
    /// # Errors
    /// As for [`Writer::open`] and [`Home::lock`].
    pub fn put_aside<L: Single>(&self, now: &str) -> Result<Option<PathBuf>, StoreError> {
        let lock = self.lock(now)?;
        Ok(Writer::<L>::open(self.disk.clone(), &self.log_file::<L>(), lock, Tail::PutAside)?.torn)
    }

    /// Opens or creates a log for writing.
    pub(super) fn open_log<L: Single>(&self, lock: Lock) -> Result<Writer<L>, StoreError> {
        let path = self.log_file::<L>();
        match files::kind(self.disk.as_ref(), &path)? {
            None => Writer::create(self.disk.clone(), &path, &QuoteHeader, lock),
            Some(_) => Ok(Writer::open(self.disk.clone(), &path, lock, Tail::Refuse)?.writer),
        }
    }
}
