//! The problem: items inside items, steps that free them, what each grade pays.
//!
//! Masses are grams and prices cents per kilogram, so 1 g × 1 cent/kg is exactly one *millicent*; every value in this
//! room is an integer number of millicents (100 000 to the currency unit). [`ProblemData`] is the open exchange format
//! and may contain anything; a [`Problem`] has been checked and can be solved without overflow.

use serde::{Deserialize, Serialize};

use super::data::{Item, PlanStep, ProblemData};
use super::structure::Structure;
use super::validate;

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
    pub fn new(data: ProblemData) -> Result<Self, validate::ProblemFault> {
        validate::references(&data)?;
        let minute_value = validate::minute_value(data.value_of_time_cents_per_hour)?;
        let structure = Structure::new(&data);
        validate::runnable(&data, &structure)?;
        let span = validate::magnitudes(&data, &structure, minute_value)?;
        Ok(Self { data, structure, minute_value, span })
    }

    /// The items; item 0 is the whole unit.
    #[must_use]
    pub fn items(&self) -> &[Item] {
        &self.data.items
    }

    /// The steps, in the order of their numbers.
    #[must_use]
    pub fn steps(&self) -> &[PlanStep] {
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
    type Error = validate::ProblemFault;

    fn try_from(data: ProblemData) -> Result<Self, Self::Error> {
        Self::new(data)
    }
}

impl From<Problem> for ProblemData {
    fn from(problem: Problem) -> Self {
        problem.data
    }
}
