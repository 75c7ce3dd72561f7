//! A yard's ticket, and what explains the difference between it and what was to be expected.

mod reconcile;

use jiff::civil::Date;

use crate::quantity::{Mass, Money, Price};

pub use reconcile::{Cause, Finding, Reconciliation, key, reconcile};

/// One line of a ticket.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TicketLine {
    /// What the yard calls it.
    pub name: String,
    /// The grade that the yard paid it as; `None` for a name that stands for no grade.
    pub grade: Option<String>,
    /// The expected line that it pays for, by the grade that priced that line; `None` for something nobody expected.
    pub pays_for: Option<String>,
    /// Its net weight, if the ticket has one.
    pub mass: Option<Mass>,
    /// Number of pieces; 0 where the ticket says nothing.
    pub pieces: u32,
    /// The price.
    pub price: Price,
    /// The amount as it stands on the ticket.
    pub amount: Money,
}

/// A ticket as it was entered.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Ticket {
    /// The day on it.
    pub date: Date,
    /// Its number, if it has one.
    pub number: Option<String>,
    /// Its lines.
    pub lines: Vec<TicketLine>,
    /// What it takes off, by name; not negative.
    pub deductions: Vec<(String, Money)>,
    /// The total as it stands on the ticket.
    pub total: Money,
    /// What was handed over.
    pub paid: Money,
}

impl Ticket {
    /// What price and weight of a line come to, by the currency's own rounding.
    ///
    /// # Errors
    /// Past all bounds.
    pub fn product(line: &TicketLine) -> Result<Money, crate::quantity::QuantityError> {
        line.price.of(line.mass.unwrap_or_default(), line.pieces)
    }

    /// The sum of its lines less its deductions: what its total should be.
    ///
    /// # Errors
    /// Past all bounds.
    pub fn sum(&self) -> Result<Money, crate::quantity::QuantityError> {
        let zero = Money::zero(self.total.currency());
        let lines = self.lines.iter().try_fold(zero, |sum, line| sum.plus(line.amount))?;
        self.deductions.iter().try_fold(lines, |sum, (_, amount)| sum.minus(*amount))
    }
}

#[cfg(test)]
mod tests;
