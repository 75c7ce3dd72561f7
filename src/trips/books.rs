//! Sums by month and year, per currency: booked tickets alone, as needed for bookkeeping, and separately the estimated
//! worth of ended sessions.

use std::collections::BTreeMap;

use rust_decimal::Decimal;

use super::ticket_file::TicketFile;
use crate::quantity::{Mass, Money, QuantityError};
use crate::sessions::history::SessionReport;
use crate::world::AppError;

/// The booked tickets of a month or a year.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Booked {
    /// Number of tickets.
    pub tickets: usize,
    /// The sum of their lines.
    pub lines: Money,
    /// What was paid out; the difference is deductions and cash rounding.
    pub paid: Money,
    /// What was sold by weight.
    pub sold: Mass,
}

/// What the ended sessions of a month or a year are worth.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct EstimatedWorth {
    /// Number of sessions.
    pub sessions: usize,
    /// The net of their tallies.
    pub net: Money,
    /// Working time in minutes.
    pub minutes: Decimal,
    /// Weight prepared for sale; see [`SessionReport::weighed_to_sell`].
    pub weighed: Mass,
}

/// Sums by period and currency code: `2026`, `2026-11`, or `no date`.
pub type Periods<T> = BTreeMap<(String, &'static str), T>;

/// What a report sums up.
#[derive(Debug, Clone, Default)]
pub struct Books {
    /// Of booked tickets.
    pub booked: Periods<Booked>,
    /// Of sessions.
    pub estimates: Periods<EstimatedWorth>,
}

impl Books {
    /// Adds a booked ticket.
    ///
    /// # Errors
    /// A sum exceeds its limit.
    pub fn book(&mut self, ticket: &TicketFile) -> Result<(), AppError> {
        let zero = Money::zero(ticket.paid.currency());
        let nothing = Booked { tickets: 0, lines: zero, paid: zero, sold: Mass::ZERO };
        add(&mut self.booked, &ticket.date, zero, &nothing, |sum| {
            sum.tickets += 1;
            sum.lines = ticket.line.iter().try_fold(sum.lines, |lines, line| lines.plus(line.amount))?;
            sum.paid = sum.paid.plus(ticket.paid)?;
            sum.sold = Mass::sum(ticket.line.iter().filter_map(|line| line.weight).chain([sum.sold]))?;
            Ok(())
        })
    }

    /// Adds a session, unless it is still open.
    ///
    /// # Errors
    /// A sum exceeds its limit.
    pub fn estimate(&mut self, report: &SessionReport) -> Result<(), AppError> {
        if !report.ended {
            return Ok(());
        }
        let zero = Money::zero(report.tally.currency());
        let nothing = EstimatedWorth { sessions: 0, net: zero, minutes: Decimal::ZERO, weighed: Mass::ZERO };
        add(&mut self.estimates, &report.day, zero, &nothing, |sum| {
            sum.sessions += 1;
            sum.net = sum.net.plus(report.tally.net)?;
            // At most a thousand hours per session: no number of sessions that fits on a disk overflows a decimal.
            sum.minutes += report.tally.minutes.get();
            sum.weighed = sum.weighed.plus(report.weighed_to_sell())?;
            Ok(())
        })
    }
}

/// Adds to the year's and the month's sums.
fn add<T: Clone>(
    sums: &mut Periods<T>,
    day: &str,
    in_currency: Money,
    nothing: &T,
    add: impl Fn(&mut T) -> Result<(), QuantityError>,
) -> Result<(), AppError> {
    let dated: Vec<&str> = [day.get(..4), day.get(..7)].into_iter().flatten().collect();
    for period in if dated.len() == 2 { &dated[..] } else { &["no date"] } {
        let sum = sums.entry(((*period).to_owned(), in_currency.currency().code())).or_insert_with(|| nothing.clone());
        add(sum).map_err(|error| AppError::Refused(format!("the sums of {period}: {error}")))?;
    }
    Ok(())
}
