//! The state of a session: its value, what lies ahead, what was skipped or set aside.

use super::super::depth::{Ahead, Depth, PlanWishes};
use super::super::haul_of_run::haul_of_run;
use super::super::outlook::{Outlook, outlook};
use super::Session;
use crate::bench::{CurrentAnswers, End, Entry, Fate, RunResult};
use crate::market::{GradeTree, Haul, Tally};
use crate::pricing::Valuation;
use crate::quantity::MassUnit;
use crate::recipe::{HazardBook, Recipe, Step};
use crate::store::journal::SessionHeader;
use crate::world::AppError;

impl Session<'_> {
    /// What came out: as stored with the session's end, else as the recipe computes it from the answers.
    ///
    /// # Errors
    /// The settings cannot be read.
    pub fn haul(&self) -> Result<Haul, AppError> {
        if let Some(kept) = self.standing.result().and_then(Haul::from_line) {
            return Ok(kept);
        }
        self.haul_played()
    }

    /// What the recipe computes from the answers.
    ///
    /// # Errors
    /// The settings cannot be read.
    pub fn haul_played(&self) -> Result<Haul, AppError> {
        Ok(haul_of_run(self.recipe(), &self.run_result, &self.standing, self.world.scale_division()?))
    }

    /// The tally of the unit in its current state.
    ///
    /// # Errors
    /// As [`Valuation::tally`].
    pub fn tally(&self) -> Result<Tally, AppError> {
        self.valuation.tally(self.world, &self.haul()?)
    }

    /// What the given step is expected to add if done next.
    ///
    /// # Errors
    /// As [`Valuation::tally`].
    pub fn outlook(&self, step: &Step) -> Result<Outlook, AppError> {
        outlook(self.world, &self.valuation, self.recipe(), &self.run_result, &self.standing, self.learned(), step)
    }

    /// The best way to go on, and whether it pays; replanned with the actual weights and times.
    ///
    /// # Errors
    /// The recipe cannot be planned, or a value exceeds its limit.
    pub fn ahead(&self) -> Result<Ahead, AppError> {
        let floor = self.world.config.floor_per_hour.as_deref().and_then(|text| text.parse().ok()).unwrap_or_default();
        let intake = self.run_result.state.intake.map(|reading| reading.net);
        let wishes = PlanWishes {
            floor,
            foreseen: self.learned().ranges(intake),
            sessions: self.learned().most_sessions(),
            ..PlanWishes::default()
        };
        Depth::at(self.world, &self.valuation, self.recipe(), &self.run_result, &self.standing, &wishes)?.ahead()
    }

    /// Whether the settings name a scale.
    pub fn has_scale(&self) -> bool {
        self.world.scale().is_ok_and(|setup| setup.is_some())
    }

    /// Answers that the run has no question for so far: kept, and used again if asked.
    pub fn set_aside(&self) -> Vec<&str> {
        let asked = |name: &str| self.asked(name).is_some();
        self.standing.names().filter(|name| !asked(name)).collect()
    }

    /// WEEE Annex VII components that the recipe says are in the unit and no finished step has taken out.
    pub fn still_inside(&self) -> Vec<&str> {
        self.recipe()
            .unit()
            .holds
            .iter()
            .filter(|item| !self.run_result.state.is_clear_of(item))
            .map(String::as_str)
            .collect()
    }

    /// A step's position in the recipe, from 1, and the number of steps.
    pub fn position(&self, step: &str) -> Option<(usize, usize)> {
        let steps = self.recipe().steps();
        steps.iter().position(|known| known.id == step).map(|place| (place + 1, steps.len()))
    }

    /// The session's name; empty in a rehearsal.
    pub fn id(&self) -> &str {
        &self.header.id
    }

    /// What was fixed when the session began.
    pub fn header(&self) -> &SessionHeader {
        &self.header
    }

    /// The grades under which parts sell.
    pub fn grades(&self) -> &GradeTree {
        self.world.host().catalogue().grades()
    }

    /// The hazards that guards name.
    pub fn hazards(&self) -> &HazardBook {
        self.world.host().catalogue().hazards()
    }

    /// The recipe, including steps made up in this session.
    pub fn recipe(&self) -> &Recipe {
        self.run_result.recipe(&self.recipe)
    }

    /// The recipe's file name for the user: what to edit if it is at fault.
    pub fn recipe_file(&self) -> &str {
        self.script.file()
    }

    /// The result of the run.
    pub fn run_result(&self) -> &RunResult {
        &self.run_result
    }

    /// The current answers.
    pub fn standing(&self) -> &CurrentAnswers {
        &self.standing
    }

    /// All recorded entries.
    pub fn entries(&self) -> &[Entry] {
        &self.entries
    }

    /// Yard, day and number format.
    pub fn valuation(&self) -> &Valuation {
        &self.valuation
    }

    /// The unit of a weight typed without one.
    pub fn unit(&self) -> MassUnit {
        self.unit
    }

    /// Whether the session has ended in any way.
    pub fn has_ended(&self) -> bool {
        self.standing.result().is_some() || !matches!(self.run_result.end, End::Waits(_))
    }

    /// Titles of skipped steps.
    pub fn skipped(&self) -> Vec<&str> {
        let fates = self.recipe().steps().iter().zip(&self.run_result.state.fates);
        fates.filter(|(_, fate)| **fate == Fate::Skipped).map(|(step, _)| step.title.as_str()).collect()
    }
}
