//! The questions asked at the bench, and the keys of their answers.

use std::sync::Arc;

use crate::naming::Listing;
use crate::quantity::{Estimate, Mass, Minutes};
use crate::recipe::Action;

/// The step name for questions about the whole unit.
pub const UNIT: &str = "unit";

/// The answer that ends the made-up steps.
pub const FINISHED: &str = "finished";

/// The answer that ends the parts of such a step, and its hazards.
pub const NOTHING: &str = "none";

/// One question. Its key, not its text, identifies it, so an author may reword it at any time.
#[derive(Debug, Clone, PartialEq)]
pub struct Question {
    /// The step that asks, or [`UNIT`].
    pub step: String,
    /// The key within the step.
    pub key: String,
    /// The text shown.
    pub text: String,
    /// The kind of answer it takes.
    pub ask: Ask,
}

impl Question {
    /// `step/key`: the question's name in journals and answers files.
    pub fn name(&self) -> String {
        format!("{}/{}", self.step, self.key)
    }
}

/// The kind of answer a question takes.
#[derive(Debug, Clone, PartialEq)]
pub enum Ask {
    /// Whether to do a step now: do it, skip it, or postpone it.
    Begin {
        /// Whether other steps are open, so that `later` makes sense.
        may_wait: bool,
    },
    /// A guard: the hazard by id, what it demands, and the word to type for a danger.
    Guard {
        /// The hazard's id.
        hazard: String,
        /// What the guard demands.
        action: Action,
        /// The word to type; empty unless the class is danger.
        word: String,
    },
    /// Yes or no.
    YesNo,
    /// One of several.
    Choice {
        /// The answers to choose from.
        options: Vec<String>,
    },
    /// A plain number.
    Number {
        /// The unit of the number, e.g. `V`; may be empty.
        unit: String,
    },
    /// An integer from 0.
    Count,
    /// A line of text.
    Text,
    /// What is done next, in a few words, or [`FINISHED`]: for steps made up at the bench.
    NextStep,
    /// What comes out next, by an unused name, or [`NOTHING`].
    NextPart {
        /// Names that are taken.
        taken: Vec<String>,
    },
    /// An entry of a list too long to read through: found by description.
    Listed {
        /// The list.
        list: Arc<Listing>,
        /// A word for none of them, if allowed.
        or: Option<String>,
    },
    /// A weight.
    Weight {
        /// The expected range, if the recipe has one.
        expected: Option<Estimate<Mass>>,
        /// What is weighed.
        what: Weighing,
    },
    /// How long the step took.
    Minutes {
        /// What the recipe expects.
        expected: Estimate<Minutes>,
    },
}

/// What a weight question weighs, which decides what it accepts besides a weight.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Weighing {
    /// The unit as it came; may be unknown.
    Intake,
    /// A freed part; may be absent, or too light for the scale.
    Part,
    /// What is left at the end; may be left to the difference.
    Remainder,
    /// Something else that a recipe wants weighed.
    Other,
}

/// A user's answer, as understood.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Answer {
    /// Do the step.
    Do,
    /// Skip the step.
    Skip,
    /// Postpone the step.
    Later,
    /// The guard's cautions are confirmed, or its word was typed.
    Confirmed,
    /// A licensed person has done it: who, and the evidence.
    DoneBy(String),
    /// The unit is handed on whole to someone who may do it.
    HandOn,
    /// The guard is not confirmed: work ends here.
    Refused,
    /// Yes or no.
    Yes(bool),
    /// The chosen option; for a list its id, or the word for none.
    Choice(String),
    /// A number.
    Number(rust_decimal::Decimal),
    /// A whole number.
    Count(u32),
    /// A line of text.
    Text(String),
    /// Nothing more: no further step, or no further part.
    NoMore,
    /// A weight.
    Weight(Reading),
    /// Too light for the scale: it goes with others of its grade.
    TooLight,
    /// This unit has no such part.
    Absent,
    /// Not weighed: unknown for the intake, the difference for a remainder.
    Unweighed,
    /// The time a step took.
    Minutes(Minutes),
}

/// A weight as a scale gave it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
pub struct Reading {
    /// The goods alone.
    pub net: Mass,
    /// How many pieces were weighed together.
    pub pieces: u32,
    /// The resolution of the reading: the scale's division as far as the typed text shows it.
    pub resolution: Mass,
}
