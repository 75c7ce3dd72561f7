//! What was wrong with a yard's draft.

use std::fmt;

use rust_decimal::Decimal;
use thiserror::Error;

use crate::market::grade::did_you_mean;
use crate::quantity::{Mass, MassUnit, Notation, QuantityError};

/// An offer of a draft: its index in order of declaration, from 0, and its grade.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OfferPlace {
    /// Index in order of declaration, from 0.
    pub index: usize,
    /// The grade that it names.
    pub grade: String,
}

/// A problem in a draft, and the offer concerned, if any.
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

/// What is wrong with a draft, with the offending value and what to write instead.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum YardProblem {
    /// A malformed id: a sentence with the id.
    #[error("a yard: {0}")]
    BadId(String),
    /// An empty name.
    #[error("{0} is empty: write what the yard calls it")]
    NoName(&'static str),
    /// An overlong text.
    #[error("{what} has {length} characters; the most is {most}")]
    LongText {
        /// Which text.
        what: &'static str,
        /// Its length in characters.
        length: usize,
        /// The limit.
        most: usize,
    },
    /// A text with a character that is invisible or that a terminal would obey.
    #[error("{what} has a hidden character, U+{code:04X}, at place {at}; take it out")]
    Hidden {
        /// Which text.
        what: &'static str,
        /// Its position, from 1.
        at: usize,
        /// Its code point.
        code: u32,
    },
    /// A list longer than any real yard's.
    #[error("too many {what}: at most {most}")]
    TooMany {
        /// What there are too many of.
        what: &'static str,
        /// The limit.
        most: usize,
    },
    /// A required statement is missing.
    #[error("{what} is missing: add `{write}`")]
    Missing {
        /// What is missing.
        what: &'static str,
        /// What to write.
        write: &'static str,
    },
    /// A currency code that is not in ISO 4217.
    #[error("`{code}` is not a currency of ISO 4217{}", did_you_mean(.nearest))]
    UnknownCurrency {
        /// The code as written.
        code: String,
        /// A similar existing code.
        nearest: Option<String>,
    },
    /// A grade that is not in the catalogue.
    #[error("`{grade}` is not a known grade{}", did_you_mean(.nearest))]
    UnknownGrade {
        /// The id as written.
        grade: String,
        /// A similar known id.
        nearest: Option<String>,
    },
    /// A grade priced twice.
    #[error("the grade was already given a price, as `{earlier}`: keep one; use tiers for a price by weight")]
    DuplicateGrade {
        /// The local name of the earlier offer.
        earlier: String,
    },
    /// A negative price in an offer to buy or one of its tiers, or a negative charge.
    #[error(
        "{amount} is negative: write the amount alone, with `buys` for what the yard pays and `charges` for what it takes"
    )]
    NegativePrice {
        /// The amount as written.
        amount: Decimal,
    },
    /// A tier that starts at or below the previous one.
    #[error("the tier from {} does not lie above the tier before it, from {}: list them lightest first",
        .from.show(*.unit, 6, Notation::Point), .former.show(*.unit, 6, Notation::Point))]
    TierOrder {
        /// Where the tier starts.
        from: Mass,
        /// Where the previous one starts.
        former: Mass,
        /// The unit to show them in.
        unit: MassUnit,
    },
    /// A tier or a minimum lot on a price per piece.
    #[error("a price for each piece has no {0} by weight: remove it, or give a price per weight")]
    WeightRuleOnPieces(&'static str),
    /// An invalid index name or value: a sentence with the offending value.
    #[error("an index: {0}")]
    BadIndex(String),
    /// An index declared twice.
    #[error("the index `{0}` is declared already: keep one")]
    DuplicateIndex(String),
    /// A price that follows an undeclared index.
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
    /// A unit on an index-linked price, which uses its index's, or an index per piece.
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
    /// An impossible scale division.
    #[error("a scale division of {division} {unit} must lie within 0.0001 g and 1 t")]
    Division {
        /// The division as written.
        division: Decimal,
        /// Its unit.
        unit: MassUnit,
    },
    /// A cash step that is not a multiple of the currency's smallest amount.
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
    /// A number beyond its limit.
    #[error(transparent)]
    Quantity(#[from] QuantityError),
}
