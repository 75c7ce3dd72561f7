//! One past session, read back.

use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

use jiff::Timestamp;
use jiff::civil::Date;
use jiff::tz::Offset;
use rust_decimal::prelude::ToPrimitive;

use super::super::haul_of_run::haul_of_run;
use super::archive::{Archive, CompiledRecipe};
use super::then::RanUnder;
use crate::bench::{CORRECTED, FreePart, KEPT, Presence, RunResult, Standing, Unfit};
use crate::market::{Haul, Tally};
use crate::pricing::Valuation;
use crate::quantity::Mass;
use crate::recipe::Recipe;
use crate::script::Script;
use crate::store::journal::SessionHeader;
use crate::world::AppError;

/// A session, and what its recipe computes from its answers.
pub struct Past {
    /// What was fixed when it began.
    pub header: Rc<SessionHeader>,
    /// The current answers in its journal.
    pub(super) recorded: Rc<Standing>,
    /// The texts it last ran under.
    pub(super) ran: RanUnder,
    /// The result stored in its journal; `None` if it is read under another text.
    pub(super) result: Option<Haul>,
    /// What is wrong with the end of its journal.
    pub(super) damage: Option<String>,
    /// The answers it was run over: the recorded ones, and what another text of the recipe had to assume.
    pub standing: Rc<Standing>,
    pub(super) kept: Rc<CompiledRecipe>,
    /// The result of the run.
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

    /// The day it began, in the user's local time.
    pub fn day(&self) -> Option<Date> {
        self.day_of(self.header.started.parse().ok()?)
    }

    /// The moment it ended, or of the last action.
    pub fn last_act(&self) -> Option<Timestamp> {
        self.standing.last_act().parse().ok()
    }

    /// The day it ended, or of the last action.
    pub fn last_day(&self) -> Option<Date> {
        self.last_act().map_or_else(|| self.day(), |moment| self.day_of(moment))
    }

    /// The day of a moment, in the user's local time.
    fn day_of(&self, moment: Timestamp) -> Option<Date> {
        Some(offset(&self.header.offset)?.to_datetime(moment).date())
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

    /// Whether the weight of a part was questioned when typed, and then kept or corrected.
    fn is_meant(&self, part: &FreePart) -> bool {
        let given = self.standing.answer(&format!("{}/{}", part.step, part.part));
        given.is_some_and(|given| matches!(given.origin.as_deref(), Some(KEPT | CORRECTED)))
    }

    /// What came out, ready to be valued.
    pub fn haul(&self, archive: &Archive<'_>) -> Haul {
        let played = || haul_of_run(self.recipe(), &self.run_result, &self.standing, archive.division());
        self.result.clone().unwrap_or_else(played)
    }

    /// Its tally.
    ///
    /// # Errors
    /// As [`Valuation::tally`].
    pub fn tally(&self, archive: &Archive<'_>, valuation: &Valuation) -> Result<Tally, AppError> {
        valuation.tally(archive.world(), &self.haul(archive))
    }

    /// The intake weight in grams, if the unit was weighed.
    pub fn intake(&self) -> Option<f64> {
        grams(self.run_result.state.intake?.net).filter(|grams| *grams > 0.0)
    }
}

/// What comparing and learning need of a session. A [`Past`] takes some hundred thousand bytes, too many to keep
/// thousands.
#[derive(Debug, Clone)]
pub struct SessionSummary {
    /// The session's name.
    pub id: String,
    /// The day it began.
    pub day: Option<Date>,
    /// The intake weight in grams.
    pub intake: Option<f64>,
    parts: BTreeMap<String, Presence>,
    /// Parts whose weight was questioned, and then kept or corrected.
    meant: BTreeSet<String>,
    minutes: BTreeMap<String, f64>,
}

impl From<&Past> for SessionSummary {
    fn from(past: &Past) -> SessionSummary {
        let state = &past.run_result.state;
        SessionSummary {
            id: past.header.id.clone(),
            day: past.day(),
            intake: past.intake(),
            parts: state.parts.iter().map(|part| (part.part.clone(), part.presence)).collect(),
            meant: state.parts.iter().filter(|part| past.is_meant(part)).map(|part| part.part.clone()).collect(),
            minutes: state.minutes.iter().filter_map(|(step, m)| Some((step.clone(), m.get().to_f64()?))).collect(),
        }
    }
}

impl SessionSummary {
    /// What became of a part; `None` if its step was not done.
    pub fn presence(&self, part: &str) -> Option<Presence> {
        self.parts.get(part).copied()
    }

    /// Whether the weight of a part was questioned, and then kept or corrected.
    pub fn is_meant(&self, part: &str) -> bool {
        self.meant.contains(part)
    }

    /// A part's weight in grams; `None` if it was not weighed or did not come out.
    pub fn weight(&self, part: &str) -> Option<f64> {
        match self.presence(part)? {
            Presence::Weighed(reading) => grams(reading.net),
            Presence::TooLight | Presence::Absent => None,
        }
    }

    /// A step's time in minutes; `None` if it was not done.
    pub fn minutes(&self, step: &str) -> Option<f64> {
        self.minutes.get(step).copied()
    }
}

fn grams(mass: Mass) -> Option<f64> {
    mass.grams().to_f64()
}

/// The UTC offset in a journal, `-05:00`.
fn offset(text: &str) -> Option<Offset> {
    let (sign, digits) =
        if let Some(digits) = text.strip_prefix('-') { (-1, digits) } else { (1, text.trim_start_matches('+')) };
    let (hours, minutes) = digits.split_once(':')?;
    let seconds = hours.parse::<i32>().ok()? * 3600 + minutes.parse::<i32>().ok()? * 60;
    Offset::from_seconds(sign * seconds).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn offsets_are_read_either_way() {
        assert_eq!(offset("-05:30"), Offset::from_seconds(-19_800).ok());
        assert_eq!(offset("+01:00"), Offset::from_seconds(3600).ok());
        assert_eq!(offset("soon"), None);
    }
}
