//! A session of the past as a report has it.

use rust_decimal::Decimal;

use crate::quantity::Mass;

/// A session, valued as it was.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct PastSession {
    /// Its name.
    pub name: String,
    /// The day on which it began, year-month-day; empty where that cannot be read.
    pub day: String,
    /// Its recipe.
    pub recipe: String,
    /// Its yard.
    pub yard: String,
    /// The currency of the amounts.
    pub currency: String,
    /// What it netted.
    pub net: Decimal,
    /// That, less what the unit would have brought whole; none where the yard does not buy it whole.
    pub gain: Option<Decimal>,
    /// Working time in minutes.
    pub minutes: Decimal,
    /// What the unit weighed, if it was weighed.
    pub intake: Option<Mass>,
    /// Whether the prices are invented samples.
    pub sample: bool,
    /// Whether it has ended.
    pub ended: bool,
}

impl PastSession {
    /// Its month, `2026-11`; `no date` where the day cannot be read.
    #[must_use]
    pub fn month(&self) -> String {
        self.day.rsplit_once('-').map_or_else(|| "no-date".to_owned(), |(month, _)| month.to_owned())
    }
}
