//! Values a haul at a yard on a day, with the quotes valid then.

use std::rc::Rc;

use jiff::Timestamp;
use jiff::civil::Date;

use super::quotes::quotes;
use crate::market::haul::Haul;
use crate::market::{Book, Quote, Tally, Yard, index_value};
use crate::quantity::Notation;
use crate::world::{AppError, World};

/// A yard, its quotes, and the pricing date.
pub struct Valuation {
    /// The yard.
    pub yard: Rc<Yard>,
    /// The pricing date.
    pub date: Date,
    /// The number format for this user at this yard.
    pub notation: Notation,
    /// Quotes that could not be read.
    pub warnings: Vec<String>,
    quotes: Rc<[Quote]>,
}

impl Valuation {
    /// The valuation at a yard, today unless a date is given.
    ///
    /// # Errors
    /// The yard or the quotes cannot be read.
    pub fn new(world: &World, yard_id: &str, date: Option<Date>) -> Result<Valuation, AppError> {
        let (_, yard) = world.yard(yard_id)?;
        let (quotes, warnings) = quotes(world)?;
        let date = date.unwrap_or_else(|| world.clock.today());
        let mut valuation = Valuation::over(world, Rc::new(yard), quotes.into(), date);
        valuation.warnings.extend(warnings);
        Ok(valuation)
    }

    /// As [`Valuation::new`], with a yard and quotes already read. Index-linked prices use the latest index value known
    /// on that day, provided it is not older than the price module.
    pub(crate) fn over(world: &World, yard: Rc<Yard>, quotes: Rc<[Quote]>, date: Date) -> Valuation {
        let notation = world.notation(&yard);
        let mut warnings = Vec::new();
        let value_of = |index: &str| {
            let fits = |quote: &&Quote| quote.date >= yard.as_of() && quote.price.currency() == yard.currency();
            let value = index_value(&quotes, index, date).filter(fits)?;
            Some((value.price, value.date))
        };
        let moved = (!yard.indexes().is_empty()).then(|| yard.at_indexes(value_of));
        let yard = match moved {
            None => yard,
            Some(Ok(moved)) => Rc::new(moved),
            Some(Err(error)) => {
                warnings.push(format!("the indexes of {} are left out: {error}", yard.name()));
                yard
            }
        };
        Valuation { yard, date, notation, warnings, quotes }
    }

    /// The same without prices learned from a ticket at that moment or later.
    pub(crate) fn known_by(self, moment: Timestamp) -> Valuation {
        let is_known = |quote: &&Quote| quote.learnt.is_none_or(|learnt| learnt < moment);
        if self.quotes.iter().all(|quote| is_known(&quote)) {
            return self;
        }
        Valuation { quotes: self.quotes.iter().filter(is_known).cloned().collect(), ..self }
    }

    /// The price book.
    pub fn book<'a>(&'a self, world: &'a World) -> Book<'a> {
        Book::new(&self.yard, &self.quotes, world.host().catalogue().grades(), self.date)
    }

    /// Tallies a haul.
    ///
    /// # Errors
    /// The haul contradicts itself or exceeds a limit.
    pub fn tally(&self, world: &World, haul: &Haul) -> Result<Tally, AppError> {
        Ok(Tally::of(haul, &self.book(world))?)
    }
}
