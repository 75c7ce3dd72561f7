//! Sums for one's books: by month and by year, each currency by itself.

use std::collections::BTreeMap;

use rust_decimal::Decimal;

use super::report::SessionReport;
use crate::app::error::AppError;
use crate::market::Tally;
use crate::quantity::{Mass, Money, QuantityError};

/// The sums of a month or a year.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sum {
    /// How many sessions.
    pub sessions: usize,
    /// What the lines bring.
    pub lines: Money,
    /// What was taken off: fees, consumables, trip shares, and cash rounding.
    pub costs: Money,
    /// The net.
    pub net: Money,
    /// Working time in minutes.
    pub minutes: Decimal,
    /// What was weighed and sold; see [`SessionReport::weighed_and_sold`].
    pub sold: Mass,
}

/// Sums by period and currency code: `2026`, `2026-11`, or `no date`.
#[derive(Debug, Clone, Default)]
pub struct Books {
    /// By month.
    pub months: BTreeMap<(String, &'static str), Sum>,
    /// By year.
    pub years: BTreeMap<(String, &'static str), Sum>,
}

impl Books {
    /// Adds a session.
    ///
    /// # Errors
    /// A sum runs out of bounds.
    pub fn add(&mut self, report: &SessionReport) -> Result<(), AppError> {
        let period = |letters: usize| report.day.get(..letters).unwrap_or("no date").to_owned();
        let sold = report.weighed_and_sold();
        for (sums, key) in [(&mut self.months, period(7)), (&mut self.years, period(4))] {
            let sum = sums.entry((key, report.tally.currency().code())).or_insert_with(|| Sum::nothing(&report.tally));
            sum.add(&report.tally, sold).map_err(|error| AppError::Refused(format!("the sums: {error}")))?;
        }
        Ok(())
    }
}

impl Sum {
    fn nothing(tally: &Tally) -> Sum {
        let zero = Money::zero(tally.currency());
        Sum { sessions: 0, lines: zero, costs: zero, net: zero, minutes: Decimal::ZERO, sold: Mass::ZERO }
    }

    fn add(&mut self, tally: &Tally, sold: Mass) -> Result<(), QuantityError> {
        let lines = tally.lines.iter().try_fold(Money::zero(tally.currency()), |sum, line| sum.plus(line.amount))?;
        self.sessions += 1;
        self.lines = self.lines.plus(lines)?;
        self.costs = self.costs.plus(lines.minus(tally.net)?)?;
        self.net = self.net.plus(tally.net)?;
        // At most a thousand hours a session: no number of sessions that fit on a disk outgrows a decimal.
        self.minutes += tally.minutes.get();
        self.sold = self.sold.plus(sold)?;
        Ok(())
    }
}
