//! The open exchange form of a problem, not yet checked: items inside items, steps that free them, what each grade
//! pays.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

/// Millicents in one cent.
pub const MILLICENTS_PER_CENT: i64 = 1000;

/// An article or a part of it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Item {
    /// Position in the list of items; item 0 is the whole unit.
    pub id: usize,
    /// The item it sits in; none for item 0 only.
    pub host: Option<usize>,
    /// Mass in grams with everything that is still inside it.
    pub mass_g: i64,
    /// The grade of item 0 as it stands; the others get theirs when they are freed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub grade: Option<String>,
}

/// An item that a step takes out of its host, and the grade it has then.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct FreedItem {
    /// The item that comes out.
    pub item: usize,
    /// Its grade as freed.
    pub grade: String,
}

/// One piece of work.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct PlanStep {
    /// Position in the list of steps.
    pub id: usize,
    /// The item it is done on: item 0, or one that must be free by then.
    pub host: usize,
    /// Minutes of work, at least 1.
    pub minutes: i64,
    /// Consumables in cents; negative where the step itself brings money, such as a part paid by the piece.
    #[serde(default)]
    pub cost_cents: i64,
    /// Prerequisites: of every group at least one step must already be done.
    #[serde(default)]
    pub requires: Vec<Vec<usize>>,
    /// What comes out of the host.
    #[serde(default)]
    pub frees: Vec<FreedItem>,
}

/// Changes the grade of an item once all of the named steps are done. The last rule that matches counts.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Rule {
    /// The item whose grade changes.
    pub item: usize,
    /// The steps that must all be done; in any order, before or after the item is freed.
    pub all_of: Vec<usize>,
    /// The grade from then on.
    pub grade: String,
}

/// A dismantling problem as it is exchanged, not yet checked.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct ProblemData {
    /// Cents per kilogram by grade; negative is a disposal fee.
    pub grades: BTreeMap<String, i64>,
    /// The unit and its parts.
    pub items: Vec<Item>,
    /// The work that can be done.
    pub steps: Vec<PlanStep>,
    /// Grade changes, in order of precedence: the last that matches counts.
    #[serde(default)]
    pub rules: Vec<Rule>,
    /// What an hour of the person's time is worth, in cents.
    #[serde(default)]
    pub value_of_time_cents_per_hour: i64,
    /// The most minutes that may be spent, or none.
    #[serde(default)]
    pub time_cap_minutes: Option<i64>,
}
