//! Explores every path through a recipe: which answers to assume, what can be skipped without loss, what must hold.
//!
//! A session is its recipe and its answers, so a path is explored by assuming answers and running from the start.
//! Trying every combination of answers would take 2ⁿ runs for n skippable steps. Three facts save most of them, and
//! nothing else is left out without being reported in [`Coverage`]:
//!
//! * **Between two steps a run is told by its situation**: which steps can still come, which of their prerequisites
//!   hold, which parts they work on are at hand or known to be missing, what closures of theirs remember
//!   (`situation`), and what their parts can do that no guard has spoken of yet (`spoken`): a script cannot tell, and
//!   what must hold depends on it. Grades, weights and minutes are recorded but cannot be read back by a script. Two
//!   ways into one situation have one future, so it is explored once.
//! * **Within a step its work is told by its input**: what its own closure remembers, which parts are missing, and
//!   what of its own parts no guard has spoken of. The whole tree of its answers is run once for every input; from
//!   other situations with that input, one way for each effect.
//! * **A refused guard ends the run at once**, before any further line of the script, so it is run once for each place
//!   where a tree asks it.
//!
//! The engine's limits count over a whole run, so a script close to them could still fail on a longer path than the one
//! that stood for it. Steps are postponed only where their order can matter, one at a time.

mod coverage;
mod depollution;
mod graph;
mod play;
mod probes;
mod proofs;
mod record;
mod situation;
mod spoken;
mod tree;
mod walk;

#[cfg(test)]
mod tests;

use std::collections::BTreeSet;
use std::rc::Rc;

use crate::bench::{CurrentAnswers, RunResult};
use crate::quantity::Mass;
use crate::recipe::{HazardBook, Recipe, RecipeFault};
use rust_decimal::Decimal;

use super::finding::Finding;
use super::guards::WorkGuards;
pub use coverage::Coverage;

/// Runs a recipe over assumed answers: this room's only access to the outside.
pub trait Runner {
    /// Runs from the start to the first question without an answer.
    fn run(&mut self, standing: Rc<CurrentAnswers>) -> Reached;
    /// The most runs allowed.
    fn bound(&self) -> u64;
    /// Why no more runs may be made, once the limit is reached.
    fn spent(&self) -> Option<String>;
    /// Whether it is so late that what cannot be finished should be dropped.
    fn is_late(&self) -> bool;
}

/// The result of one run.
pub struct Reached {
    /// The run as far as it got.
    pub run_result: Option<RunResult>,
    /// The script's faults; empty if there are none.
    pub faults: Vec<RecipeFault>,
    /// What each step's closure remembers, by the step's work number; `None` if that cannot be determined.
    pub memory: Vec<Option<String>>,
}

/// What the exploration needs to know besides the recipe.
pub struct PathFacts<'a> {
    /// The hazards that guards name.
    pub hazards: &'a HazardBook,
    /// Whether a grade is hazardous waste.
    pub is_hazardous: &'a dyn Fn(&str) -> bool,
    /// Hazards that must be confirmed before taking out a part of a grade, by id.
    pub dangers: &'a dyn Fn(&str) -> Vec<String>,
    /// Annex VII items of a part of a grade, by number.
    pub items: &'a dyn Fn(&str) -> Vec<String>,
    /// Numbers that the script compares with.
    pub numbers: Vec<Decimal>,
    /// Weights that the script compares with.
    pub weights: Vec<Mass>,
}

/// What was found, and how much was explored.
pub struct Exploration {
    /// Findings, each with the answers that lead to it.
    pub findings: Vec<Finding>,
    /// What was covered and what was not.
    pub coverage: Coverage,
    /// Every grade that a part or a remainder had on some path.
    pub grades: BTreeSet<String>,
    /// The guards asked in work.
    pub guards: WorkGuards,
}

/// Explores a recipe as far as the runner's limit allows.
pub fn explore(recipe: &Recipe, facts: &PathFacts<'_>, runner: &mut dyn Runner) -> Exploration {
    walk::Walk::new(recipe, facts, runner).explore()
}
