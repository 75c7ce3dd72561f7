//! Reports and bench sheets: one page that needs nothing else, as HTML, Markdown or plain text.

mod chart;
mod html;
mod markdown;
mod session;
mod sheet;

use rust_decimal::Decimal;

use crate::quantity::{Mass, MassUnit, Notation};
use crate::sessions::history::SessionReport;
use crate::trips::Books;

pub use markdown::write as markdown;
pub use sheet::{SheetFacts, html as sheet_html, text as sheet_text};

/// What a report shows: sessions in detail, sums over more than these, and what could not be read.
#[derive(Debug, Default)]
pub struct Report {
    /// The sessions shown in detail, oldest first.
    pub sessions: Vec<SessionReport>,
    /// How many more are in the sums alone.
    pub more: usize,
    /// Whether it is of all sessions: then the sums for one's books stand in it, of all booked tickets.
    pub all: bool,
    /// Tickets that those sums lack, with the reason.
    pub lacking: Vec<String>,
    /// The sums.
    pub books: Books,
    /// Sessions that could not be read, with the reason.
    pub lapses: Vec<(String, String)>,
    /// The day on which it was made.
    pub made: String,
}

/// The definition that every report gives beside the figure.
const TO_SELL: &str = "Weighed to sell: the weight on lines that the yard pays for. So much need not go to landfill from this \
                       bench; sold is what a ticket says.";

/// What every report says of its money.
const ESTIMATED: &str = "What a session is worth is an estimate: at its own yard, with the prices of the moment on which it ended. \
                         What a yard has paid stands on its ticket.";

/// What the sums for one's books are of.
const BOOKED: &str = "Of booked tickets alone: what the yards have paid.";

/// What is said where no ticket is booked.
const NOTHING_BOOKED: &str = "No ticket is booked yet; settle books one.";

/// What the sums of sessions are.
const NO_INCOME: &str = "By valuation, of sessions that have ended; nothing of it is income before a ticket is booked.";

/// What is said of a session that goes on.
const GOES_ON: &str = "It has not ended, and is in no sum.";

/// A weight in a sum, to a tenth of a kilogram.
fn kilograms(mass: Mass) -> String {
    mass.show(MassUnit::Kilogram, 1, Notation::Point)
}

/// Working time in a sum, to a tenth of an hour.
fn hours(minutes: Decimal) -> String {
    (minutes / Decimal::from(60)).round_dp(1).to_string()
}

/// The report as one HTML page.
pub fn html(report: &Report) -> String {
    let mut body = html::Html::default();
    session::page(report, &mut body);
    html::document("Sessions", body)
}
