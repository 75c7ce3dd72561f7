//! A yard's ticket, and what explains its difference from the expected one.

mod reconcile;

use jiff::civil::Date;

use crate::quantity::{Mass, Money, Price};

pub use reconcile::{Cause, Reconciliation, TicketFinding, key, reconcile};

/// One line of a ticket.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TicketLine {
    /// The yard's name for it.
    pub name: String,
    /// The grade the yard paid it as; `None` for a name without a grade.
    pub grade: Option<String>,
    /// The expected line that it pays for, by that line's price grade; `None` for something unexpected.
    pub pays_for: Option<String>,
    /// Its net weight, if the ticket has one.
    pub mass: Option<Mass>,
    /// Number of pieces; 0 if the ticket does not say.
    pub pieces: u32,
    /// The price.
    pub price: Price,
    /// The amount on the ticket.
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
    /// Its deductions, by name; not negative.
    pub deductions: Vec<(String, Money)>,
    /// The total on the ticket.
    pub total: Money,
    /// The amount paid out.
    pub paid: Money,
}

impl Ticket {
    /// Price times weight of a line, with the currency's own rounding.
    ///
    /// # Errors
    /// The result exceeds its limit.
    pub fn product(line: &TicketLine) -> Result<Money, crate::quantity::QuantityError> {
        line.price.of(line.mass.unwrap_or_default(), line.pieces)
    }

    /// The sum of its lines minus its deductions: what its total should be.
    ///
    /// # Errors
    /// The result exceeds its limit.
    pub fn sum(&self) -> Result<Money, crate::quantity::QuantityError> {
        let zero = Money::zero(self.total.currency());
        let lines = self.lines.iter().try_fold(zero, |sum, line| sum.plus(line.amount))?;
        self.deductions.iter().try_fold(lines, |sum, (_, amount)| sum.minus(*amount))
    }
}

#[cfg(test)]
mod tests;
