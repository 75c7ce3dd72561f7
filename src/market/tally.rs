//! The tally: what one unit is worth at one yard on one day, line by line.

mod balance;
mod document;
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
    /// A part refers to a missing container.
    #[error("part `{part}` is in container number {index}, but there are {known}")]
    NoSuchMix {
        /// The part.
        part: String,
        /// The container index, from 0.
        index: usize,
        /// How many containers there are.
        known: usize,
    },
    /// A weight or an amount exceeded its limit.
    #[error("{what}: {source}")]
    Quantity {
        /// What was being computed.
        what: String,
        /// Which bound.
        source: QuantityError,
    },
}

impl TallyError {
    /// Names what was being computed when a limit was exceeded.
    fn in_step(what: &str) -> impl FnOnce(QuantityError) -> TallyError {
        move |source| TallyError::Quantity { what: what.to_owned(), source }
    }
}

/// The facts about the yard that a tally shows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct YardFacts {
    /// The yard's id.
    pub id: String,
    /// Its name.
    pub name: String,
    /// Where it is; empty if not stated.
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

/// The origin and date of the prices.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PriceBasis {
    /// The day of the valuation.
    pub date: Date,
    /// The date of the module's prices.
    pub as_of: Date,
    /// Whether the module's prices date from after the day of the valuation.
    pub later: bool,
    /// Whether the module's prices are invented samples.
    pub sample: bool,
    /// The quotes that priced a line or the whole unit.
    pub quotes: Vec<Quote>,
    /// Quotes that do not count although one would expect them to.
    pub set_aside: Vec<(Quote, Aside)>,
}

/// The value table at the end of a session.
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
    /// Date and origin of the prices.
    pub prices: PriceBasis,
    /// Intake weight.
    pub intake: Option<Mass>,
    /// One line for each grade the yard distinguishes, and one for each mixed lot; largest amount first.
    pub lines: Vec<Line>,
    /// Costs: visit fees, consumables, trip share.
    pub costs: Vec<Cost>,
    /// What cash rounding adds to the yard's payment; may be negative.
    pub rounding: Money,
    /// The yard's payment: lines minus its visit fees, in cash.
    pub paid: Money,
    /// The payment minus consumables and trip share.
    pub net: Money,
    /// What the unit would have brought whole.
    pub whole: Whole,
    /// Net minus whole; `None` if the yard does not buy the unit whole or its weight is unknown.
    pub gain: Option<Money>,
    /// Working time.
    pub minutes: Minutes,
    /// Gain per hour of working time; `None` without a gain or without time.
    pub per_hour: Option<Money>,
    /// What is worth nothing here, with the reason. Not in any sum.
    pub unsold: Vec<UnsoldItem>,
    /// Whether the weights add up.
    pub balance: Balance,
    /// Sellable metal as a share of the intake; `None` if undetermined.
    pub recovery: Option<Recovery>,
    /// What must be corrected before the figures mean anything.
    pub problems: Vec<Problem>,
    /// Why the unit, or what is left of it, went to a licensed person.
    pub handed_on: Option<String>,
}

impl Tally {
    /// Values a haul by a price book. The same haul and book always give the same tally, in whichever order parts were
    /// freed.
    ///
    /// # Errors
    /// [`TallyError`] for a haul that contradicts itself or exceeds a limit. A negative weight is no error here: it is
    /// listed under [`Tally::problems`] and left out of every sum.
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

    /// The remainders among the lines, each with its line.
    pub fn remainders(&self) -> impl Iterator<Item = (&Line, &Item)> {
        self.lines
            .iter()
            .flat_map(|line| line.items.iter().map(move |item| (line, item)))
            .filter(|(_, item)| item.remainder)
    }
}

/// The value of one fraction by itself: for a prompt, before the pool of its grade is known.
///
/// Tiers and minimum lots are applied to this fraction alone, so the pooled line may bring more.
///
/// # Errors
/// Why it is worth nothing here.
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
