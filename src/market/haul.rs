//! The yield of one unit: the input of a tally, as a session provides it.

use serde::{Deserialize, Serialize};

use crate::quantity::{Mass, Minutes, Money};

/// One unit taken apart, before pricing.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Haul {
    /// What was on the bench.
    pub unit_name: String,
    /// The recipe's id; empty without one.
    pub recipe: String,
    /// Intake weight.
    pub intake: Option<Mass>,
    /// Division of the scale that read the intake; zero if unknown.
    pub intake_division: Mass,
    /// The grade under which a yard buys the unit untouched.
    pub whole_grade: Option<String>,
    /// What was freed, part by part; an opened part is not listed, its contents are.
    pub fractions: Vec<Fraction>,
    /// Containers whose contents can no longer be told apart; [`Fraction::in_mix`] indexes this list.
    pub mixes: Vec<Mix>,
    /// What is left of the unit and of every opened part.
    pub remainders: Vec<Remainder>,
    /// Working time.
    pub minutes: Minutes,
    /// What was used up.
    pub consumables: Vec<Consumable>,
    /// Why the unit, or what is left of it, went to a licensed person, if it did.
    pub handed_on: Option<String>,
    /// The readings that should add up to the unit's weight: freed parts as they came out, and weighed remainders.
    pub readings: Vec<BalanceReading>,
}

impl Haul {
    /// The haul as the journal stores it with a session's end: one line of JSON, every quantity as its exact text.
    ///
    /// # Errors
    /// None known: every field can be written as text.
    pub fn to_line(&self) -> Result<String, serde_json::Error> {
        serde_json::to_string(self)
    }

    /// Whether the same goods came out: part by part the same grade, grams and pieces, whichever scale read them.
    pub fn is_same_goods(&self, other: &Haul) -> bool {
        let plain = |fraction: &Fraction| Fraction { division: Mass::ZERO, ..fraction.clone() };
        self.fractions.iter().map(plain).eq(other.fractions.iter().map(plain))
            && self.remainders == other.remainders
            && self.handed_on == other.handed_on
    }

    /// Reads back what [`Haul::to_line`] wrote; `None` if it is not a haul, or refers to a missing container.
    pub fn from_line(line: &str) -> Option<Haul> {
        let haul: Haul = serde_json::from_str(line).ok()?;
        let fits = haul.fractions.iter().filter_map(|fraction| fraction.in_mix).all(|at| at < haul.mixes.len());
        fits.then_some(haul)
    }
}

/// A part that was freed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Fraction {
    /// The part's name.
    pub part: String,
    /// Its current grade.
    pub grade: String,
    /// Net weight; `None` if it was too light for the scale or not weighed.
    pub net: Option<Mass>,
    /// Number of pieces; 0 if not counted.
    pub pieces: u32,
    /// The grade the recipe expected, if it turned out to be another.
    pub regraded_from: Option<String>,
    /// The container it went into together with other grades.
    pub in_mix: Option<usize>,
    /// Division of the scale that read it; zero if it was not weighed.
    #[serde(default)]
    pub division: Mass,
}

/// A container of several grades.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Mix {
    /// What it is called.
    pub name: String,
    /// Its net weight if it was weighed as a whole; otherwise the sum of its contents.
    pub net: Option<Mass>,
}

/// What a remainder is the remainder of.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum RemainderOf {
    /// The unit itself.
    Unit,
    /// A part that was opened.
    Part(String),
}

/// What is left of the unit or of an opened part, sold as it is.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Remainder {
    /// What it is the remainder of.
    pub of: RemainderOf,
    /// Its grade; `None` if not given.
    pub grade: Option<String>,
    /// Its weight. Negative if more was weighed out of the thing than it weighed; the tally then says so.
    pub mass: Option<Mass>,
    /// How the weight was determined.
    pub how: WeightSource,
    /// Number of pieces.
    pub pieces: u32,
}

/// How a weight was determined.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum WeightSource {
    /// Read from a scale.
    Weighed,
    /// What remains after subtracting the weighed parts.
    Computed,
    /// Not known.
    Unknown,
}

impl WeightSource {
    /// `weighed`, `computed`, `not known`.
    pub fn word(self) -> &'static str {
        match self {
            WeightSource::Weighed => "weighed",
            WeightSource::Computed => "computed",
            WeightSource::Unknown => "not known",
        }
    }
}

/// A consumable used up.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Consumable {
    /// What it was.
    pub name: String,
    /// What it cost.
    pub cost: Money,
}

/// One reading of a scale.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct BalanceReading {
    /// What was on it.
    pub part: String,
    /// What it showed.
    pub mass: Mass,
    /// The scale's division; zero when it is not known.
    pub division: Mass,
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Older programs wrote the share of a trip, which no unit ever had.
    #[test]
    fn a_line_that_names_a_share_of_a_trip_is_still_read() {
        let haul = Haul { unit_name: "Test box".into(), recipe: "test-box".into(), ..Haul::default() };
        let line = haul.to_line().unwrap();
        let older = format!("{},\"trip_share\":null}}", line.strip_suffix('}').unwrap());
        assert_eq!(Haul::from_line(&line), Some(haul.clone()));
        assert_eq!(Haul::from_line(&older), Some(haul));
    }
}
