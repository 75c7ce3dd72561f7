//! The weights of one unit, as they were entered.

use super::super::uncertain::Uncertain;
use super::entry::TypedWeight;

/// What is known of the weight of one part.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum WeighingState {
    /// It was weighed and entered.
    Entered(TypedWeight),
    /// It was passed over: taken as not in the unit, unless the balance misses it.
    Skipped,
}

/// One part of the unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WeighedPart {
    /// Its weight.
    pub weighing: WeighingState,
    /// What recipe or past sessions expect, if they do.
    pub expected: Option<Uncertain>,
}

/// The weights of one unit, in grams.
#[derive(Debug, Clone, PartialEq)]
pub struct Weighings {
    /// What it weighed as it came.
    pub intake: TypedWeight,
    /// The parts that should make up the intake, the remainder among them.
    pub parts: Vec<WeighedPart>,
    /// The containers that may have been weighed along, in grams.
    pub tares: Vec<f64>,
}
