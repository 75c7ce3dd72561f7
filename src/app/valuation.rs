//! Valuing a haul at a yard on a day, with the quotes that hold then.

use std::rc::Rc;

use jiff::civil::Date;

use super::error::AppError;
use super::quotes::quotes;
use super::world::World;
use crate::market::haul::{Haul, Host, How, Remainder};
use crate::market::{Book, Quote, Tally, Yard};
use crate::quantity::{Mass, Notation};
use crate::recipe::Recipe;

/// A yard, the quotes, and the day on which prices are asked.
pub struct Valuation {
    /// The yard.
    pub yard: Rc<Yard>,
    /// The day.
    pub date: Date,
    /// How numbers are written for this person at this yard.
    pub notation: Notation,
    /// What could not be read of the quotes.
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
        Ok(Valuation { warnings, ..Valuation::over(world, Rc::new(yard), quotes.into(), date) })
    }

    /// The valuation at a yard and with quotes that were read before.
    pub(super) fn over(world: &World, yard: Rc<Yard>, quotes: Rc<[Quote]>, date: Date) -> Valuation {
        let notation = world.notation(&yard);
        Valuation { yard, date, notation, warnings: Vec::new(), quotes }
    }

    /// The price book.
    pub fn book<'a>(&'a self, world: &'a World) -> Book<'a> {
        Book::new(&self.yard, &self.quotes, world.host().catalogue().grades(), self.date)
    }

    /// The tally of a haul.
    ///
    /// # Errors
    /// The haul contradicts itself or runs out of bounds.
    pub fn tally(&self, world: &World, haul: &Haul) -> Result<Tally, AppError> {
        Ok(Tally::of(haul, &self.book(world))?)
    }
}

/// The tally of a unit that nobody opens, at its usual weight or at `intake`.
///
/// # Errors
/// As [`Valuation::tally`].
pub fn whole_value(
    world: &World,
    valuation: &Valuation,
    recipe: &Recipe,
    intake: Option<Mass>,
) -> Result<Tally, AppError> {
    let mass = Some(intake.unwrap_or(recipe.unit().weighs.usual()));
    let grade = Some(recipe.unit().whole_grade.clone());
    let remainder = Remainder { of: Host::Unit, grade: grade.clone(), mass, how: How::Weighed, pieces: 1 };
    let haul = Haul {
        unit_name: recipe.unit().name.clone(),
        recipe: recipe.unit().id.clone(),
        intake: mass,
        whole_grade: grade,
        remainders: vec![remainder],
        ..Haul::default()
    };
    valuation.tally(world, &haul)
}
