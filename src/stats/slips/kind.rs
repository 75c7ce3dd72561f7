//! The known kinds of slip, in plain words.

use std::fmt;

use super::entry::{Grams, Unit};

/// Which entry a slip concerns.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Place {
    /// The intake weight.
    Intake,
    /// The part at this position, from 0.
    Part(usize),
    /// Something not on the list.
    Unlisted,
}

/// A kind of slip.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub enum Slip {
    /// The right number in the wrong unit.
    WrongUnit {
        /// The unit on the scale.
        meant: Unit,
        /// The unit entered.
        typed: Unit,
    },
    /// A misplaced decimal point, or too many or too few zeros: the entry is 10^`places` times what was meant.
    DecimalPlace {
        /// Places too far to the right; negative: to the left.
        places: i32,
    },
    /// Two digits changed places.
    DigitsSwapped,
    /// The container was weighed along.
    TareLeftOn {
        /// The container's weight, in grams.
        tare: f64,
    },
    /// The same weight was added up twice.
    EnteredTwice,
    /// The entry repeats that of another part.
    RepeatOf {
        /// The position of that part, from 0.
        part: usize,
    },
    /// A part was not weighed.
    LeftOut,
    /// The entry fits neither the expectation nor the balance, and no known slip explains it.
    Unexplained,
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Intake => f.write_str("intake"),
            Self::Part(index) => write!(f, "part {}", index + 1),
            Self::Unlisted => f.write_str("not on the list"),
        }
    }
}

/// The slip as a clause without a subject or masses, so that the caller can add both.
impl fmt::Display for Slip {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::WrongUnit { meant, typed } => {
                let (meant, typed) = (meant.plural(), typed.plural());
                write!(f, "the number was in {meant} but entered as {typed}")
            }
            Self::DecimalPlace { places } => {
                let side = if *places > 0 { "right" } else { "left" };
                match places.unsigned_abs() {
                    1 => write!(f, "the decimal point is one place too far {side}"),
                    2 => write!(f, "the decimal point is two places too far {side}"),
                    n => write!(f, "the decimal point is {n} places too far {side}"),
                }
            }
            Self::DigitsSwapped => f.write_str("two digits are swapped"),
            Self::TareLeftOn { tare } => {
                write!(f, "a container of {} was weighed along", Grams(*tare))
            }
            Self::EnteredTwice => f.write_str("the same weight was counted twice"),
            Self::RepeatOf { part } => {
                write!(f, "it repeats the weight of part {}", part + 1)
            }
            Self::LeftOut => f.write_str("a part was left out"),
            Self::Unexplained => f.write_str("it fits neither the range nor the balance"),
        }
    }
}
