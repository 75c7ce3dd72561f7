//! How a session stands: what it is worth, what lies ahead, what was left out or set aside.

use super::super::depth::{Ahead, Depth, PlanWishes};
use super::super::haul_of_run::haul_of_run;
use super::super::outlook::{Outlook, outlook};
use super::Session;
use crate::bench::{End, Entry, Fate, RunResult, Standing};
use crate::market::{GradeTree, Haul, Tally};
use crate::pricing::Valuation;
use crate::quantity::MassUnit;
use crate::recipe::{HazardBook, Recipe, Step};
use crate::store::journal::SessionHeader;
use crate::world::AppError;

impl Session<'_> {
    /// What came out: as the journal keeps it with the session's end, else as the recipe makes it of the answers.
    ///
    /// # Errors
    /// The settings cannot be read.
    pub fn haul(&self) -> Result<Haul, AppError> {
        if let Some(kept) = self.standing.result().and_then(Haul::from_line) {
            return Ok(kept);
        }
        self.haul_played()
    }

    /// What the recipe makes of the answers.
    ///
    /// # Errors
    /// The settings cannot be read.
    pub fn haul_played(&self) -> Result<Haul, AppError> {
        Ok(haul_of_run(self.recipe(), &self.run_result, &self.standing, self.world.scale_division()?))
    }

    /// The tally of the unit as it stands.
    ///
    /// # Errors
    /// As [`Valuation::tally`].
    pub fn tally(&self) -> Result<Tally, AppError> {
        self.valuation.tally(self.world, &self.haul()?)
    }

    /// What doing a step next is expected to add.
    ///
    /// # Errors
    /// As [`Valuation::tally`].
    pub fn outlook(&self, step: &Step) -> Result<Outlook, AppError> {
        outlook(self.world, &self.valuation, self.recipe(), &self.run_result, &self.standing, self.learned(), step)
    }

    /// What is best from here on, and whether it is worth it. Replanned with what was weighed and the time that was taken.
    ///
    /// # Errors
    /// The recipe cannot be planned, or a value runs out of bounds.
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

    /// Whether a scale is connected by the settings.
    pub fn has_scale(&self) -> bool {
        self.world.scale().is_ok_and(|setup| setup.is_some())
    }

    /// Answers that stand but that the run up to here has no question for: kept, and used again when asked.
    pub fn set_aside(&self) -> Vec<&str> {
        let asked = |name: &str| self.asked(name).is_some();
        self.standing.names().filter(|name| !asked(name)).collect()
    }

    /// Components of WEEE Annex VII that the recipe says the unit holds and no finished step has taken out.
    pub fn still_inside(&self) -> Vec<&str> {
        self.recipe()
            .unit()
            .holds
            .iter()
            .filter(|item| !self.run_result.state.is_clear_of(item))
            .map(String::as_str)
            .collect()
    }

    /// Place of a step among those that the recipe has, from 1, and their number.
    pub fn position(&self, step: &str) -> Option<(usize, usize)> {
        let steps = self.recipe().steps();
        steps.iter().position(|known| known.id == step).map(|place| (place + 1, steps.len()))
    }

    /// The session's name; empty for a rehearsal.
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

    /// The recipe, with the steps that were made up in this session.
    pub fn recipe(&self) -> &Recipe {
        self.run_result.recipe(&self.recipe)
    }

    /// The file of the recipe as people know it: what to edit when it is at fault.
    pub fn recipe_file(&self) -> &str {
        self.script.file()
    }

    /// What the run came to.
    pub fn run_result(&self) -> &RunResult {
        &self.run_result
    }

    /// The answers that stand.
    pub fn standing(&self) -> &Standing {
        &self.standing
    }

    /// Everything that was recorded.
    pub fn entries(&self) -> &[Entry] {
        &self.entries
    }

    /// Yard, day and notation.
    pub fn valuation(&self) -> &Valuation {
        &self.valuation
    }

    /// The unit of a weight typed without one.
    pub fn unit(&self) -> MassUnit {
        self.unit
    }

    /// Whether the session has come to an end of any kind.
    pub fn has_ended(&self) -> bool {
        self.standing.result().is_some() || !matches!(self.run_result.end, End::Waits(_))
    }

    /// Steps that were left out, by title.
    pub fn skipped(&self) -> Vec<&str> {
        let fates = self.recipe().steps().iter().zip(&self.run_result.state.fates);
        fates.filter(|(_, fate)| **fate == Fate::Skipped).map(|(step, _)| step.title.as_str()).collect()
    }
}
