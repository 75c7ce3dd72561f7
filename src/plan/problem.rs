//! The problem: items inside items, steps that free them, what each grade pays.
//!
//! Masses are grams and prices cents per kilogram, so 1 g × 1 cent/kg is exactly one *millicent*; every value in this
//! room is an integer number of millicents (100 000 to the currency unit). [`ProblemData`] is the open exchange format
//! and may contain anything; a [`Problem`] has been checked and can be solved without overflow.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::structure::Structure;
use super::validate;

/// Millicents in one cent.
pub const MILLICENTS_PER_CENT: i64 = 1000;

/// A unit or a part of it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Item {
    /// Index in the list of items; item 0 is the whole unit.
    pub id: usize,
    /// The item it sits in; none for item 0 only.
    pub host: Option<usize>,
    /// Mass in grams, including everything still inside it.
    pub mass_g: i64,
    /// The grade of item 0 as it is; the others get theirs when freed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub grade: Option<String>,
}

/// An item that a step takes out of its host, and the grade it has then.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Freed {
    /// The freed item.
    pub item: usize,
    /// Its grade as freed.
    pub grade: String,
}

/// One piece of work.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Step {
    /// Index in the list of steps.
    pub id: usize,
    /// The item it is done on: item 0, or one freed before.
    pub host: usize,
    /// Minutes of work, at least 1.
    pub minutes: i64,
    /// Consumables in cents; negative if the step itself brings money, such as a part paid by the piece.
    #[serde(default)]
    pub cost_cents: i64,
    /// Prerequisites: at least one step of every group must already be done.
    #[serde(default)]
    pub requires: Vec<Vec<usize>>,
    /// What comes out of the host.
    #[serde(default)]
    pub frees: Vec<Freed>,
}

/// Changes an item's grade once all of the named steps are done. The last matching rule counts.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Rule {
    /// The item whose grade changes.
    pub item: usize,
    /// The steps that must all be done, in any order, before or after the item is freed.
    pub all_of: Vec<usize>,
    /// The grade from then on.
    pub grade: String,
}

/// A dismantling problem in exchange format, not yet checked.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct ProblemData {
    /// Cents per kilogram by grade; negative is a disposal fee.
    pub grades: BTreeMap<String, i64>,
    /// The unit and its parts.
    pub items: Vec<Item>,
    /// The work that can be done.
    pub steps: Vec<Step>,
    /// Grade changes, in order of precedence: the last matching one counts.
    #[serde(default)]
    pub rules: Vec<Rule>,
    /// The value of an hour of the user's time, in cents.
    #[serde(default)]
    pub value_of_time_cents_per_hour: i64,
    /// The time cap in minutes, if any.
    #[serde(default)]
    pub time_cap_minutes: Option<i64>,
}

/// A checked problem: every reference exists, every grade has a price, no step waits for itself, nothing overflows.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(try_from = "ProblemData", into = "ProblemData")]
pub struct Problem {
    data: ProblemData,
    structure: Structure,
    minute_value: i64,
    /// Every value lies within ± this.
    span: i64,
}

impl Problem {
    /// Checks `data` and prepares it.
    ///
    /// # Errors
    /// The first fault found, naming the step, item or rule and the offending value.
    pub fn new(data: ProblemData) -> Result<Self, validate::Fault> {
        validate::references(&data)?;
        let minute_value = validate::minute_value(data.value_of_time_cents_per_hour)?;
        let structure = Structure::new(&data);
        validate::runnable(&data, &structure)?;
        let span = validate::magnitudes(&data, &structure, minute_value)?;
        Ok(Self { data, structure, minute_value, span })
    }

    /// The problem in exchange format.
    #[must_use]
    pub fn data(&self) -> &ProblemData {
        &self.data
    }

    /// The items; item 0 is the whole unit.
    #[must_use]
    pub fn items(&self) -> &[Item] {
        &self.data.items
    }

    /// The steps, in the order of their numbers.
    #[must_use]
    pub fn steps(&self) -> &[Step] {
        &self.data.steps
    }

    /// Minutes available for steps not yet done, or `None`.
    #[must_use]
    pub fn time_cap_minutes(&self) -> Option<i64> {
        self.data.time_cap_minutes
    }

    /// The same problem under another time cap; below 0 counts as 0.
    #[must_use]
    pub fn with_time_cap(mut self, minutes: Option<i64>) -> Self {
        self.data.time_cap_minutes = minutes.map(|m| m.max(0));
        self
    }

    /// The value of a minute of the user's time, in millicents.
    #[must_use]
    pub fn minute_value_millicents(&self) -> i64 {
        self.minute_value
    }

    /// The value of every set of steps lies within ± this, in millicents.
    pub(super) fn span(&self) -> i64 {
        self.span
    }

    pub(super) fn structure(&self) -> &Structure {
        &self.structure
    }
}

impl TryFrom<ProblemData> for Problem {
    type Error = validate::Fault;

    fn try_from(data: ProblemData) -> Result<Self, Self::Error> {
        Self::new(data)
    }
}

impl From<Problem> for ProblemData {
    fn from(problem: Problem) -> Self {
        problem.data
    }
}
