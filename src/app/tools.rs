//! Bench tools: read from their scripts, answered, run at a yard, and tested by their own examples.

use std::collections::BTreeMap;

use jiff::civil::Date;

use super::error::AppError;
use super::memory::{Archive, RecipeChoice, Record};
use super::quotes::quotes;
use super::testing::Difference;
use super::world::World;
use crate::quantity::{Mass, MassUnit, Notation};
use crate::script::Script;
use crate::store::Id;
use crate::store::home::Shelf;
use crate::tool::{Example, Given, Input, PastSession, Rules, Sheet, Till, Tool, value_of};

/// A tool at hand: its script, and the yard at which it works.
pub struct ToolAtYard<'w> {
    world: &'w World,
    script: Script,
    /// The tool.
    pub tool: Tool,
    /// The yard.
    pub till: Till,
    /// How numbers are written.
    pub notation: Notation,
    /// The unit of a weight that names none.
    pub unit: MassUnit,
}

/// Answers by the keys of their inputs.
pub type Answers = BTreeMap<String, Given>;

/// What running an example of a tool showed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ExampleReport {
    /// What the example shows.
    pub title: String,
    /// The line in the script.
    pub line: usize,
    /// Where it came out otherwise; empty when all is as it says.
    pub differences: Vec<Difference>,
}

impl World {
    /// A tool by its exact id, with its script.
    ///
    /// # Errors
    /// There is none, or its script is at fault.
    pub fn tool(&self, id: &str) -> Result<(Script, Tool), AppError> {
        let shelf = if self.is_report(id) { Shelf::Reports } else { Shelf::Tools };
        let script = self.script(&self.find(shelf, id)?)?;
        let tool = self.host().tool(&script)?;
        super::world::expect_id(&script, id, &tool.id, tool.mark)?;
        Ok((script, tool))
    }

    /// Whether an id is that of a report and of no tool.
    fn is_report(&self, id: &str) -> bool {
        self.find(Shelf::Tools, id).is_err() && self.find(Shelf::Reports, id).is_ok()
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

    /// Runs every example of a tool. The person's settings, quotes and edited copies of shipped yards are left out, so that
    /// it comes to the same everywhere.
    ///
    /// # Errors
    /// As [`World::tool`].
    pub fn test_tool(&self, id: &str) -> Result<Vec<ExampleReport>, AppError> {
        self.for_test(None).run_examples(id)
    }

    pub(super) fn run_examples(&self, id: &str) -> Result<Vec<ExampleReport>, AppError> {
        let (_, tool) = self.tool(id)?;
        tool.examples.iter().map(|example| self.run_example(id, example)).collect()
    }

    fn run_example(&self, id: &str, example: &Example) -> Result<ExampleReport, AppError> {
        let mut at = self.tool_at(id, example.yard.as_deref(), None)?;
        // An example must come to the same whatever the day is, and is written with a decimal point.
        at.till.date = at.till.yard.as_of();
        at.notation = Notation::Point;
        let report = |differences| ExampleReport { title: example.title.clone(), line: example.mark.line, differences };
        let failed = |what: &str, why: String| Difference { what: what.to_owned(), expected: None, found: Some(why) };
        let answers = match at.answers_of(example) {
            Ok(answers) => answers,
            Err((key, why)) => return Ok(report(vec![failed(&key, why)])),
        };
        let sheet = at.run(&answers, at.tool.reads_sessions.then(|| example.sessions.clone()))?;
        let differences = example.gives.iter().filter_map(|(key, wanted)| {
            let found = sheet.outcome(key, wanted);
            let agrees = found.as_deref() == Some(wanted) || (wanted == "none" && found.is_none());
            (!agrees).then(|| Difference { what: key.clone(), expected: Some(wanted.clone()), found })
        });
        let mut differences: Vec<_> = differences.collect();
        if let Some((key, why)) = &sheet.refused
            && !example.gives.iter().any(|(key, _)| key == "refused")
        {
            differences.push(failed(key, format!("not taken: {why}")));
        }
        Ok(report(differences))
    }
}

impl ToolAtYard<'_> {
    /// Reads an answer as the person writes it.
    ///
    /// # Errors
    /// What is wrong with it.
    pub fn read(&self, input: &Input, text: &str) -> Result<Given, String> {
        self.read_as(input, text, self.notation)
    }

    fn read_as(&self, input: &Input, text: &str, notation: Notation) -> Result<Given, String> {
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

    /// What Enter alone answers: texts of the script are written with a decimal point.
    #[must_use]
    pub fn usual(&self, input: &Input) -> Option<Given> {
        let text = input.usual.as_ref();
        let usual = text.and_then(|text| self.read_as(input, text, Notation::Point).ok());
        usual.or_else(|| input.optional.then_some(Given::NOTHING))
    }

    /// Whether an input is asked, after these answers.
    #[must_use]
    pub fn is_asked(&self, input: &Input, answers: &Answers) -> bool {
        let Some(when) = &input.when else { return true };
        let earlier = self.tool.input(&when.key).zip(answers.get(&when.key));
        let exact = earlier.map(|(earlier, given)| given.value.exact(earlier));
        exact.is_some_and(|exact| when.values.contains(&exact))
    }

    fn answers_of(&self, example: &Example) -> Result<Answers, (String, String)> {
        let mut answers = Answers::new();
        for input in &self.tool.inputs {
            let text = example.given.iter().find(|(key, _)| *key == input.key).map(|(_, text)| text);
            let given = match text {
                _ if !self.is_asked(input, &answers) => Given::NOTHING,
                Some(text) => self.read_as(input, text, Notation::Point).map_err(|why| (input.key.clone(), why))?,
                None => {
                    self.usual(input).ok_or_else(|| (input.key.clone(), "the example gives no answer".to_owned()))?
                }
            };
            answers.insert(input.key.clone(), given);
        }
        Ok(answers)
    }

    /// Works it out. An answer that cannot be stands in [`Sheet::refused`].
    ///
    /// # Errors
    /// The script is at fault.
    pub fn work_out(&self, answers: &Answers) -> Result<Sheet, AppError> {
        let sessions = if self.tool.reads_sessions { Some(past_sessions(self.world)?) } else { None };
        self.run(answers, sessions)
    }

    fn run(&self, answers: &Answers, sessions: Option<Vec<PastSession>>) -> Result<Sheet, AppError> {
        Ok(self.world.host().work_out(&self.script, answers.clone(), &self.till, sessions)?)
    }
}

/// The sessions of the person's folder, oldest first, each valued as it was. One that cannot be read or valued is left out:
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

fn past_session(archive: &Archive<'_>, id: &Id, record: Record) -> Result<PastSession, AppError> {
    let past = archive.play(record, &RecipeChoice::AsRan)?;
    let valuation = archive.as_it_was(&past, &mut Vec::new())?;
    let tally = past.tally(archive, &valuation)?;
    Ok(PastSession {
        name: id.to_string(),
        day: past.day().map(|day| day.to_string()).unwrap_or_default(),
        recipe: past.header.recipe.clone(),
        yard: valuation.yard.id().to_owned(),
        currency: valuation.yard.currency().code().to_owned(),
        net: tally.net.amount(),
        gain: tally.gain.map(|gain| gain.amount()),
        minutes: tally.minutes.get(),
        intake: past.transcript.state.intake.map(|reading| reading.net),
        sample: valuation.yard.is_sample(),
        ended: past.transcript.waits().is_none(),
    })
}
