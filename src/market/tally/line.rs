//! The rows of a tally.

use rust_decimal::Decimal;

use crate::market::book::{Priced, Unsold};
use crate::market::haul::WeightSource;
use crate::quantity::{Mass, MassUnit, Money, Notation};

/// One thing that went into a line.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct TallyItem {
    /// The part, or what the remainder is the remainder of.
    pub part: String,
    /// Its own grade.
    pub grade: String,
    /// Its weight, if known.
    pub mass: Option<Mass>,
    /// Number of pieces; 0 if not counted.
    pub pieces: u32,
    /// How its weight was determined.
    pub how: WeightSource,
    /// Whether it is the remainder of the unit or of an opened part.
    pub remainder: bool,
    /// The grade the recipe expected, if it turned out to be another.
    pub regraded_from: Option<String>,
}

/// What a mixed lot's line says besides its price.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MixNote {
    /// The container.
    pub name: String,
    /// Percentage the yard deducts from the price; may be zero.
    pub percent_off: Decimal,
}

/// One line of the ticket that the yard would write.
///
/// Everything under one line of the price list is pooled, as on the yard's scale: tier, minimum lot and scale division
/// apply to the pool. A mixed lot is weighed separately and has its own line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Line {
    /// Local name, price, tier, and where the price comes from.
    pub priced: Priced,
    /// Set for a mixed lot.
    pub mix: Option<MixNote>,
    /// Its contents, by name.
    pub items: Vec<TallyItem>,
    /// Its weight as the sum of its parts; `None` if it is priced by the piece and nothing in it was weighed.
    pub mass: Option<Mass>,
    /// Its weight as the yard's scale would show it: the weight that is paid.
    pub net: Option<Mass>,
    /// Number of pieces.
    pub pieces: u32,
    /// Its amount, rounded once; negative for a charge.
    pub amount: Money,
}

impl Line {
    /// A stable code for files: `fraction`, `remainder` or `mixed`.
    pub fn kind(&self) -> &'static str {
        match self.mix {
            Some(_) => "mixed",
            None if self.is_remainder() => "remainder",
            None => "fraction",
        }
    }

    /// Whether everything in it is a remainder.
    pub fn is_remainder(&self) -> bool {
        self.items.iter().all(|item| item.remainder)
    }

    /// Whether something in it is priced under a wider class than its own grade.
    pub fn is_wider(&self) -> bool {
        self.mix.is_none() && self.items.iter().any(|item| item.grade != self.priced.priced_as)
    }

    /// The grades in it, each once.
    pub fn grades(&self) -> Vec<&str> {
        let mut grades: Vec<&str> = self.items.iter().map(|item| item.grade.as_str()).collect();
        grades.sort_unstable();
        grades.dedup();
        grades
    }
}

/// Something that is worth nothing here.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct UnsoldItem {
    /// The part, or what the remainder is the remainder of.
    pub part: String,
    /// Its grade, if it has one.
    pub grade: Option<String>,
    /// Its weight, if known.
    pub mass: Option<Mass>,
    /// Number of pieces; 0 if not counted.
    pub pieces: u32,
    /// How its weight was determined.
    pub how: WeightSource,
    /// Whether it is the remainder of the unit or of an opened part.
    pub remainder: bool,
    /// Why.
    pub reason: Unsold,
}

/// The kind of a cost.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CostKind {
    /// The yard's fee per visit.
    VisitFee,
    /// Something used up.
    Consumable,
}

impl CostKind {
    /// A stable code for files.
    pub fn code(self) -> &'static str {
        match self {
            CostKind::VisitFee => "visit-fee",
            CostKind::Consumable => "consumable",
        }
    }
}

/// A cost.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cost {
    /// What kind.
    pub kind: CostKind,
    /// What it is called.
    pub name: String,
    /// What it costs, rounded to the minor unit of its own currency.
    pub amount: Money,
    /// Whether it is in the sums; not if it is in another currency than the yard's, since nothing here converts money.
    pub counted: bool,
}

/// Something wrong in the haul itself. The figures leave it out and mean little until it is corrected.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum TallyProblem {
    /// More was weighed out of a thing than it weighed.
    NegativeRemainder {
        /// What the remainder is the remainder of.
        of: String,
        /// The resulting negative weight.
        mass: Mass,
    },
    /// A part with a weight below zero.
    NegativeWeight {
        /// The part.
        part: String,
        /// Its weight.
        mass: Mass,
    },
}

impl TallyProblem {
    /// A stable code for files.
    pub fn code(&self) -> &'static str {
        match self {
            TallyProblem::NegativeRemainder { .. } => "negative-remainder",
            TallyProblem::NegativeWeight { .. } => "negative-weight",
        }
    }

    /// What is wrong and what to do, in words.
    pub fn words(&self, unit: MassUnit, notation: Notation) -> String {
        match self {
            TallyProblem::NegativeRemainder { of, mass } => format!(
                "what is left of {of} comes out at {}: the parts weigh more than the thing did. Check the intake weight and \
                 each part's; this remainder is in no sum.",
                mass.show(unit, 3, notation)
            ),
            TallyProblem::NegativeWeight { part, mass } => {
                format!("{part} has a weight of {}. Weigh it again; it is in no sum.", mass.show(unit, 3, notation))
            }
        }
    }
}
