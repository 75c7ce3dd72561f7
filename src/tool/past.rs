//! A past session, as a report sees it.

use rust_decimal::Decimal;

use crate::quantity::Mass;

/// A session, valued as it was then.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct PastSession {
    /// Its name.
    pub name: String,
    /// The day it began, year-month-day; empty if unreadable.
    pub day: String,
    /// Its recipe.
    pub recipe: String,
    /// Its yard.
    pub yard: String,
    /// The currency of the amounts.
    pub currency: String,
    /// What it netted.
    pub net: Decimal,
    /// The net minus what the unit would have brought whole; `None` if the yard does not buy it whole.
    pub gain: Option<Decimal>,
    /// Working time in minutes.
    pub minutes: Decimal,
    /// The unit's weight, if weighed.
    pub intake: Option<Mass>,
    /// Whether the prices are invented samples.
    pub sample: bool,
    /// Whether it has ended.
    pub ended: bool,
}

impl PastSession {
    /// Its month, `2026-11`; `no date` if the day is unreadable.
    #[must_use]
    pub fn month(&self) -> String {
        self.day.rsplit_once('-').map_or_else(|| "no-date".to_owned(), |(month, _)| month.to_owned())
    }
}
