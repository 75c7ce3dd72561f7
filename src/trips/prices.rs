//! Prices over time, and how yards have paid.

use std::collections::BTreeMap;

use jiff::civil::Date;
use rust_decimal::Decimal;

use super::ticket_file::TicketFile;
use crate::market::{INDEX, Offer, Quote, Yard};
use crate::pricing::{TripTerms, quotes};
use crate::quantity::{Basis, Money, Price};
use crate::store::home::Shelf;
use crate::world::{AppError, World};

/// Age in days from which a price is worth asking for again (our judgement).
pub const OLD_PRICE: i32 = 30;

/// The age of a price in days, if old enough to ask again.
pub fn old_age(given: Date, today: Date) -> Option<i32> {
    let days = today.since(given).ok()?.get_days();
    (days >= OLD_PRICE).then_some(days)
}

/// A price on a day.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Point {
    /// The day.
    pub date: Date,
    /// The price.
    pub price: Price,
    /// Where it comes from: `module`, `typed`, a ticket.
    pub origin: String,
}

/// The prices of one grade at one yard.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Course {
    /// The yard's id.
    pub yard: String,
    /// The grade that carries the price: the requested one or a wider class.
    pub grade: String,
    /// Whether the module's prices are invented samples.
    pub sample: bool,
    /// By date.
    pub points: Vec<Point>,
}

/// A yard's payments over all its settled tickets in one currency.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PriceRecord {
    /// The yard's id.
    pub yard: String,
    /// How many tickets.
    pub tickets: usize,
    /// The latest of them.
    pub latest: String,
    /// What was expected.
    pub expected: Money,
    /// What was paid.
    pub paid: Money,
    /// The total effect of each cause.
    pub causes: BTreeMap<String, Decimal>,
}

impl World {
    /// The prices of a grade at each yard that prices it, from its module, quotes and tickets.
    ///
    /// # Errors
    /// An unknown grade, or the quotes cannot be read.
    pub fn courses(&self, grade: &str) -> Result<Vec<Course>, AppError> {
        self.known_grade(grade)?;
        let tree = self.host().catalogue().grades();
        let (all, _) = quotes(self)?;
        let mut courses = Vec::new();
        for id in self.ids(Shelf::Yards)? {
            // A yard that cannot be read has no prices to show; `yards` says why.
            let Ok((_, yard)) = self.yard(&id) else { continue };
            let quoted = |level: &str| all.iter().filter(|q| q.yard == id && q.grade == level).collect::<Vec<_>>();
            let level =
                tree.lineage(grade).find(|level| yard.offer(&level.id).is_some() || !quoted(&level.id).is_empty());
            let Some(level) = level else { continue };
            let module = yard.offer(&level.id).map(|offer| Point {
                date: yard.as_of(),
                price: offer.price(),
                origin: "module".to_owned(),
            });
            let points = quoted(&level.id).into_iter().map(|quote| Point {
                date: quote.date,
                price: quote.price,
                origin: quote.origin.clone(),
            });
            let followed = yard.offer(&level.id).map(|offer| index_points(&yard, offer, &all)).unwrap_or_default();
            let mut points: Vec<Point> = module.into_iter().chain(followed).chain(points).collect();
            points.sort_by_key(|point| point.date);
            courses.push(Course { yard: id, grade: level.id.clone(), sample: yard.is_sample(), points });
        }
        Ok(courses)
    }

    /// A price in the currency and unit of the current yard, to four decimals, with the date of the exchange rate;
    /// `None` if it is already in that form, or no rate is set.
    ///
    /// # Errors
    /// The current yard or a rate cannot be read.
    pub fn side_by_side(&self, price: Price) -> Result<Option<(Price, Option<Date>)>, AppError> {
        let (_, yard) = self.yard(&self.yard_id(None)?)?;
        let terms = TripTerms::new(self, yard.currency(), self.notation(&yard));
        let Some((rate, day)) = terms.exchange(price.currency())? else { return Ok(None) };
        let (factor, basis) = match price.basis() {
            Basis::Piece => (Decimal::ONE, Basis::Piece),
            Basis::Weight(unit) => (yard.unit().grams() / unit.grams(), Basis::Weight(yard.unit())),
        };
        let amount = price.amount().checked_mul(rate).and_then(|amount| amount.checked_mul(factor));
        let converted = amount.and_then(|amount| Price::new(amount.round_dp(4).normalize(), terms.home, basis).ok());
        let is_same = price.currency() == terms.home && basis == price.basis();
        Ok(converted.filter(|_| !is_same).map(|price| (price, day)))
    }

    /// What each yard paid against what was expected; also returns what could not be read.
    ///
    /// # Errors
    /// The log of the stock cannot be read.
    pub fn records(&self) -> Result<(Vec<PriceRecord>, Vec<String>), AppError> {
        let (tickets, warnings) = self.tickets()?;
        let mut records: BTreeMap<(String, &'static str), PriceRecord> = BTreeMap::new();
        for ticket in &tickets {
            let key = (ticket.yard.clone(), ticket.paid.currency().code());
            let zero = Money::zero(ticket.paid.currency());
            let record = records.entry(key).or_insert_with(|| PriceRecord {
                yard: ticket.yard.clone(),
                tickets: 0,
                latest: String::new(),
                expected: zero,
                paid: zero,
                causes: BTreeMap::new(),
            });
            record.add(ticket)?;
        }
        Ok((records.into_values().collect(), warnings))
    }
}

/// An index-linked price recomputed for each index value since the module.
fn index_points(yard: &Yard, offer: &Offer, quotes: &[Quote]) -> Vec<Point> {
    let Some(link) = offer.link() else { return Vec::new() };
    let of_index = quotes.iter().filter(|quote| quote.yard == INDEX && quote.grade == link.index);
    let counts = of_index.filter(|quote| quote.date >= yard.as_of() && quote.price.currency() == yard.currency());
    let percent = (link.share * Decimal::ONE_HUNDRED).normalize();
    let point = |value: &Quote| {
        let price = value.price.share(link.share).ok()?;
        Some(Point { date: value.date, price, origin: format!("{percent} % of {}", link.index) })
    };
    counts.filter_map(point).collect()
}

impl PriceRecord {
    fn add(&mut self, ticket: &TicketFile) -> Result<(), AppError> {
        let wrong =
            |error: crate::quantity::QuantityError| AppError::Refused(format!("tickets of {}: {error}", self.yard));
        let (expected, paid) = (self.expected.plus(ticket.expected), self.paid.plus(ticket.paid));
        (self.expected, self.paid) = (expected.map_err(wrong)?, paid.map_err(wrong)?);
        self.tickets += 1;
        self.latest = self.latest.clone().max(ticket.date.clone());
        for finding in &ticket.finding {
            *self.causes.entry(finding.cause.clone()).or_default() += finding.amount.amount();
        }
        Ok(())
    }
}
