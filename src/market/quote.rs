//! Quotes: dated prices given to the user, overriding those of the module.

use jiff::Timestamp;
use jiff::civil::Date;

use crate::quantity::Price;

/// Stands for the yard in a quote that is an index value. Not a valid yard id.
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
    /// The date of the quote.
    pub date: Date,
    /// When it was learned by settling a ticket: sessions that had ended before keep their earlier price.
    pub learnt: Option<Timestamp>,
    /// Its origin, in the user's words: `by telephone`, `board at the gate`.
    pub origin: String,
}

/// Why a quote for this yard does not count.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Aside {
    /// Given after the day of the valuation.
    AfterTheDay,
    /// Older than the module's prices.
    OlderThanModule,
    /// A later one for the same grade counts.
    Superseded,
    /// Not in the yard's currency.
    OtherCurrency,
    /// For a grade that is not in the catalogue.
    UnknownGrade,
}

impl Aside {
    /// Whether the user would expect the quote to count, so that a tally should say that it does not.
    pub fn is_unexpected(self) -> bool {
        matches!(self, Aside::OtherCurrency | Aside::UnknownGrade)
    }

    /// The reason in words, to follow the quote.
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
