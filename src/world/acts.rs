//! The acts on the stock that stand: who reads quotes or sets a session aside needs to know which sales were booked.

use super::door::World;
use super::error::AppError;
use crate::stock::{ActKind, Ledger, StockEntry};
use crate::store::stock::StockLog;

impl World {
    /// The names of the tickets whose sale stands.
    ///
    /// # Errors
    /// The log of the stock cannot be read.
    pub(crate) fn standing_sales(&self) -> Result<Vec<String>, AppError> {
        let sales = self.standing_acts()?.into_iter().filter(|entry| entry.kind == ActKind::Sale);
        Ok(sales.filter_map(|entry| entry.ticket).collect())
    }

    /// The acts on the stock that stand.
    ///
    /// # Errors
    /// The log of the stock cannot be read.
    pub(crate) fn standing_acts(&self) -> Result<Vec<StockEntry>, AppError> {
        let entries = self.log::<StockLog>()?.map(|reading| reading.records).unwrap_or_default();
        Ok(Ledger::of(Vec::new(), &entries).standing().to_vec())
    }
}
