//! Quotes: dated prices that somebody was told, over those of the module.

use jiff::Timestamp;
use jiff::civil::Date;

use crate::quantity::Price;

/// What stands in the place of the yard in a quote that is the value of an index. It is no yard's id.
pub const INDEX: &str = "(index)";

/// A price for one grade at one yard on one day. A negative price is a charge.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Quote {
    /// The yard's id, or [`INDEX`].
    pub yard: String,
    /// The canonical grade, or the name of the index.
    pub grade: String,
    /// The price, in the yard's currency.
    pub price: Price,
    /// The day it was given.
    pub date: Date,
    /// When it was learnt from a ticket, by settling it: what had ended before keeps the price of before.
    pub learnt: Option<Timestamp>,
    /// Where it comes from, in the person's words: `by telephone`, `board at the gate`.
    pub origin: String,
}

/// Why a quote for this yard does not count.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Aside {
    /// Given after the day of the valuation.
    AfterTheDay,
    /// Given before the day that the module's prices were taken down.
    OlderThanModule,
    /// A later one for the same grade counts.
    Superseded,
    /// Not in the yard's currency.
    OtherCurrency,
    /// For a grade that the catalogue does not have.
    UnknownGrade,
}

impl Aside {
    /// Whether the person would expect the quote to count, so that a tally should say that it does not.
    pub fn is_unexpected(self) -> bool {
        matches!(self, Aside::OtherCurrency | Aside::UnknownGrade)
    }

    /// The reason in words, to stand behind the quote.
    pub fn words(self) -> &'static str {
        match self {
            Aside::AfterTheDay => "given after the day of the valuation",
            Aside::OlderThanModule => "older than the yard's own price",
            Aside::Superseded => "a later quote for the grade counts",
            Aside::OtherCurrency => "not in the yard's currency",
            Aside::UnknownGrade => "for a grade that the catalogue does not have",
        }
    }
}

/// The latest value of an index that is known on a day; of several of one day the one entered last.
pub fn index_value<'q>(quotes: &'q [Quote], index: &str, date: Date) -> Option<&'q Quote> {
    let of_index = |quote: &&Quote| quote.yard == INDEX && quote.grade == index && quote.date <= date;
    quotes.iter().filter(of_index).max_by_key(|quote| quote.date)
}
