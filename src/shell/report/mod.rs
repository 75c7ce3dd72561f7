//! Reports and bench sheets: one page that needs nothing else, as HTML, Markdown or plain text.

mod chart;
mod html;
mod markdown;
mod session;
mod sheet;

use rust_decimal::Decimal;

use crate::app::memory::{Books, SessionReport};
use crate::quantity::{Mass, MassUnit, Notation};

pub use markdown::write as markdown;
pub use sheet::{SheetFacts, html as sheet_html, text as sheet_text};

/// What a report shows: sessions in detail, sums over more than these, and what could not be read.
#[derive(Debug, Default)]
pub struct Report {
    /// The sessions shown in detail, oldest first.
    pub sessions: Vec<SessionReport>,
    /// How many more are in the sums alone.
    pub more: usize,
    /// The sums.
    pub books: Books,
    /// Sessions that could not be read, with the reason.
    pub lapses: Vec<(String, String)>,
    /// The day on which it was made.
    pub made: String,
}

/// The definition that every report gives beside the figure.
const SOLD: &str = "Weighed and sold: the weight on lines that the yard pays for. So much did not go to landfill from this \
                    bench; what becomes of it behind the yard's gate is not known here.";

/// What every report says of its money.
const VALUED: &str = "Each session is valued at its own yard, with the prices of then, on its own day. A valuation is no receipt: \
                      what a yard has paid stands on its ticket.";

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
