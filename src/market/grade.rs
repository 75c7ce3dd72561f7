//! Grades: the material classes that yards price, as a tree of canonical ids.

mod day;
mod error;
mod tree;

use jiff::civil::Date;
use serde::{Deserialize, Serialize};

pub use error::GradeError;
pub(crate) use error::did_you_mean;
pub use tree::GradeTree;

/// One material class.
///
/// The id is this project's own; `code_word` and `waste_code` link it to the published lists where they name the same
/// thing.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Grade {
    /// Canonical id: lower-case letters, digits and hyphens.
    pub id: String,
    /// The wider class it belongs to; a yard that prices only the class buys this at the class price.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub parent: Option<String>,
    /// What it is called.
    pub name: String,
    /// How to recognise it by eye, hand and magnet.
    pub looks: String,
    /// Code word of the published recycling-industry specification, where one fits.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub code_word: Option<String>,
    /// Entry of the European list of waste, where one fits.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub waste_code: Option<String>,
    /// The entry that replaces it, if the list changes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub waste_code_next: Option<String>,
    /// The first day of that entry.
    #[serde(default, skip_serializing_if = "Option::is_none", with = "day")]
    pub waste_code_next_from: Option<Date>,
    /// Other names that people use for it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub also: Vec<String>,
    /// Whether it counts as metal in the recovery rate. Unset inherits from the nearest wider class that is set.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub metal: Option<bool>,
    /// Whether its hazards replace those of wider classes instead of adding to them.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub own_hazards: bool,
    /// Hazards that must be confirmed before taking out such a part, by id.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub hazards: Vec<String>,
    /// The hazard that says how to store a pile of it, by id. Unset inherits from the nearest wider class that is set.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stored: Option<String>,
    /// WEEE Annex VII items that are out once such a part is, by number; those of wider classes are added.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub annex_vii: Vec<String>,
    /// Where the entry comes from.
    pub source: String,
    /// How far the source was checked, in words.
    pub status: String,
}

impl Grade {
    /// The entry of the European list of waste valid on a day.
    pub fn waste_code_on(&self, day: Date) -> Option<&str> {
        let next = self.waste_code_next.as_ref().filter(|_| self.waste_code_next_from.is_some_and(|from| from <= day));
        next.or(self.waste_code.as_ref()).map(String::as_str)
    }

    /// Whether it is hazardous waste by its current entry or the one that replaces it: such entries carry a star. The
    /// stricter of the two applies on every day, so that what was dismantled before a change is still right after it.
    pub fn is_hazardous_waste(&self) -> bool {
        [&self.waste_code, &self.waste_code_next].into_iter().flatten().any(|code| code.contains('*'))
    }
}
