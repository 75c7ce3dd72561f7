//! Dated quotes: prices a yard has stated. They override its price module from their date on.

use std::borrow::Cow;

use super::log::moment::{check_date, check_instant};
use super::log::{self, BadValue, Block, Field, Layout, Values};

/// The layout of the quotes file; see [`crate::store::log`] for its format.
#[derive(Debug, Clone, Copy)]
pub struct QuoteLog;

/// Prefix of the origin of a quote taken from a ticket; the ticket's name follows.
pub(super) const TICKET_ORIGIN: &str = "settled ticket ";

/// All quotes, read without the right to write.
pub type QuoteReading = log::LogReading<QuoteLog>;

impl Layout for QuoteLog {
    const FORMAT: &'static str = "knockdown-quotes";
    const VERSION: u32 = 1;
    const TABLE: &'static str = "quote";
    type Header = QuoteHeader;
    type Record = QuoteRecord;
}

/// The header of the quotes: only format and version.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct QuoteHeader;

/// One quote.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct QuoteRecord {
    /// When it was entered: RFC 3339, in UTC.
    pub at: String,
    /// The name of the yard.
    pub yard: String,
    /// The grade's catalogue id.
    pub grade: String,
    /// The price in canonical form, with currency and unit: `3.55 CAD/lb`.
    pub price: String,
    /// The first day on which it applies: `2026-11-02`.
    pub date: String,
    /// Its origin, if stated: `phone`, `ticket`.
    pub origin: Option<String>,
}

impl QuoteRecord {
    /// The ticket it was taken from, by file name.
    #[must_use]
    pub fn ticket(&self) -> Option<&str> {
        self.origin.as_deref()?.strip_prefix(TICKET_ORIGIN)
    }
}

impl Block for QuoteHeader {
    const FIELDS: &'static [Field] = &[];

    fn values(&self) -> Values<'_> {
        Vec::new()
    }

    fn from_values(_: u64, _: Vec<Option<String>>) -> Result<Self, BadValue> {
        Ok(Self)
    }
}

impl Block for QuoteRecord {
    const FIELDS: &'static [Field] = &[
        Field::text("at"),
        Field::text("yard"),
        Field::text("grade"),
        Field::text("price"),
        Field::text("date"),
        Field::optional("origin"),
    ];

    fn values(&self) -> Values<'_> {
        let fixed = [&self.at, &self.yard, &self.grade, &self.price, &self.date];
        let fixed = fixed.into_iter().map(|text| Some(Cow::Borrowed(text.as_str())));
        fixed.chain([self.origin.as_deref().map(Cow::Borrowed)]).collect()
    }

    fn from_values(_: u64, values: Vec<Option<String>>) -> Result<Self, BadValue> {
        let mut values = values.into_iter();
        let mut next = || values.next().flatten();
        let quote = Self {
            at: next().unwrap_or_default(),
            yard: next().unwrap_or_default(),
            grade: next().unwrap_or_default(),
            price: next().unwrap_or_default(),
            date: next().unwrap_or_default(),
            origin: next(),
        };
        check_instant(0, &quote.at)?;
        check_date(4, &quote.date)?;
        Ok(quote)
    }
}
