//! Reports and bench sheets: one self-contained page, as HTML, Markdown or plain text.

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

/// The content of a report: sessions in detail, sums that can cover more sessions, and what could not be read.
#[derive(Debug, Default)]
pub struct Report {
    /// The sessions shown in detail, oldest first.
    pub sessions: Vec<SessionReport>,
    /// How many more sessions are only in the sums.
    pub more: usize,
    /// Whether it covers all sessions: if so, it includes the accounting sums of all booked tickets.
    pub all: bool,
    /// Tickets missing from those sums, with the reason.
    pub lacking: Vec<String>,
    /// The sums.
    pub books: Books,
    /// Sessions that could not be read, with the reason.
    pub lapses: Vec<(String, String)>,
    /// The day on which the report was made.
    pub made: String,
}

/// The definition that every report prints next to the figure.
const TO_SELL: &str = "Weighed to sell: the weight on lines that the yard pays for. So much need not go to landfill from this \
                       bench; sold is what a ticket says.";

/// What every report says about its money values.
const ESTIMATED: &str = "What a session is worth is an estimate: at its own yard, with the prices of the moment on which it ended. \
                         What a yard has paid stands on its ticket.";

/// What the accounting sums cover.
const BOOKED: &str = "Of booked tickets alone: what the yards have paid.";

/// Text shown if no ticket is booked.
const NOTHING_BOOKED: &str = "No ticket is booked yet; settle books one.";

/// What the session sums are.
const NO_INCOME: &str = "By valuation, of sessions that have ended; nothing of it is income before a ticket is booked.";

/// Text for a session that has not ended.
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
