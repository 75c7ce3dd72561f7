//! The recipe as pure data: a kind of unit, the steps that take it apart, the parts that come out, the guards on the
//! way.
//!
//! A recipe is written in a script, but nothing here knows that: the script host fills a [`RecipeDraft`], and
//! [`RecipeDraft::finish`] either returns a [`Recipe`] whose references all hold or the faults that stand in the way.
//! A step's `work` is only a number here, by which the host finds the closure that it kept.

mod draft;
mod emergency;
mod finish;
mod hazard;
mod step;

pub use draft::{RecipeDraft, StepDraft};
pub use emergency::{Advice, Emergency, EmergencyBook, EmergencyError, Issuer};
pub use finish::Fault;
pub use hazard::{Action, Hazard, HazardBook, HazardError};
pub use step::{Cost, Freed, Mark, Places, Rest, Step};

use crate::quantity::{Estimate, Mass};

/// The version of the script language that this program speaks. A recipe that needs a newer one says so and is set
/// aside.
pub const API_VERSION: u32 = 1;

/// A kind of unit and how to take it apart. All references inside are known to hold.
#[derive(Debug, Clone, PartialEq)]
pub struct Recipe {
    pub(crate) unit: UnitKind,
    pub(crate) steps: Vec<Step>,
}

/// What a recipe says of the unit as a whole.
#[derive(Debug, Clone, PartialEq)]
pub struct UnitKind {
    /// The recipe's id: lower-case letters, digits and hyphens.
    pub id: String,
    /// What people call such a unit.
    pub name: String,
    /// What such a unit weighs as it comes.
    pub weighs: Estimate<Mass>,
    /// The grade under which a yard buys it untouched.
    pub whole_grade: String,
    /// Who wrote the recipe.
    pub author: String,
    /// The licence under which the recipe may be passed on, as an SPDX expression; empty when the author named none.
    pub licence: String,
    /// Counts up with every change by the author.
    pub revision: u32,
    /// The script language version that it needs.
    pub needs_api: u32,
    /// Hazards that concern the whole unit and are confirmed before the first step.
    pub guards: Vec<String>,
    /// What is said before work starts.
    pub says: Vec<String>,
    /// Items of WEEE Annex VII that such a unit holds and that must come out, by their number in the annex.
    pub holds: Vec<String>,
    /// Where the weights come from, or `estimate`.
    pub figures_from: String,
    /// Where the unit is declared.
    pub mark: Mark,
    /// Where each of its words stands.
    pub places: Places,
}

impl UnitKind {
    /// Where a word of the unit stands, or else where the unit is declared.
    pub fn place(&self, word: &str) -> Mark {
        self.places.of(word).unwrap_or(self.mark)
    }
}

impl Recipe {
    /// What is said of the unit as a whole.
    pub fn unit(&self) -> &UnitKind {
        &self.unit
    }

    /// The steps in the order in which they are declared.
    pub fn steps(&self) -> &[Step] {
        &self.steps
    }

    /// Adds a step at the end and gives its place: one that was made up at the bench.
    pub fn add_step(&mut self, step: Step) -> usize {
        self.steps.push(step);
        self.steps.len() - 1
    }

    /// The step at a place, to be changed while it is made up.
    ///
    /// # Panics
    /// There is no step at that place.
    pub fn step_at(&mut self, place: usize) -> &mut Step {
        &mut self.steps[place]
    }

    /// What is said of the unit, to be changed by what was seen at the bench.
    pub fn unit_mut(&mut self) -> &mut UnitKind {
        &mut self.unit
    }

    /// A step by its id.
    pub fn step(&self, id: &str) -> Option<&Step> {
        self.steps.iter().find(|step| step.id == id)
    }

    /// Every grade that the recipe names, with the mark of the place.
    pub fn grades(&self) -> impl Iterator<Item = (&str, Mark)> {
        let whole = std::iter::once((self.unit.whole_grade.as_str(), self.unit.place("sold_whole_as")));
        whole.chain(self.steps.iter().flat_map(|step| {
            let freed = step.frees.iter().map(|freed| (freed.grade.as_str(), freed.mark));
            freed.chain(step.rest.iter().map(|rest| (rest.grade.as_str(), rest.mark)))
        }))
    }

    /// Every hazard that the recipe names, with the mark of the place.
    pub fn hazards(&self) -> impl Iterator<Item = (&str, Mark)> {
        let unit = self.unit.guards.iter().map(|id| (id.as_str(), self.unit.place("guards")));
        unit.chain(self.steps.iter().flat_map(|step| step.guards.iter().map(|id| (id.as_str(), step.place("guards")))))
    }
}
