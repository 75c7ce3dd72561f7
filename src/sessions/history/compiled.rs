//! A recipe that is ready to run.

use std::rc::Rc;

use crate::bench::{CurrentAnswers, RunResult};
use crate::recipe::Recipe;
use crate::script::Script;
use crate::world::{AppError, World};

/// A compiled recipe.
pub(super) struct CompiledRecipe {
    pub script: Script,
    pub recipe: Rc<Recipe>,
}

impl CompiledRecipe {
    /// Runs it over the answers that stand.
    pub fn run(&self, world: &World, standing: Rc<CurrentAnswers>) -> Result<RunResult, AppError> {
        Ok(world.host().run_declared(&self.script, &self.recipe, standing)?)
    }
}
