//! One past session, read back.

use std::collections::BTreeSet;
use std::rc::Rc;

use jiff::civil::Date;

use super::super::haul_of_run::haul_of_run;
use super::compiled::CompiledRecipe;
use super::occasion::Occasion;
use super::then::RanUnder;
use crate::bench::{CORRECTED, CurrentAnswers, FreePart, KEPT, RunResult, Unfit};
use crate::market::{Haul, Tally};
use crate::pricing::Valuation;
use crate::quantity::Mass;
use crate::recipe::Recipe;
use crate::script::Script;
use crate::store::journal::SessionHeader;
use crate::world::{AppError, World};

/// A session, and what its recipe computes from its answers.
pub struct Past {
    /// What was fixed when it began.
    pub header: Rc<SessionHeader>,
    /// The current answers in its journal.
    pub(super) recorded: Rc<CurrentAnswers>,
    /// The texts it last ran under.
    pub(super) ran: RanUnder,
    /// The result stored in its journal; `None` if it is read under another text.
    pub(super) result: Option<Haul>,
    /// What is wrong with the end of its journal.
    pub(super) damage: Option<String>,
    /// The answers it was run over: the recorded ones, and what another text of the recipe had to assume.
    pub standing: Rc<CurrentAnswers>,
    pub(super) kept: Rc<CompiledRecipe>,
    /// The division of the person's scale.
    pub(super) division: Option<Mass>,
    /// What the run came to.
    pub run_result: RunResult,
    /// What a reader should know: damage, a missing copy.
    pub remarks: Vec<String>,
}

impl Past {
    /// Whether its journal could be read only in part.
    pub fn is_damaged(&self) -> bool {
        self.damage.is_some()
    }

    /// Whether it has ended in any way.
    pub fn has_ended(&self) -> bool {
        self.result.is_some() || self.run_result.waits().is_none()
    }

    /// The script and the recipe it was read under, as declared.
    pub(crate) fn compiled(&self) -> (Script, Rc<Recipe>) {
        (self.kept.script.clone(), self.kept.recipe.clone())
    }

    /// The recipe it was read under.
    pub fn recipe(&self) -> &Recipe {
        self.run_result.recipe(&self.kept.recipe)
    }

    /// When and where it was.
    pub(crate) fn occasion(&self) -> Occasion<'_> {
        Occasion {
            header: &self.header,
            yard: self.standing.yard(),
            yard_digest: self.standing.yard_digest(),
            last_act: self.standing.last_act(),
        }
    }

    /// The day on which it began, where the person was.
    pub fn day(&self) -> Option<Date> {
        self.occasion().day()
    }

    /// Answers without a question under this recipe, or behind an unanswered question.
    pub fn unfit(&self) -> Vec<Unfit> {
        let mut unfit = self.run_result.unfit.clone();
        if let Some(waits) = self.run_result.waits() {
            let asked: BTreeSet<String> = self.run_result.asked.iter().map(|asked| asked.question.name()).collect();
            let known = |name: &&str| !asked.contains(*name) && !unfit.iter().any(|unfit| unfit.name == **name);
            let why = format!("not reached: `{}` comes first and has no answer", waits.name());
            let behind = |name: &str| {
                let exact = self.standing.answer(name).map(|given| given.exact.clone()).unwrap_or_default();
                Unfit { name: name.to_owned(), exact, why: why.clone() }
            };
            let more: Vec<Unfit> = self.standing.names().filter(known).map(behind).collect();
            unfit.extend(more);
        }
        unfit
    }

    /// Whether the weight of a part was doubted when it was typed, and was kept or put right.
    pub(super) fn is_meant(&self, part: &FreePart) -> bool {
        let given = self.standing.answer(&format!("{}/{}", part.step, part.part));
        given.is_some_and(|given| matches!(given.origin.as_deref(), Some(KEPT | CORRECTED)))
    }

    /// What came out, ready to be valued.
    pub fn haul(&self) -> Haul {
        let played = || haul_of_run(self.recipe(), &self.run_result, &self.standing, self.division);
        self.result.clone().unwrap_or_else(played)
    }

    /// Its tally.
    ///
    /// # Errors
    /// As [`Valuation::tally`].
    pub fn tally(&self, world: &World, valuation: &Valuation) -> Result<Tally, AppError> {
        valuation.tally(world, &self.haul())
    }
}
