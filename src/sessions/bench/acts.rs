//! What a user can do at a question besides answering it: undo, skip, stop, note, mix, and change the yard or the
//! recipe under way.

use std::collections::BTreeSet;

use super::super::part_list;
use super::Session;
use crate::bench::{Ask, Entry, Kind, MIX_SEPARATOR, Presence, Question, UNIT};
use crate::naming::suggest;
use crate::pricing::Valuation;
use crate::store::home::Shelf;
use crate::world::AppError;

impl Session<'_> {
    /// Undoes the last action. Returns its entry, or `None` if there is nothing to undo.
    ///
    /// # Errors
    /// The journal cannot be written.
    pub fn undo(&mut self) -> Result<Option<Entry>, AppError> {
        let Some(entry) = self.standing.undoable().cloned() else { return Ok(None) };
        self.record(Kind::Undo, None, None)?;
        self.revisited = None;
        self.rerun()?;
        Ok(Some(entry))
    }

    /// Redoes the last undone action. Returns its entry, or `None`.
    ///
    /// # Errors
    /// The journal cannot be written.
    pub fn redo(&mut self) -> Result<Option<Entry>, AppError> {
        let Some(entry) = self.standing.redoable().cloned() else { return Ok(None) };
        self.record(Kind::Redo, None, None)?;
        self.revisited = None;
        self.rerun()?;
        Ok(Some(entry))
    }

    /// Skips the current step; its start is answered again.
    ///
    /// # Errors
    /// There is no current step, or the journal cannot be written.
    pub fn skip(&mut self) -> Result<String, AppError> {
        let step = self.question().map(|question| question.step.clone()).filter(|step| step != UNIT);
        let step = step.ok_or_else(|| AppError::Refused("no step is at hand that could be skipped".into()))?;
        let begun = self.run_result.asked.iter().rev().map(|asked| &asked.question);
        let begins = |question: &&Question| question.step == step && matches!(question.ask, Ask::Begin { .. });
        let begin = begun.chain(self.run_result.waits()).find(begins).map(Question::name);
        let begin = begin.ok_or_else(|| AppError::Refused("this step was not begun".into()))?;
        self.record(Kind::Answer, Some(&begin), Some(("skip", "skip")))?;
        self.revisited = None;
        self.rerun()?;
        Ok(step)
    }

    /// Stops here: what is left of the unit is sold or handed on as it is. An undo reopens the session.
    ///
    /// # Errors
    /// The journal cannot be written.
    pub fn stop(&mut self) -> Result<(), AppError> {
        self.record(Kind::Stop, None, None)?;
        self.revisited = None;
        self.rerun()
    }

    /// Pauses the session.
    ///
    /// # Errors
    /// The journal cannot be written.
    pub fn pause(&mut self) -> Result<(), AppError> {
        self.record(Kind::Pause, None, None)
    }

    /// Puts parts together that can no longer be told apart; the yard then treats them as a mixed lot. `list` names
    /// them, separated by commas. Returns the names.
    ///
    /// # Errors
    /// Fewer than two parts, or one that is not available, was opened, or is already in a container.
    pub fn mix(&mut self, list: &str) -> Result<Vec<String>, AppError> {
        let free = &self.run_result.state.parts;
        let fits = |name: &str| {
            free.iter().any(|part| part.part == name && part.presence != Presence::Absent && part.opened.is_none())
        };
        let whole: Vec<&str> = free.iter().map(|part| part.part.as_str()).filter(|name| fits(name)).collect();
        let mut parts = part_list::names(list, fits);
        if let Some(stranger) = parts.iter().find(|name| !fits(name)) {
            let hint = suggest(stranger, whole.iter().copied());
            return Err(AppError::Name(format!(
                "no part `{}` is at hand as it came out; {hint}",
                stranger.escape_debug()
            )));
        }
        let taken = self.standing.mixes().iter().flatten().find(|name| parts.contains(name));
        if let Some(taken) = taken {
            return Err(AppError::Refused(format!("`{taken}` is in a container already")));
        }
        let mut seen = BTreeSet::new();
        parts.retain(|name| seen.insert(name.clone()));
        if parts.len() < 2 {
            return Err(AppError::Refused("name at least two parts that went into one container: mix A, B".into()));
        }
        let text = parts.join(MIX_SEPARATOR);
        self.record(Kind::Mix, None, Some((&text, &text)))?;
        self.rerun()?;
        Ok(parts)
    }

    /// Values the session at another yard from here on.
    ///
    /// # Errors
    /// No yard matches, its script is at fault, or the journal cannot be written.
    pub fn switch_yard(&mut self, word: &str) -> Result<(), AppError> {
        let id = self.world.pick_one(Shelf::Yards, word)?;
        let valuation = Valuation::new(self.world, &id, Some(self.valuation.date))?;
        let unit = self.world.unit(&valuation.yard)?;
        let digest = self.world.home.keep_script(self.world.yard(&id)?.0.source())?;
        self.keep(Entry { origin: Some(digest), ..self.entry(Kind::Yard, None, Some((word, &id))) })?;
        (self.valuation, self.unit) = (valuation, unit);
        self.rerun()
    }

    /// Reloads quotes and prices after a quote was entered.
    ///
    /// # Errors
    /// As [`Valuation::new`].
    pub fn revalue(&mut self) -> Result<(), AppError> {
        self.valuation = Valuation::new(self.world, self.valuation.yard.id(), Some(self.valuation.date))?;
        Ok(())
    }

    /// Reloads the recipe after an edit; the answers stay.
    ///
    /// # Errors
    /// The recipe is at fault; the session then keeps its previous text.
    pub fn reread(&mut self) -> Result<bool, AppError> {
        let (script, recipe) = self.world.recipe(&self.header.recipe)?;
        if script.source() == self.script.source() {
            return Ok(false);
        }
        let run_result = self.world.host().run(&script, self.standing.clone())?;
        (self.script, self.recipe, self.run_result, self.revisited) = (script, recipe, run_result, None);
        self.note_recipe()?;
        Ok(true)
    }

    pub(super) fn note_recipe(&mut self) -> Result<(), AppError> {
        let (digest, libraries) = self.world.keep_texts(self.script.source())?;
        let entry = self.entry(Kind::Recipe, None, Some((&self.header.recipe, &digest)));
        self.keep(Entry { origin: libraries, ..entry })
    }
}
