//! The worth of the stock: pile by pile at the current yard, and at the best known yard.

use std::collections::BTreeMap;

use jiff::civil::Date;
use rust_decimal::Decimal;

use super::stock::{Stock, haul_of};
use crate::market::{Book, Tally, Unsold};
use crate::pricing::{TripTerms, Valuation};
use crate::quantity::{Currency, Mass, Money};
use crate::stock::{Pile, Pooling, piles};
use crate::store::home::Shelf;
use crate::world::{AppError, World};

/// An amount in another currency, with its exchange rate.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Exchanged {
    /// The amount as it is paid.
    pub paid: Money,
    /// The rate to the home currency.
    pub rate: Decimal,
    /// The date of the rate, as set by the user.
    pub day: Option<Date>,
}

/// The yard that pays most for a pile.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Best {
    /// The yard's id.
    pub yard: String,
    /// What it pays for the pile, in the current yard's currency.
    pub amount: Money,
    /// The amount in its own currency, if different, with the rate and its date.
    pub exchanged: Option<Exchanged>,
    /// Whether its prices are invented samples.
    pub sample: bool,
}

/// One pile and its worth.
pub struct WorthRow<'a> {
    /// The pile.
    pub pile: Pile<'a>,
    /// What the current yard pays for it, pooled with everything else on the same line there; or why nothing.
    pub here: Result<Money, Unsold>,
    /// What is missing to the yard's minimum lot, if it is not reached.
    pub missing: Option<Mass>,
    /// The best of all yards that pay in the same currency or one with a rate set; `None` if none takes it.
    pub best: Option<Best>,
}

/// The worth of the whole stock.
pub struct StockWorth<'a> {
    /// The yard, the day, the number format.
    pub valuation: Valuation,
    /// Pile by pile.
    pub rows: Vec<WorthRow<'a>>,
    /// What the current yard would pay for everything at once.
    pub tally: Tally,
    /// Currencies of yards left out of the comparison for lack of a rate.
    pub without_rate: Vec<Currency>,
}

impl World {
    /// Values the stock at a yard on a day, and finds the best yard for each pile.
    ///
    /// # Errors
    /// A yard or the quotes cannot be read, or a sum exceeds its limit.
    pub fn worth<'a>(
        &self,
        stock: &'a Stock,
        pooling: Pooling,
        yard: &str,
        date: Option<Date>,
    ) -> Result<StockWorth<'a>, AppError> {
        let valuation = Valuation::new(self, yard, date)?;
        let lots = stock.ledger.lots();
        let tally = valuation.tally(self, &haul_of(lots))?;
        let currency = valuation.yard.currency();
        let terms = TripTerms::new(self, currency, valuation.notation);
        let (mut others, mut without_rate) = (Vec::new(), Vec::new());
        for id in self.ids(Shelf::Yards)? {
            // A yard that cannot be read is no place to sell; `yards` says why.
            let Ok(other) = Valuation::new(self, &id, date) else { continue };
            match terms.exchange(other.yard.currency())? {
                Some(rate) => {
                    let pooled = pooled(&other.book(self), stock);
                    others.push((other, rate, pooled));
                }
                None if without_rate.contains(&other.yard.currency()) => {}
                None => without_rate.push(other.yard.currency()),
            }
        }
        let book = valuation.book(self);
        let pooled = pooled(&book, stock);
        let mut rows = Vec::new();
        for pile in piles(lots, pooling) {
            let here = self.pile_worth(&valuation, &pooled, &pile);
            let missing = missing(&here, &book, &pooled, &pile);
            let bests =
                others.iter().filter_map(|(other, rate, pooled)| self.at_other(other, *rate, currency, pooled, &pile));
            let best = bests.max_by_key(|best| best.amount.amount());
            rows.push(WorthRow { pile, here, missing, best });
        }
        Ok(StockWorth { rows, tally, valuation, without_rate })
    }

    /// What another yard pays for a pile, in the home currency.
    fn at_other(
        &self,
        other: &Valuation,
        (rate, day): (Decimal, Option<Date>),
        home: Currency,
        pooled: &Pooled,
        pile: &Pile<'_>,
    ) -> Option<Best> {
        let paid = self.pile_worth(other, pooled, pile).ok()?;
        let (yard, sample) = (other.yard.id().to_owned(), other.yard.is_sample());
        if paid.currency() == home {
            return Some(Best { yard, amount: paid, exchanged: None, sample });
        }
        let amount = Money::new(paid.amount().checked_mul(rate)?, home).ok()?.rounded();
        Some(Best { yard, amount, exchanged: Some(Exchanged { paid, rate, day }), sample })
    }

    /// What a yard pays for a pile at the price tier that all of its line in stock reaches.
    fn pile_worth(&self, at: &Valuation, pooled: &Pooled, pile: &Pile<'_>) -> Result<Money, Unsold> {
        if pile.mixed_in.is_some() {
            let tally = at.tally(self, &haul_of(pile.lots.iter().copied()));
            let tally = tally.map_err(|error| Unsold::OutOfBounds(error.to_string()))?;
            let reason = tally.unsold.first().map(|item| item.reason.clone());
            return tally.lines.first().map(|line| line.amount).ok_or(reason.unwrap_or(Unsold::NoPrice));
        }
        let book = at.book(self);
        let listing = book.listing(pile.grade)?;
        let priced = listing.at(pooled.get(listing.priced_as()).copied())?;
        if pile.pieces() == 0 && priced.price.basis() == crate::quantity::Basis::Piece {
            return Err(Unsold::NotCounted);
        }
        let amount = priced.price.of(pile.mass().unwrap_or(Mass::ZERO), pile.pieces());
        amount.map_err(|error| Unsold::OutOfBounds(error.to_string()))
    }
}

/// Total stock weight by price-list line.
type Pooled = BTreeMap<String, Mass>;

fn pooled(book: &Book<'_>, stock: &Stock) -> Pooled {
    let mut pooled = Pooled::new();
    for lot in stock.ledger.lots().iter().filter(|lot| lot.mixed_in.is_none()) {
        if let (Ok(listing), Some(mass)) = (book.listing(&lot.grade), lot.mass) {
            let sum = pooled.entry(listing.priced_as().to_owned()).or_default();
            *sum = sum.plus(mass).unwrap_or(*sum);
        }
    }
    pooled
}

fn missing(here: &Result<Money, Unsold>, book: &Book<'_>, pooled: &Pooled, pile: &Pile<'_>) -> Option<Mass> {
    let Err(Unsold::BelowMinimum { minimum, .. }) = here else { return None };
    let there = pooled.get(book.listing(pile.grade).ok()?.priced_as()).copied().unwrap_or_default();
    minimum.minus(there).ok()
}
