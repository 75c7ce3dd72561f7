//! What one unit gave: the input of a tally, as a session hands it over.

use crate::quantity::{Mass, Minutes, Money};

/// One unit taken apart, before any price.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Haul {
    /// What was on the bench.
    pub unit_name: String,
    /// The recipe's id; empty without one.
    pub recipe: String,
    /// Intake weight.
    pub intake: Option<Mass>,
    /// Division of the scale that read the intake; zero when it is not known.
    pub intake_division: Mass,
    /// The grade under which a yard buys the unit untouched.
    pub whole_grade: Option<String>,
    /// What was freed, part by part; a part that was opened is not listed, what came out of it is.
    pub fractions: Vec<Fraction>,
    /// Containers whose contents can no longer be told apart; [`Fraction::in_mix`] counts into this list.
    pub mixes: Vec<Mix>,
    /// What is left of the unit and of every opened part.
    pub remainders: Vec<Remainder>,
    /// Working time.
    pub minutes: Minutes,
    /// What was used up.
    pub consumables: Vec<Consumable>,
    /// Set when the unit, or what is left of it, went to somebody licensed, with the reason.
    pub handed_on: Option<String>,
    /// The readings that together should weigh what the unit weighed: freed parts as they came out, and weighed remainders.
    pub readings: Vec<Reading>,
    /// This unit's share of a trip to the yard.
    pub trip_share: Option<Money>,
}

/// A part that was freed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fraction {
    /// The part's name.
    pub part: String,
    /// Its grade now.
    pub grade: String,
    /// Net weight; `None` when it was too light for the scale or not weighed.
    pub net: Option<Mass>,
    /// Number of pieces; 0 when nobody counted.
    pub pieces: u32,
    /// The grade that the recipe expected, when it turned out to be another.
    pub regraded_from: Option<String>,
    /// The container that it went into with other grades.
    pub in_mix: Option<usize>,
}

/// A container of several grades.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Mix {
    /// What it is called.
    pub name: String,
    /// Its net weight when it was weighed as a whole; otherwise the weights of what is in it add up.
    pub net: Option<Mass>,
}

/// What a remainder is left of.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Host {
    /// The unit itself.
    Unit,
    /// A part that was opened.
    Part(String),
}

/// What is left of the unit or of an opened part, and sold as it is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Remainder {
    /// What it is left of.
    pub of: Host,
    /// Its grade; `None` when nobody said.
    pub grade: Option<String>,
    /// Its weight. Below zero when more was weighed out of the thing than it weighed: the tally then says so.
    pub mass: Option<Mass>,
    /// How the weight is known.
    pub how: How,
    /// Number of pieces.
    pub pieces: u32,
}

/// How a weight is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum How {
    /// Read from a scale.
    Weighed,
    /// What is left when the weighed parts are taken off.
    Computed,
    /// Not known.
    Unknown,
}

impl How {
    /// `weighed`, `computed`, `not known`.
    pub fn word(self) -> &'static str {
        match self {
            How::Weighed => "weighed",
            How::Computed => "computed",
            How::Unknown => "not known",
        }
    }
}

/// Something used up.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Consumable {
    /// What it was.
    pub name: String,
    /// What it cost.
    pub cost: Money,
}

/// One reading of a scale.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reading {
    /// What was on it.
    pub part: String,
    /// What it showed.
    pub mass: Mass,
    /// The scale's division; zero when it is not known.
    pub division: Mass,
}
