//! Finds the stored text of a recipe by its revision.

use std::collections::BTreeMap;
use std::rc::Rc;

use super::archive::Archive;
use super::compiled::CompiledRecipe;
use crate::script::Glance;
use crate::world::AppError;

impl Archive<'_> {
    /// The recipe of a revision: today's if it matches, else the copy from the latest session that ran under it.
    pub(super) fn of_revision(&self, recipe: &str, number: u64) -> Result<Rc<CompiledRecipe>, AppError> {
        if let Ok(today) = self.compiled(&format!("now {recipe}"), || self.world.recipe(recipe))
            && u64::from(today.recipe.unit().revision) == number
        {
            return Ok(today);
        }
        self.find_revisions()?;
        let revisions = self.revisions.borrow();
        let known = revisions.iter().flatten();
        let digests = known.clone().find(|((id, revision), _)| id == recipe && *revision == number).map(|(_, d)| d);
        match digests.map(Vec::as_slice) {
            Some([only]) => self.compiled(only, || {
                let text = self.world.text_then(only, &format!("the recipe {recipe}"))?;
                let script = self.world.host().open(&format!("{recipe} (kept copy)"), &text)?;
                let recipe = self.world.host().recipe(&script)?;
                Ok((script, recipe))
            }),
            Some(several) => Err(AppError::Refused(format!(
                "{} different texts of {recipe} call themselves revision {number}; replay with `ran` or `now`",
                several.len()
            ))),
            None => {
                let known: Vec<_> =
                    known.filter(|((id, _), _)| id == recipe).map(|((_, r), _)| r.to_string()).collect();
                let known = if known.is_empty() { "none".to_owned() } else { known.join(", ") };
                Err(AppError::Name(format!("no copy of {recipe} has revision {number}; kept are: {known}")))
            }
        }
    }

    /// Reads the first statement of every copy, once.
    fn find_revisions(&self) -> Result<(), AppError> {
        if self.revisions.borrow().is_some() {
            return Ok(());
        }
        let mut found: BTreeMap<(String, u64), Vec<String>> = BTreeMap::new();
        for digest in self.world.home.seen_scripts()?.ids {
            let Ok(Some(text)) = self.world.home.seen_script(digest.as_str()) else { continue };
            if let Ok(Glance::Recipe(unit)) = self.world.host().glance(digest.as_str(), &text) {
                found.entry((unit.id.clone(), u64::from(unit.revision))).or_default().push(digest.to_string());
            }
        }
        *self.revisions.borrow_mut() = Some(found);
        Ok(())
    }
}
