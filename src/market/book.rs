//! The price book: what a yard pays for each grade on one day.

mod listing;

use std::collections::BTreeMap;
use std::collections::btree_map::Entry;

use jiff::civil::Date;

use super::grade::GradeTree;
use super::quote::{Aside, Quote};
use super::yard::Yard;
use crate::quantity::Mass;

pub use listing::{PriceListing, PriceSource, Priced, Unsold};

/// A yard's module and the quotes valid on one day.
///
/// Looking up a grade climbs the tree. At each level a quote overrides the module's price of that grade, and the first
/// level with either decides, so that a quote for a grade finer than any the module prices wins there. A quote counts
/// from its own date on and only if it is not older than the module, whose prices state what applied on *its* day for
/// everything it lists (an index-linked price is dated by the index value); the latest quote for a grade wins, and of
/// several on one day the last in the list.
#[derive(Debug, Clone)]
pub struct Book<'a> {
    yard: &'a Yard,
    tree: &'a GradeTree,
    date: Date,
    quotes: BTreeMap<&'a str, &'a Quote>,
    aside: Vec<(&'a Quote, Aside)>,
}

impl<'a> Book<'a> {
    /// The book of `yard` on `date`. Ignores quotes for other yards.
    pub fn new(yard: &'a Yard, quotes: &'a [Quote], tree: &'a GradeTree, date: Date) -> Book<'a> {
        let mut book = Book { yard, tree, date, quotes: BTreeMap::new(), aside: Vec::new() };
        for quote in quotes.iter().filter(|quote| quote.yard == yard.id()) {
            match book.unfit(quote) {
                Some(reason) => book.aside.push((quote, reason)),
                None => book.enter(quote),
            }
        }
        book
    }

    fn unfit(&self, quote: &Quote) -> Option<Aside> {
        if self.tree.get(&quote.grade).is_none() {
            Some(Aside::UnknownGrade)
        } else if quote.price.currency() != self.yard.currency() {
            Some(Aside::OtherCurrency)
        } else if quote.date > self.date {
            Some(Aside::AfterTheDay)
        } else if quote.date < self.priced_on(&quote.grade) {
            Some(Aside::OlderThanModule)
        } else {
            None
        }
    }

    /// The date of the yard's own price of a grade: that of its module, or of the index value it follows.
    fn priced_on(&self, grade: &str) -> Date {
        self.yard.offer(grade).and_then(|offer| offer.link()).map_or(self.yard.as_of(), |link| link.on)
    }

    fn enter(&mut self, quote: &'a Quote) {
        match self.quotes.entry(&quote.grade) {
            Entry::Vacant(place) => drop(place.insert(quote)),
            Entry::Occupied(mut place) if place.get().date <= quote.date => {
                self.aside.push((place.insert(quote), Aside::Superseded));
            }
            Entry::Occupied(_) => self.aside.push((quote, Aside::Superseded)),
        }
    }

    /// The yard.
    pub fn yard(&self) -> &'a Yard {
        self.yard
    }

    /// The catalogue used for look-ups.
    pub fn tree(&self) -> &'a GradeTree {
        self.tree
    }

    /// The day of the valuation.
    pub fn date(&self) -> Date {
        self.date
    }

    /// Whether the module's prices date from after the day of the valuation.
    pub fn prices_are_later(&self) -> bool {
        self.yard.as_of() > self.date
    }

    /// The quotes that count, by grade.
    pub fn quotes(&self) -> impl Iterator<Item = &'a Quote> {
        self.quotes.values().copied()
    }

    /// This yard's quotes that do not count, each with the reason.
    pub fn set_aside(&self) -> &[(&'a Quote, Aside)] {
        &self.aside
    }

    /// Which price-list line a grade falls under, whatever the lot weighs.
    ///
    /// # Errors
    /// [`Unsold::UnknownGrade`], [`Unsold::NoPrice`].
    pub fn listing(&self, grade: &str) -> Result<PriceListing<'a>, Unsold> {
        if self.tree.get(grade).is_none() {
            return Err(Unsold::UnknownGrade { nearest: self.tree.nearest(grade).map(str::to_owned) });
        }
        let tree = self.tree;
        tree.lineage(grade).find_map(|level| self.at_level(level)).ok_or(Unsold::NoPrice)
    }

    fn at_level(&self, level: &'a super::Grade) -> Option<PriceListing<'a>> {
        let quote = self.quotes.get(level.id.as_str()).copied();
        let offer = self.yard.offer(&level.id);
        PriceListing::new(level, offer, quote, self.yard)
    }

    /// The price of a lot at its weight, or why it is not bought. `None` stands for an unknown weight.
    ///
    /// # Errors
    /// As [`Book::listing`] and [`PriceListing::at`].
    pub fn price(&self, grade: &str, mass: Option<Mass>) -> Result<Priced, Unsold> {
        self.listing(grade)?.at(mass)
    }
}
