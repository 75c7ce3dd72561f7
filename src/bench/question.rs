//! What is asked at the bench, and under which key the answer is kept.

use std::sync::Arc;

use crate::naming::Listing;
use crate::quantity::{Estimate, Mass, Minutes};
use crate::recipe::Action;

/// The step name under which questions about the whole unit are kept.
pub const UNIT: &str = "unit";

/// What ends the steps that are made up at the bench.
pub const FINISHED: &str = "finished";

/// What ends the parts of such a step, and its hazards.
pub const NOTHING: &str = "none";

/// One question. Its key, not its text, ties an answer to it, so an author may reword it at any time.
#[derive(Debug, Clone, PartialEq)]
pub struct Question {
    /// The step that asks, or [`UNIT`].
    pub step: String,
    /// The key within the step.
    pub key: String,
    /// The text shown.
    pub text: String,
    /// What kind of answer it takes.
    pub ask: Ask,
}

impl Question {
    /// `step/key`: the name of the question in journals and answer files.
    pub fn name(&self) -> String {
        format!("{}/{}", self.step, self.key)
    }
}

/// What kind of answer a question takes.
#[derive(Debug, Clone, PartialEq)]
pub enum Ask {
    /// Whether to do a step now: do it, skip it, or turn to it later.
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
        /// The word to type; empty unless it is a danger.
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
        /// What the number counts or measures, e.g. `V`; may be empty.
        unit: String,
    },
    /// A whole number from 0.
    Count,
    /// A line of text.
    Text,
    /// What is done next, in a few words, or [`FINISHED`]: steps that are made up at the bench.
    NextStep,
    /// What comes out next, by a name that no part has yet, or [`NOTHING`].
    NextPart {
        /// Names that are taken.
        taken: Vec<String>,
    },
    /// An entry of a list that is too long to read through: found by description.
    Listed {
        /// The list.
        list: Arc<Listing>,
        /// A word that says that none of it is meant, where that may be.
        or: Option<String>,
    },
    /// A weight.
    Weight {
        /// The range to expect, if the recipe has one.
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

/// What a weight question weighs, which decides what else than a weight it takes.
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

/// What a person answered, as understood.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Answer {
    /// Do the step.
    Do,
    /// Leave the step out.
    Skip,
    /// Turn to the step after the others.
    Later,
    /// The guard's cautions are confirmed, or its word was typed.
    Confirmed,
    /// A licensed person has done it; who, and what shows it.
    DoneBy(String),
    /// The unit is handed on whole to someone who may do it.
    HandOn,
    /// The guard is not confirmed: work ends here.
    Refused,
    /// Yes or no.
    Yes(bool),
    /// The option chosen; of a list its id, or the word that says that none is meant.
    Choice(String),
    /// A number.
    Number(rust_decimal::Decimal),
    /// A whole number.
    Count(u32),
    /// A line of text.
    Text(String),
    /// There is nothing more: no further step, or no further part.
    NoMore,
    /// A weight.
    Weight(Reading),
    /// Too light for the scale: it goes in with others of its grade.
    TooLight,
    /// This unit has no such part.
    Absent,
    /// Not weighed: for intake unknown, for a remainder the difference.
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
    /// The smallest step that the reading resolves: the scale's division as far as it shows in what was typed.
    pub finest: Mass,
}
