//! A lot: the smallest thing that the stock tells apart.

use jiff::civil::Date;

use crate::quantity::Mass;

/// Something of one grade that is kept together.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Lot {
    /// What it goes by: `SESSION/part`, `find-3`, `pool-7`.
    pub id: String,
    /// Its grade.
    pub grade: String,
    /// Its weight; `None` where it was never weighed.
    pub mass: Option<Mass>,
    /// The division of the scale that weighed it; zero where that is not known.
    pub division: Mass,
    /// Number of pieces; 0 where nobody counted.
    pub pieces: u32,
    /// Where it lies.
    pub bin: Option<String>,
    /// Since when.
    pub since: Date,
    /// The container in which it lies mixed with other grades.
    pub mixed_in: Option<String>,
}

impl Lot {
    /// The session that freed it, if one did.
    pub fn session(&self) -> Option<&str> {
        self.id.split_once('/').map(|(session, _)| session)
    }

    /// What it is called without its session.
    pub fn name(&self) -> &str {
        self.id.split_once('/').map_or(self.id.as_str(), |(_, part)| part)
    }
}
