//! The tally: what one unit brings at one yard on one day, line by line.

mod balance;
mod line;
mod lots;
mod totals;

use jiff::civil::Date;
use rust_decimal::Decimal;
use thiserror::Error;

use super::book::{Book, Unsold};
use super::haul::{Fraction, Haul};
use super::quote::{Aside, Quote};
use crate::quantity::{Currency, Mass, MassUnit, Minutes, Money, Notation, QuantityError};

pub use balance::{Balance, BalanceVerdict};
pub use line::{Cost, CostKind, Item, Line, MixNote, Problem, UnsoldItem};
pub use totals::{Recovery, Whole};

/// Why a haul cannot be valued at all.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum TallyError {
    /// A part names a container that is not in the list.
    #[error("part `{part}` is in container number {index}, but there are {known}")]
    NoSuchMix {
        /// The part.
        part: String,
        /// The container that it names, from 0.
        index: usize,
        /// How many containers there are.
        known: usize,
    },
    /// A weight or an amount ran out of bounds.
    #[error("{what}: {source}")]
    Quantity {
        /// What was being computed.
        what: String,
        /// Which bound.
        source: QuantityError,
    },
}

impl TallyError {
    /// Names what was being computed when a bound was met.
    fn in_step(what: &str) -> impl FnOnce(QuantityError) -> TallyError {
        move |source| TallyError::Quantity { what: what.to_owned(), source }
    }
}

/// The yard as far as a tally shows it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct YardFacts {
    /// The yard's id.
    pub id: String,
    /// Its name.
    pub name: String,
    /// Where it is; empty when not said.
    pub region: String,
    /// What it pays in.
    pub currency: Currency,
    /// What it weighs in.
    pub unit: MassUnit,
    /// Its scale's division.
    pub division: Option<Mass>,
    /// How it writes numbers.
    pub notation: Notation,
    /// Its cash step.
    pub pays_to: Option<Decimal>,
}

/// Where the prices come from and of which day they are.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PriceBasis {
    /// The day of the valuation.
    pub date: Date,
    /// The day that the module's prices were taken down.
    pub as_of: Date,
    /// Whether the module's prices were taken down after the day of the valuation.
    pub later: bool,
    /// Whether the module's prices are invented samples.
    pub sample: bool,
    /// The quotes that priced a line or the whole unit.
    pub quotes: Vec<Quote>,
    /// Quotes that somebody would expect to count and that do not.
    pub set_aside: Vec<(Quote, Aside)>,
}

/// The value table that ends a session.
///
/// `net` = Σ lines − visit fees + cash rounding − consumables − trip share; `gain` = net − whole; `per_hour` = gain ÷
/// minutes. Remainders are lines like any other: what is left of the unit goes on the yard's scale with everything of
/// its grade.
#[derive(Debug, Clone, PartialEq)]
pub struct Tally {
    /// What was on the bench.
    pub unit_name: String,
    /// The recipe's id; empty without one.
    pub recipe: String,
    /// The yard.
    pub yard: YardFacts,
    /// Day and origin of the prices.
    pub prices: PriceBasis,
    /// Intake weight.
    pub intake: Option<Mass>,
    /// One line for each grade that the yard tells apart, and one for each mixed lot; the largest amount first.
    pub lines: Vec<Line>,
    /// What is taken off: visit fees, consumables, trip share.
    pub costs: Vec<Cost>,
    /// What cash rounding adds to, or takes off, the yard's payment.
    pub rounding: Money,
    /// What the yard pays: lines less its visit fees, in cash.
    pub paid: Money,
    /// What is left of that after consumables and trip share.
    pub net: Money,
    /// What the unit would have brought whole.
    pub whole: Whole,
    /// Net less whole; `None` when the yard does not buy the unit whole or its weight is not known.
    pub gain: Option<Money>,
    /// Working time.
    pub minutes: Minutes,
    /// Gain per hour of working time; `None` without a gain or without any time.
    pub per_hour: Option<Money>,
    /// What brings nothing here, with the reason. Not in any sum.
    pub unsold: Vec<UnsoldItem>,
    /// Whether the weights add up.
    pub balance: Balance,
    /// Sellable metal as a share of the intake; `None` when that cannot be said.
    pub recovery: Option<Recovery>,
    /// What must be put right before the figures mean anything.
    pub problems: Vec<Problem>,
    /// Why the unit, or what is left of it, went to somebody licensed.
    pub handed_on: Option<String>,
}

