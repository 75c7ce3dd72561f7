//! Runs a bench tool's examples: does each give its stated result, and what does the tool show? A tool's work cannot be
//! derived from its text, so it is described by what its examples show.

use std::collections::BTreeSet;

use super::testing::Difference;
use super::tools::{Answers, ToolAtYard};
use crate::quantity::Notation;
use crate::script::Slowness;
use crate::tool::{Example, GivenInput, Sheet, Tool};
use crate::world::{AppError, World};

/// The result of running a tool's example.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ExampleReport {
    /// What the example shows.
    pub title: String,
    /// The line in the script.
    pub line: usize,
    /// Differences from what it states; empty if there are none.
    pub differences: Vec<Difference>,
}

/// What a tool shows.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct ToolSummary {
    /// Results of its examples, each once: key and label, in order of appearance.
    pub gives: Vec<(String, String)>,
    /// Hazards whose cautions its examples show, by id.
    pub shows: Vec<String>,
    /// Hazards named in its code but shown by no example.
    pub names: Vec<String>,
    /// Catalogue tables in which its examples look up figures.
    pub tables: Vec<String>,
    /// Whether its examples use the yard's prices.
    pub asks_prices: bool,
}

/// All examples of a tool, run.
#[derive(Debug, Clone, Default)]
pub(super) struct Rehearsal {
    pub reports: Vec<ExampleReport>,
    pub sheets: Vec<Sheet>,
}

impl Rehearsal {
    /// What the tool shows. `text` is its script.
    pub fn summary(&self, world: &World, text: &str) -> ToolSummary {
        let mut summary = ToolSummary::default();
        for sheet in &self.sheets {
            sheet.figures.iter().for_each(|figure| {
                if summary.gives.iter().all(|(key, _)| *key != figure.key) {
                    summary.gives.push((figure.key.clone(), figure.label.clone()));
                }
            });
            add_new(&mut summary.shows, sheet.cautions.iter());
            add_new(&mut summary.tables, sheet.rows.iter().map(|row| &row.table));
            summary.asks_prices |= !sheet.prices.is_empty();
        }
        let named = named_hazards(world, text);
        summary.names = named.into_iter().filter(|id| !summary.shows.contains(id)).collect();
        summary
    }
}

fn add_new<'a>(known: &mut Vec<String>, more: impl Iterator<Item = &'a String>) {
    for text in more {
        if !known.contains(text) {
            known.push(text.clone());
        }
    }
}

/// The hazards that the code of a script names, by id.
pub(super) fn named_hazards(world: &World, text: &str) -> BTreeSet<String> {
    let texts = world.host().texts(text);
    let hazards = world.host().catalogue().hazards();
    hazards.ids().filter(|id| texts.contains(*id)).map(str::to_owned).collect()
}

impl World {
    /// Runs every example of a tool, without the user's settings, quotes and edited copies of shipped yards, so that
    /// the result is the same everywhere.
    ///
    /// # Errors
    /// As [`World::tool`]; the script fails, or is too slow.
    pub fn test_tool(&self, id: &str) -> Result<Vec<ExampleReport>, AppError> {
        self.report_if_changed(&self.find(self.shelf_of_tool(id), id)?);
        Ok(self.for_test(None).rehearse(id)?.reports)
    }

    /// What a tool shows in its examples; empty if those cannot be run.
    ///
    /// # Errors
    /// There is no such tool.
    pub fn summary(&self, id: &str) -> Result<ToolSummary, AppError> {
        let found = self.find(self.shelf_of_tool(id), id)?;
        let apart = self.for_test(None);
        Ok(apart.rehearse(id).unwrap_or_default().summary(&apart, &found.text))
    }

    pub(super) fn rehearse(&self, id: &str) -> Result<Rehearsal, AppError> {
        let (_, tool) = self.tool(id)?;
        let pace = Slowness::start(self.host());
        let mut rehearsal = Rehearsal::default();
        for example in &tool.examples {
            if let Some(why) = pace.trouble_with_few(self.host()) {
                return Err(AppError::Refused(format!("the examples of {id} are left off: {why}")));
            }
            let (differences, sheet) = match self.play_example(id, example)? {
                Ok(sheet) => (differences(example, &sheet), Some(sheet)),
                Err((what, why)) => (vec![failed(&what, why)], None),
            };
            let (title, line) = (example.title.clone(), example.mark.line);
            rehearsal.reports.push(ExampleReport { title, line, differences });
            rehearsal.sheets.extend(sheet);
        }
        Ok(rehearsal)
    }

    /// Runs a tool over the answers of an example, possibly another tool's. If that fails, returns what part of the
    /// example does not fit, and why.
    pub(super) fn play_example(
        &self,
        id: &str,
        example: &Example,
    ) -> Result<Result<Sheet, (String, String)>, AppError> {
        let mut at = match self.tool_at(id, example.yard.as_deref(), None) {
            Err(AppError::Name(why)) if example.yard.is_some() => return Ok(Err(("yard".to_owned(), why))),
            at => at?,
        };
        // An example must not depend on the day, and is written with a decimal point.
        at.till.date = at.till.yard.as_of();
        at.notation = Notation::Point;
        let answers = match answers_of(&at, example) {
            Ok(answers) => answers,
            Err(wrong) => return Ok(Err(wrong)),
        };
        at.run(&answers, at.tool.reads_sessions.then(|| example.sessions.clone())).map(Ok)
    }
}

fn failed(what: &str, why: String) -> Difference {
    Difference { what: what.to_owned(), expected: None, found: Some(why) }
}

/// Where an example's result differs from its statement.
fn differences(example: &Example, sheet: &Sheet) -> Vec<Difference> {
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
    differences
}

fn answers_of(at: &ToolAtYard<'_>, example: &Example) -> Result<Answers, (String, String)> {
    let mut answers = Answers::new();
    for input in &at.tool.inputs {
        let text = example.given.iter().find(|(key, _)| *key == input.key).map(|(_, text)| text);
        let given = match text {
            _ if !at.is_asked(input, &answers) => GivenInput::NOTHING,
            Some(text) => at.read(input, text).map_err(|why| (input.key.clone(), why))?,
            None => at.usual(input).ok_or_else(|| (input.key.clone(), "the example gives no answer".to_owned()))?,
        };
        answers.insert(input.key.clone(), given);
    }
    Ok(answers)
}

/// The cautions that a tool shows over an example's answers; empty if it does not get that far.
pub(super) fn cautions(world: &World, tool: &Tool, example: &Example) -> Vec<String> {
    let played = world.play_example(&tool.id, example);
    played.ok().and_then(Result::ok).map(|sheet| sheet.cautions).unwrap_or_default()
}
