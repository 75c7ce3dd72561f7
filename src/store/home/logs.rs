//! The logs of which the folder has one each: the quotes and the stock.

use std::path::PathBuf;

use super::Home;
use crate::stock::Entry;
use crate::store::error::{StoreError, named};
use crate::store::files;
use crate::store::lock::Lock;
use crate::store::log::{self, Ending, Layout, Reading, Tail, Writer};
use crate::store::quotes::{Quote, QuoteHeader, QuoteLog, QuoteReading};
use crate::store::stock::{StockLog, StockReading};

/// A log of which the folder has one.
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

    /// A log as it stands; `None` if there is no such file.
    ///
    /// # Errors
    /// As for [`log::read`].
    pub fn log<L: Single>(&self) -> Result<Option<Reading<L>>, StoreError> {
        match log::read::<L>(self.disk.as_ref(), &self.log_file::<L>()) {
            Err(StoreError::Missing { .. }) => Ok(None),
            result => result.map(Some),
        }
    }

    /// What whoever uses a log is told of how it ends; nothing of a whole one.
    #[must_use]
    pub fn told<L: Single>(&self, ending: &Ending) -> Option<String> {
        let next = match ending {
            Ending::Torn { .. } => "; before more is written there, the program asks whether to put it aside",
            _ => "",
        };
        Some(format!("{}: {}{next}", named(&self.log_file::<L>()), ending.told()?))
    }

    /// All quotes as they were entered; `None` if there is no such file.
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

    /// Adds a quote. When this returns, it is on the disk.
    ///
    /// # Errors
    /// As for [`Writer::open`] without leave to put a torn tail aside, [`Writer::append`] and [`Home::lock`].
    pub fn add_quote(&self, quote: &Quote, now: &str) -> Result<(), StoreError> {
        self.open_log::<QuoteLog>(self.lock(now)?)?.append(quote)
    }

    /// Adds an entry to the log of the stock. When this returns, it is on the disk. An entry whose number is not the
    /// next is refused: somebody else has written since the stock was looked at.
    ///
    /// # Errors
    /// As for [`Home::add_quote`].
    pub fn add_stock_entry(&self, entry: &Entry) -> Result<(), StoreError> {
        self.open_log::<StockLog>(self.lock(&entry.at)?)?.append(entry)
    }

    /// Moves the torn tail of a log to a side file, which is named; `None` where the log ends whole by now.
    ///
    /// # Errors
    /// As for [`Writer::open`] and [`Home::lock`].
    pub fn put_aside<L: Single>(&self, now: &str) -> Result<Option<PathBuf>, StoreError> {
        let lock = self.lock(now)?;
        Ok(Writer::<L>::open(self.disk.clone(), &self.log_file::<L>(), lock, Tail::PutAside)?.torn)
    }

    /// Opens a log to write on it, or makes it.
    pub(super) fn open_log<L: Single>(&self, lock: Lock) -> Result<Writer<L>, StoreError> {
        let path = self.log_file::<L>();
        match files::kind(self.disk.as_ref(), &path)? {
            None => Writer::create(self.disk.clone(), &path, &QuoteHeader, lock),
            Some(_) => Ok(Writer::open(self.disk.clone(), &path, lock, Tail::Refuse)?.writer),
        }
    }
}
