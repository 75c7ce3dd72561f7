//! Why a weight answer was rejected, and where.

use std::fmt;
use std::ops::Range;

use thiserror::Error;

use super::super::limits::QuantityError;
use super::super::mass_unit::UnitError;
use super::super::notation::NumberError;

/// A rejected weight answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WeighingError {
    /// The offending bytes of the answer; always on character boundaries.
    pub at: Range<usize>,
    /// What is wrong with them and what to write.
    pub fault: WeighingFault,
}

impl fmt::Display for WeighingError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.fault.fmt(f)
    }
}

impl std::error::Error for WeighingError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        Some(&self.fault)
    }
}

pub(super) fn fault(at: Range<usize>, fault: WeighingFault) -> WeighingError {
    WeighingError { at, fault }
}

/// What is wrong with a weight answer.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum WeighingFault {
    /// Nothing was written.
    #[error("no weight was written; write for example 3.6 kg")]
    Empty,
    /// The answer is too long.
    #[error("the answer is too long; at most {limit} characters are read")]
    TooLong {
        /// The most characters accepted.
        limit: usize,
    },
    /// Too many terms in one sum.
    #[error("the sum is too long; at most {limit} terms are read")]
    TooManyTerms {
        /// The most terms accepted.
        limit: usize,
    },
    /// A control character, or the start of an escape sequence.
    #[error("the answer holds a control character ({seen}); write digits, units and signs only")]
    Control {
        /// The character, written out.
        seen: String,
    },
    /// A number that could not be read.
    #[error("{0}")]
    Number(#[from] NumberError),
    /// A number with an exponent.
    #[error("`{seen}` has an exponent; write the number out, such as 1000")]
    Exponent {
        /// The number as typed.
        seen: String,
    },
    /// A unit that could not be read.
    #[error("{0}")]
    Unit(#[from] UnitError),
    /// Something other than the grammar expects.
    #[error("{wanted} is wanted here, not `{seen}`")]
    Unexpected {
        /// What was found.
        seen: String,
        /// What is expected.
        wanted: &'static str,
    },
    /// The answer is incomplete.
    #[error("{wanted} is missing after `{after}`")]
    Unfinished {
        /// The last sign or number.
        after: String,
        /// What is missing.
        wanted: &'static str,
    },
    /// The answer begins with a minus.
    #[error("a weight cannot begin with a minus; write the gross weight first, such as 12.4 - 1.1")]
    LeadingMinus,
    /// Two numbers side by side.
    #[error("`{left}` and `{right}` stand side by side; write them as one number, or with + between them")]
    TwoNumbers {
        /// The first.
        left: String,
        /// The second.
        right: String,
    },
    /// A term without a unit in an answer that names several.
    #[error("`{term}` has no unit, and the answer names {named}; write which it is")]
    NoUnit {
        /// The term as typed.
        term: String,
        /// The units that are named.
        named: String,
    },
    /// An invalid fraction: its denominator is zero, or it is not below one after an integer.
    #[error("`{seen}` is not a fraction below one; write for example 1/2")]
    BadFraction {
        /// The fraction as typed.
        seen: String,
    },
    /// A fraction without a finite decimal form.
    #[error(
        "`{seen}` cannot be kept exactly, its decimals never end; write as many as the scale shows, such as {near}"
    )]
    EndlessFraction {
        /// The fraction as typed.
        seen: String,
        /// Its value, to three decimals.
        near: String,
    },
    /// `8-1/2`: a mixed number, or a difference.
    #[error("`{seen}` can be read as {mixed} or as {difference}; write the one you mean")]
    FractionOrDifference {
        /// What was typed.
        seen: String,
        /// Read as a whole number and a fraction.
        mixed: String,
        /// Read as a difference.
        difference: String,
    },
    /// A number without its own unit in a compound weight.
    #[error("`{number}` needs its unit: `{before}` comes before it")]
    PartWithoutUnit {
        /// The number as typed.
        number: String,
        /// The part before it.
        before: String,
    },
    /// Units of a compound weight that do not descend, or do not divide one another.
    #[error("{minor} cannot follow {major} in one weight; write a sum with +")]
    UnitOrder {
        /// The unit of the earlier part.
        major: &'static str,
        /// The unit of the later part.
        minor: &'static str,
    },
    /// A part of a compound weight other than its last has decimals.
    #[error("`{seen}` has a fraction and more follows it; write a sum with +, or whole numbers before the last unit")]
    BrokenMajor {
        /// The part as typed.
        seen: String,
    },
    /// A minor part that makes up one or more of the next-larger unit.
    #[error("`{seen}` is a {major} or more; write {instead}")]
    MinorTooLarge {
        /// The part as typed.
        seen: String,
        /// The next-larger unit.
        major: &'static str,
        /// The two parts, carried over.
        instead: String,
    },
    /// A weight times a weight.
    #[error("two weights cannot be multiplied; a count goes with one weight, such as 12 x 35 g")]
    WeightTimesWeight,
    /// A name after a minus that is not a container.
    #[error("there is no container called `{name}`{}", suggestion(.nearest))]
    UnknownContainer {
        /// The name as typed.
        name: String,
        /// A container one slip away.
        nearest: Option<String>,
    },
    /// A container that is added.
    #[error("the container `{name}` can only be taken off, such as 12.4 kg - {name}")]
    ContainerAdded {
        /// The container.
        name: String,
    },
    /// Nothing, or less, is left.
    #[error("this comes to {net}; a weight must be more than nothing")]
    NotPositive {
        /// The result.
        net: String,
    },
    /// A result outside the limits of a mass.
    #[error("{0}")]
    Quantity(#[from] QuantityError),
}

fn suggestion(nearest: &Option<String>) -> String {
    nearest.as_ref().map_or_else(String::new, |name| format!("; did you mean `{name}`?"))
}
