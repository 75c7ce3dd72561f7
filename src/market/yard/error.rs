//! What was wrong with a yard's draft.

use std::fmt;

use rust_decimal::Decimal;
use thiserror::Error;

use crate::market::grade::did_you_mean;
use crate::quantity::{Mass, MassUnit, Notation, QuantityError};

/// Which offer of a draft: its place in the order of declaration, from 0, and its grade.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OfferPlace {
    /// Place in the order of declaration, from 0.
    pub index: usize,
    /// The grade that it names.
    pub grade: String,
}

/// A problem of a draft and the offer that it is in, if it is in one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct YardError {
    /// The offer, if the problem is in one.
    pub offer: Option<OfferPlace>,
    /// What is wrong.
    pub problem: YardProblem,
}

impl YardError {
    /// A problem of the yard as a whole.
    pub(super) fn whole(problem: YardProblem) -> YardError {
        YardError { offer: None, problem }
    }
}

impl fmt::Display for YardError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.offer {
            Some(place) => write!(f, "offer for `{}`: {}", place.grade, self.problem),
            None => write!(f, "{}", self.problem),
        }
    }
}

impl std::error::Error for YardError {}

/// What is wrong with a draft, with the value seen and what to write instead.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum YardProblem {
    /// An id that is not spelt as ids are: a sentence with the id.
    #[error("a yard: {0}")]
    BadId(String),
    /// A name with nothing in it.
    #[error("{0} is empty: write what the yard calls it")]
    NoName(&'static str),
    /// A text that would not fit on any screen.
    #[error("{what} has {length} characters; the most is {most}")]
    LongText {
        /// Which text.
        what: &'static str,
        /// Its length in characters.
        length: usize,
        /// The limit.
        most: usize,
    },
    /// A text with a character that cannot be seen or that a terminal would obey.
    #[error("{what} has a hidden character, U+{code:04X}, at place {at}; take it out")]
    Hidden {
        /// Which text.
        what: &'static str,
        /// Its place, from 1.
        at: usize,
        /// Its code point.
        code: u32,
    },
    /// A list that has grown beyond any yard's.
    #[error("too many {what}: at most {most}")]
    TooMany {
        /// What there are too many of.
        what: &'static str,
        /// The limit.
        most: usize,
    },
    /// Something that every yard must state is missing.
    #[error("{what} is missing: add `{write}`")]
    Missing {
        /// What is missing.
        what: &'static str,
        /// What to write.
        write: &'static str,
    },
    /// A currency code that ISO 4217 does not have.
    #[error("`{code}` is not a currency of ISO 4217{}", did_you_mean(.nearest))]
    UnknownCurrency {
        /// The code as written.
        code: String,
        /// A code that exists and looks like it.
        nearest: Option<String>,
    },
    /// A grade that is not in the catalogue.
    #[error("`{grade}` is not a known grade{}", did_you_mean(.nearest))]
    UnknownGrade {
        /// The id as written.
        grade: String,
        /// A known id that looks like it.
        nearest: Option<String>,
    },
    /// A grade priced twice.
    #[error("the grade was already given a price, as `{earlier}`: keep one; use tiers for a price by weight")]
    DuplicateGrade {
        /// The local name of the earlier offer.
        earlier: String,
    },
    /// A negative price in an offer to buy or in one of its tiers, or a negative charge.
    #[error(
        "{amount} is negative: write the amount alone, with `buys` for what the yard pays and `charges` for what it takes"
    )]
    NegativePrice {
        /// The amount as written.
        amount: Decimal,
    },
    /// A tier that starts at or below the former one.
    #[error("the tier from {} does not lie above the tier before it, from {}: list them lightest first",
        .from.show(*.unit, 6, Notation::Point), .former.show(*.unit, 6, Notation::Point))]
    TierOrder {
        /// Where the tier starts.
        from: Mass,
        /// Where the former one starts.
        former: Mass,
        /// The unit to show them in.
        unit: MassUnit,
    },
    /// A tier or a minimum lot on a price per piece.
    #[error("a price for each piece has no {0} by weight: remove it, or give a price per weight")]
    WeightRuleOnPieces(&'static str),
    /// The name or the value of an index: a sentence with what was seen.
    #[error("an index: {0}")]
    BadIndex(String),
    /// An index declared twice.
    #[error("the index `{0}` is declared already: keep one")]
    DuplicateIndex(String),
    /// A price that follows an index that the yard does not have.
    #[error("there is no index `{0}`: declare it with `index(\"{0}\", \"1480 JPY/kg\")`")]
    NoIndex(String),
    /// An index in another currency than the yard's.
    #[error("the index `{name}` is in {seen}, but the yard pays in {currency}: give its value in {currency}")]
    IndexCurrency {
        /// The index.
        name: String,
        /// Its currency.
        seen: &'static str,
        /// The yard's.
        currency: &'static str,
    },
    /// A unit for a price that goes by its index's, or an index per piece.
    #[error(
        "a share of `{0}` goes by the weight that the index has: give the index per weight, and take .per(…) or .each() out"
    )]
    IndexUnit(String),
    /// A number that must be above zero.
    #[error("{what} of {value} must be above zero")]
    NotPositive {
        /// Which number.
        what: &'static str,
        /// The value as written.
        value: String,
    },
    /// A scale division that no scale has.
    #[error("a scale division of {division} {unit} must lie within 0.0001 g and 1 t")]
    Division {
        /// The division as written.
        division: Decimal,
        /// Its unit.
        unit: MassUnit,
    },
    /// A cash step that is no multiple of the smallest amount of the currency.
    #[error("cash step {step} is not a multiple of {minor}, the smallest amount of {currency}")]
    CashStep {
        /// The step as written.
        step: Decimal,
        /// The minor unit.
        minor: Decimal,
        /// The currency code.
        currency: &'static str,
    },
    /// An offer id of another draft.
    #[error("offer number {0} is not in this yard")]
    NoSuchOffer(usize),
    /// A number out of bounds.
    #[error(transparent)]
    Quantity(#[from] QuantityError),
}
