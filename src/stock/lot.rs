//! A lot: the smallest thing the stock distinguishes.

use jiff::civil::Date;

use crate::quantity::Mass;

/// Something of one grade that is kept together.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Lot {
    /// Its id: `SESSION/part`, `find-3`, `pool-7`.
    pub id: String,
    /// Its grade.
    pub grade: String,
    /// Its weight; `None` if it was never weighed.
    pub mass: Option<Mass>,
    /// The division of the scale that weighed it; zero if unknown.
    pub division: Mass,
    /// Number of pieces; 0 if not counted.
    pub pieces: u32,
    /// Where it lies.
    pub bin: Option<String>,
    /// Since when.
    pub since: Date,
    /// The container in which it is mixed with other grades.
    pub mixed_in: Option<String>,
}