impl Tally {
    /// Values a haul by a price book. The same haul and book always give the same tally, in whichever order parts were
    /// freed.
    ///
    /// # Errors
    /// [`TallyError`] for a haul that contradicts itself or runs out of bounds. A weight below zero is no error here:
    /// it is listed under [`Tally::problems`] and left out of every sum.
    pub fn of(haul: &Haul, book: &Book<'_>) -> Result<Tally, TallyError> {
        let sorted = lots::sort_out(haul, book)?;
        let sums = totals::add_up(haul, book, &sorted.lines)?;
        Ok(Tally {
            unit_name: haul.unit_name.clone(),
            recipe: haul.recipe.clone(),
            yard: yard_facts(book),
            prices: price_basis(book, &sorted.lines, &sums.whole),
            intake: haul.intake,
            recovery: totals::recovery(haul, book, &sorted.lines)?,
            balance: balance::check(haul)?,
            lines: sorted.lines,
            unsold: sorted.unsold,
            problems: sorted.problems,
            costs: sums.costs,
            rounding: sums.rounding,
            paid: sums.paid,
            net: sums.net,
            whole: sums.whole,
            gain: sums.gain,
            minutes: haul.minutes,
            per_hour: sums.per_hour,
            handed_on: haul.handed_on.clone(),
        })
    }

    /// The currency of every sum.
    pub fn currency(&self) -> Currency {
        self.yard.currency
    }

    /// The remainders among the lines, each with the line that it is in.
    pub fn remainders(&self) -> impl Iterator<Item = (&Line, &Item)> {
        self.lines
            .iter()
            .flat_map(|line| line.items.iter().map(move |item| (line, item)))
            .filter(|(_, item)| item.remainder)
    }
}

/// What one fraction brings by itself: for a prompt, before the pool of its grade is known.
///
/// A tier or a minimum lot is judged on this fraction alone, so the pooled line may bring more.
///
/// # Errors
/// The reason why it brings nothing here.
pub fn worth(book: &Book<'_>, fraction: &Fraction) -> Result<Money, Unsold> {
    if fraction.net.is_some_and(Mass::is_negative) {
        return Err(Unsold::BelowZero);
    }
    let net = fraction.net.map(|net| book.yard().on_its_scale(net));
    let priced = book.price(&fraction.grade, net)?;
    lots::amount(priced.price, net, fraction.pieces)
}

fn yard_facts(book: &Book<'_>) -> YardFacts {
    let yard = book.yard();
    YardFacts {
        id: yard.id().to_owned(),
        name: yard.name().to_owned(),
        region: yard.region().to_owned(),
        currency: yard.currency(),
        unit: yard.unit(),
        division: yard.division(),
        notation: yard.notation(),
        pays_to: yard.pays_to(),
    }
}

fn price_basis(book: &Book<'_>, lines: &[Line], whole: &Whole) -> PriceBasis {
    let priced: Vec<&str> = lines.iter().chain(&whole.line).map(|line| line.priced.priced_as.as_str()).collect();
    let used = book.quotes().filter(|quote| priced.contains(&quote.grade.as_str()));
    let aside = book.set_aside().iter().filter(|(_, reason)| reason.is_unexpected());
    PriceBasis {
        date: book.date(),
        as_of: book.yard().as_of(),
        later: book.prices_are_later(),
        sample: book.yard().is_sample(),
        quotes: used.cloned().collect(),
        set_aside: aside.map(|(quote, reason)| ((*quote).clone(), *reason)).collect(),
    }
}
