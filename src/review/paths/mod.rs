//! Every way through a recipe: which answers to suppose, what may be left out without losing anything, what must hold.
//!
//! A session is its recipe and its answers, so a way through is explored by supposing answers and running from the top.
//! Trying every combination of answers outright would take 2ⁿ runs for n steps that can be skipped. Three facts spare
//! most of them, and nothing else is spared without being counted in [`Coverage`]:
//!
//! * **Between two steps a run is told by its situation**: which steps can still come, which of their prerequisites
//!   hold, which parts they work on are at hand or known to be missing, what closures of theirs remember (`situation`),
//!   and what their parts can do that no guard has spoken of yet (`spoken`): a script cannot tell, and what must hold
//!   depends on it. Grades, weights and minutes are recorded but cannot be read back by a script. Two ways into one
//!   situation have one future, so it is explored once.
//! * **Within a step its work is told by its input**: what its own closure remembers, which parts are missing, and what
//!   of its own parts no guard has spoken of. The whole tree of its answers is run once for every input; from other
//!   situations with that input, one way for each effect.
//! * **A refused guard ends the run at once**, before any further line of the script, so it is run once for each place
//!   where a tree asks it.
//!
//! The engine's limits count over a whole run, so a script that comes close to them could still fail on a longer way
//! than the one that stood for it. Steps are put off only where their order can matter, one at a time.

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

use crate::bench::{RunResult, Standing};
use crate::quantity::Mass;
use crate::recipe::{Fault, HazardBook, Recipe};
use rust_decimal::Decimal;

use super::finding::Finding;
use super::guards::WorkGuards;
pub use coverage::Coverage;

/// Runs a recipe over supposed answers: the one door out of this room.
pub trait Runner {
    /// Runs from the top to the first question without an answer.
    fn run(&mut self, standing: Rc<Standing>) -> Reached;
    /// The most runs that may be made.
    fn bound(&self) -> u64;
    /// Why no further run may be made, once the bound is reached.
    fn spent(&self) -> Option<String>;
    /// Whether it has taken so long that what cannot be finished should be left.
    fn is_late(&self) -> bool;
}

/// What one run came to.
pub struct Reached {
    /// The run as far as it came.
    pub run_result: Option<RunResult>,
    /// What the script did wrong; empty when nothing.
    pub faults: Vec<Fault>,
    /// What each step's closure remembers, by the number that the step carries; `None` where that cannot be told.
    pub memory: Vec<Option<String>>,
}

/// What the exploration needs to know besides the recipe.
pub struct Facts<'a> {
    /// The hazards that guards name.
    pub hazards: &'a HazardBook,
    /// Whether a grade is hazardous waste.
    pub is_hazardous: &'a dyn Fn(&str) -> bool,
    /// Hazards that whoever takes out a part of a grade must have confirmed, by id.
    pub dangers: &'a dyn Fn(&str) -> Vec<String>,
    /// Items of Annex VII that a part of a grade is, by number.
    pub items: &'a dyn Fn(&str) -> Vec<String>,
    /// Numbers that the script compares with.
    pub numbers: Vec<Decimal>,
    /// Weights that the script compares with.
    pub weights: Vec<Mass>,
}

/// What was found, and how much was looked at.
pub struct Exploration {
    /// Findings, each with the answers that lead to it.
    pub findings: Vec<Finding>,
    /// What was covered and what was not.
    pub coverage: Coverage,
    /// Every grade that a part or a remainder had on some way.
    pub grades: BTreeSet<String>,
    /// The guards that works asked.
    pub guards: WorkGuards,
}

/// Explores a recipe as far as the runner's bound allows.
pub fn explore(recipe: &Recipe, facts: &Facts<'_>, runner: &mut dyn Runner) -> Exploration {
    walk::Walk::new(recipe, facts, runner).explore()
}
