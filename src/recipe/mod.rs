//! The recipe as pure data: a kind of unit, the steps that take it apart, the parts that come out, the guards on the
//! way.
//!
//! A recipe is written as a script, but nothing here knows that: the script host fills a [`RecipeDraft`], and
//! [`RecipeDraft::finish`] returns either a [`Recipe`] whose references are all valid, or the faults. A step's `work`
//! is only a number here, by which the host finds its closure.

mod draft;
mod emergency;
mod finish;
mod hazard;
mod step;

pub use draft::{RecipeDraft, StepDraft};
pub use emergency::{Emergency, EmergencyBook, EmergencyCard};
pub use finish::RecipeFault;
pub use hazard::{Action, Hazard, HazardBook};
pub use step::{Freed, Mark, Places, RestGrade, Step, StepCost};

use crate::quantity::{Estimate, Mass};

/// The version of the script language of this program. A recipe that requires a newer one is switched off.
pub const API_VERSION: u32 = 1;

/// A kind of unit and how to take it apart. All references inside are valid.
#[derive(Debug, Clone, PartialEq)]
pub struct Recipe {
    pub(crate) unit: UnitKind,
    pub(crate) steps: Vec<Step>,
}

/// What a recipe says about the unit as a whole.
#[derive(Debug, Clone, PartialEq)]
pub struct UnitKind {
    /// The recipe's id: lower-case letters, digits and hyphens.
    pub id: String,
    /// The display name of such a unit.
    pub name: String,
    /// The expected weight of such a unit as it comes.
    pub weighs: Estimate<Mass>,
    /// The grade under which a yard buys it untouched.
    pub whole_grade: String,
    /// Who wrote the recipe.
    pub author: String,
    /// The licence for passing on the recipe, as an SPDX expression; empty if not stated.
    pub licence: String,
    /// Increases with every change by the author.
    pub revision: u32,
    /// The script API version it requires.
    pub needs_api: u32,
    /// Hazards of the whole unit, confirmed before the first step.
    pub guards: Vec<String>,
    /// Messages shown before work starts.
    pub says: Vec<String>,
    /// WEEE Annex VII items that such a unit contains and that must come out, by number.
    pub holds: Vec<String>,
    /// The source of the weights, or `estimate`.
    pub figures_from: String,
    /// Where the unit is declared.
    pub mark: Mark,
    /// Where each of its words is.
    pub places: Places,
}

impl UnitKind {
    /// Where a word of the unit is, or else where the unit is declared.
    pub fn place(&self, word: &str) -> Mark {
        self.places.of(word).unwrap_or(self.mark)
    }
}

impl Recipe {
    /// The unit as a whole.
    pub fn unit(&self) -> &UnitKind {
        &self.unit
    }

    /// The steps in order of declaration.
    pub fn steps(&self) -> &[Step] {
        &self.steps
    }

    /// Appends a step made up at the bench and returns its index.
    pub fn add_step(&mut self, step: Step) -> usize {
        self.steps.push(step);
        self.steps.len() - 1
    }

    /// The step at an index, to change while it is made up.
    ///
    /// # Panics
    /// There is no step at that index.
    pub fn step_at(&mut self, place: usize) -> &mut Step {
        &mut self.steps[place]
    }

    /// The unit, to change by what was seen at the bench.
    pub fn unit_mut(&mut self) -> &mut UnitKind {
        &mut self.unit
    }

    /// A step by its id.
    pub fn step(&self, id: &str) -> Option<&Step> {
        self.steps.iter().find(|step| step.id == id)
    }

    /// Every grade the recipe names, with its position.
    pub fn grades(&self) -> impl Iterator<Item = (&str, Mark)> {
        let whole = std::iter::once((self.unit.whole_grade.as_str(), self.unit.place("sold_whole_as")));
        whole.chain(self.steps.iter().flat_map(|step| {
            let freed = step.frees.iter().map(|freed| (freed.grade.as_str(), freed.mark));
            freed.chain(step.rest.iter().map(|rest| (rest.grade.as_str(), rest.mark)))
        }))
    }

    /// Every hazard the recipe names, with its position.
    pub fn hazards(&self) -> impl Iterator<Item = (&str, Mark)> {
        let unit = self.unit.guards.iter().map(|id| (id.as_str(), self.unit.place("guards")));
        unit.chain(self.steps.iter().flat_map(|step| step.guards.iter().map(|id| (id.as_str(), step.place("guards")))))
    }
}
