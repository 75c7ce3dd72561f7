//! A settled ticket as stored: readable text, including what was expected.

use serde::{Deserialize, Serialize};

use crate::market::ticket::{Reconciliation, Ticket};
use crate::quantity::{Mass, Money, Price};
use crate::stock::{Lot, Rest};
use crate::store::home::{TICKET_FORMAT, TICKET_VERSION};
use crate::store::{Id, StoreError};
use crate::world::{AppError, World};

/// One line, as stored.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FileLine {
    /// The yard's name for it.
    pub name: String,
    /// The grade it was paid as.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub grade: Option<String>,
    /// The expected line it pays for.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pays_for: Option<String>,
    /// Its net weight.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub weight: Option<Mass>,
    /// Number of pieces.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub pieces: u32,
    /// Its price.
    pub price: Price,
    /// Its amount.
    pub amount: Money,
}

fn is_zero(pieces: &u32) -> bool {
    *pieces == 0
}

/// The remainder of a lot, as stored.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FileRest {
    /// The lot.
    pub lot: String,
    /// Its weight.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub weight: Option<Mass>,
    /// Number of pieces.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub pieces: u32,
}

/// A deduction, as stored.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FileDeduction {
    /// Its name.
    pub name: String,
    /// How much.
    pub amount: Money,
}

/// A difference, as stored.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FileFinding {
    /// Why: the code of a [`crate::market::ticket::Cause`].
    pub cause: String,
    /// The line concerned; empty for the whole ticket.
    pub line: String,
    /// Its effect.
    pub amount: Money,
}

/// A ticket, as stored.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TicketFile {
    /// Its name, taken from the file name; not in the file itself.
    #[serde(skip)]
    pub name: String,
    /// Always `knockdown-ticket`.
    pub format: String,
    /// The version of the format.
    pub version: u32,
    /// The yard.
    pub yard: String,
    /// The day on the ticket.
    pub date: String,
    /// The number on the ticket.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub number: Option<String>,
    /// The expected payment.
    pub expected: Money,
    /// The total on the ticket.
    pub total: Money,
    /// The actual payment.
    pub paid: Money,
    /// The lots that were sold.
    pub lots: Vec<String>,
    /// The remainders of lots sold in part.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub rest: Vec<FileRest>,
    /// The lines.
    #[serde(default)]
    pub line: Vec<FileLine>,
    /// The deductions.
    #[serde(default)]
    pub deduction: Vec<FileDeduction>,
    /// What explains the difference.
    #[serde(default)]
    pub finding: Vec<FileFinding>,
}

impl TicketFile {
    /// The file of a ticket.
    pub(crate) fn of(
        yard: &str,
        ticket: &Ticket,
        explained: &Reconciliation,
        sold: &[&Lot],
        rest: &[Rest],
    ) -> TicketFile {
        let line = |line: &crate::market::ticket::TicketLine| FileLine {
            name: line.name.clone(),
            grade: line.grade.clone(),
            pays_for: line.pays_for.clone(),
            weight: line.mass,
            pieces: line.pieces,
            price: line.price,
            amount: line.amount,
        };
        let finding = |finding: &crate::market::ticket::TicketFinding| FileFinding {
            cause: finding.cause.code().to_owned(),
            line: finding.line.clone(),
            amount: finding.amount,
        };
        let deduction = |(name, amount): &(String, Money)| FileDeduction { name: name.clone(), amount: *amount };
        TicketFile {
            name: String::new(),
            format: TICKET_FORMAT.to_owned(),
            version: TICKET_VERSION,
            yard: yard.to_owned(),
            date: ticket.date.to_string(),
            number: ticket.number.clone(),
            expected: explained.expected,
            total: ticket.total,
            paid: ticket.paid,
            lots: sold.iter().map(|lot| lot.id.clone()).collect(),
            rest: rest
                .iter()
                .map(|rest| FileRest { lot: rest.lot.clone(), weight: rest.mass, pieces: rest.pieces })
                .collect(),
            line: ticket.lines.iter().map(line).collect(),
            deduction: ticket.deductions.iter().map(deduction).collect(),
            finding: explained.findings.iter().map(finding).collect(),
        }
    }

    /// Its text.
    pub(crate) fn text(&self) -> Result<String, String> {
        toml::to_string(self).map_err(|error| format!("the ticket cannot be written: {error}"))
    }
}

impl World {
    /// All tickets whose sale stands, in the order of settlement; also returns what could not be read.
    ///
    /// # Errors
    /// The log of the stock cannot be read.
    pub fn tickets(&self) -> Result<(Vec<TicketFile>, Vec<String>), AppError> {
        let mut tickets = Vec::new();
        let mut warnings = Vec::new();
        for entry in self.standing_sales()? {
            let read = |name: &str| -> Result<TicketFile, StoreError> { self.home.ticket(&Id::new(name)?) };
            match read(&entry) {
                Ok(ticket) => tickets.push(TicketFile { name: entry, ..ticket }),
                Err(error) => warnings.push(format!("the ticket {entry} cannot be read: {error}")),
            }
        }
        Ok((tickets, warnings))
    }
}
