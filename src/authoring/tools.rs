//! Bench tools: read from their scripts, answered, and run at a yard.

use std::collections::BTreeMap;

use jiff::civil::Date;

use crate::pricing::quotes;
use crate::quantity::{Mass, MassUnit, Notation};
use crate::script::Script;
use crate::sessions::history::{Archive, RecipeChoice, SessionRecord};
use crate::store::Id;
use crate::store::home::Shelf;
use crate::tool::{GivenInput, Input, PastSession, Rules, Sheet, Till, Tool, value_of};
use crate::world::{AppError, World};

/// A tool, its script, and the yard at which it works.
pub struct ToolAtYard<'w> {
    world: &'w World,
    script: Script,
    /// The tool.
    pub tool: Tool,
    /// The yard.
    pub till: Till,
    /// The number format.
    pub notation: Notation,
    /// The unit of a weight without one.
    pub unit: MassUnit,
}

/// Answers by input key.
pub type Answers = BTreeMap<String, GivenInput>;

impl World {
    /// A tool by its exact id, with its script.
    ///
    /// # Errors
    /// No such tool, or its script is at fault.
    pub fn tool(&self, id: &str) -> Result<(Script, Tool), AppError> {
        let script = self.script(&self.find(self.shelf_of_tool(id), id)?)?;
        let tool = self.host().tool(&script)?;
        crate::world::expect_id(&script, id, &tool.id, tool.mark)?;
        Ok((script, tool))
    }

    /// Whether an id names a tool rather than only a report.
    #[must_use]
    pub fn is_tool(&self, id: &str) -> bool {
        self.find(Shelf::Tools, id).is_ok()
    }

    /// The shelf of a tool: a tool takes precedence over a report.
    pub(super) fn shelf_of_tool(&self, id: &str) -> Shelf {
        let is_report = !self.is_tool(id) && self.find(Shelf::Reports, id).is_ok();
        if is_report { Shelf::Reports } else { Shelf::Tools }
    }

    /// A tool with the yard at which it works.
    ///
    /// # Errors
    /// As [`World::tool`]; the yard or the quotes cannot be read.
    pub fn tool_at(&self, id: &str, yard: Option<&str>, date: Option<Date>) -> Result<ToolAtYard<'_>, AppError> {
        let (script, tool) = self.tool(id)?;
        let (_, yard) = self.yard(&self.yard_id(yard)?)?;
        let (quotes, _) = quotes(self)?;
        let (notation, unit) = (self.notation(&yard), self.unit(&yard)?);
        let till = Till { yard: yard.into(), quotes: quotes.into(), date: date.unwrap_or_else(|| self.clock.today()) };
        Ok(ToolAtYard { world: self, script, tool, till, notation, unit })
    }
}

impl ToolAtYard<'_> {
    /// Parses an answer as the user writes it.
    ///
    /// # Errors
    /// What is wrong with it.
    pub fn read(&self, input: &Input, text: &str) -> Result<GivenInput, String> {
        self.read_as(input, text, self.notation)
    }

    fn read_as(&self, input: &Input, text: &str, notation: Notation) -> Result<GivenInput, String> {
        let tare = |name: &str| -> Option<Mass> { self.world.container(name) };
        let rules = Rules {
            notation,
            unit: self.unit,
            tare: &tare,
            grades: self.world.host().catalogue().grades(),
            currency: self.till.yard.currency(),
        };
        value_of(input, text, &rules)
    }

    /// The default answer; texts in the script are written with a decimal point.
    #[must_use]
    pub fn usual(&self, input: &Input) -> Option<GivenInput> {
        let text = input.usual.as_ref();
        let usual = text.and_then(|text| self.read_as(input, text, Notation::Point).ok());
        usual.or_else(|| input.optional.then_some(GivenInput::NOTHING))
    }

    /// Whether an input is asked, after these answers.
    #[must_use]
    pub fn is_asked(&self, input: &Input, answers: &Answers) -> bool {
        let Some(when) = &input.when else { return true };
        let earlier = self.tool.input(&when.key).zip(answers.get(&when.key));
        let exact = earlier.map(|(earlier, given)| given.value.exact(earlier));
        exact.is_some_and(|exact| when.values.contains(&exact))
    }

    /// Computes the results. An impossible answer is in [`Sheet::refused`].
    ///
    /// # Errors
    /// The script is at fault.
    pub fn work_out(&self, answers: &Answers) -> Result<Sheet, AppError> {
        let sessions = if self.tool.reads_sessions { Some(past_sessions(self.world)?) } else { None };
        self.run(answers, sessions)
    }

    pub(super) fn run(&self, answers: &Answers, sessions: Option<Vec<PastSession>>) -> Result<Sheet, AppError> {
        Ok(self.world.host().work_out(&self.script, answers.clone(), &self.till, sessions)?)
    }
}

/// All of the user's sessions, oldest first, each valued as it was then. One that cannot be read or valued is left out:
/// `doctor` names it.
fn past_sessions(world: &World) -> Result<Vec<PastSession>, AppError> {
    let archive = Archive::new(world)?;
    let ids = world.home.sessions()?.ids;
    let mut sessions = Vec::new();
    archive.each(&ids, |id, record| {
        sessions.extend(record.and_then(|record| past_session(&archive, id, record)));
        Ok(())
    })?;
    Ok(sessions)
}

fn past_session(archive: &Archive<'_>, id: &Id, record: SessionRecord) -> Result<PastSession, AppError> {
    let past = archive.play(record, &RecipeChoice::AsRan)?;
    let valuation = archive.as_it_was(&past.occasion(), &mut Vec::new())?;
    let tally = past.tally(archive.world(), &valuation)?;
    Ok(PastSession {
        name: id.to_string(),
        day: past.day().map(|day| day.to_string()).unwrap_or_default(),
        recipe: past.header.recipe.clone(),
        yard: valuation.yard.id().to_owned(),
        currency: valuation.yard.currency().code().to_owned(),
        net: tally.net.amount(),
        gain: tally.gain.map(|gain| gain.amount()),
        minutes: tally.minutes.get(),
        intake: past.run_result.state.intake.map(|reading| reading.net),
        sample: valuation.yard.is_sample(),
        ended: past.has_ended(),
    })
}
