//! A session at the bench: every action is recorded before it is acknowledged.

mod acts;
mod asking;
mod discarding;
mod notes;
mod opening;
mod second_look;
mod standing;

use std::cell::OnceCell;
use std::rc::Rc;

pub use opening::Recovered;

use super::history::Learned;
use crate::bench::{Answer, CurrentAnswers, Entry, Kind, NotAnAnswer, RunResult};
use crate::pricing::Valuation;
use crate::quantity::MassUnit;
use crate::recipe::Recipe;
use crate::script::Script;
use crate::store::journal::{Journal, SessionHeader};
use crate::world::{AppError, World};

/// What an action changed beyond the answer itself.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Change {
    /// The answer as understood.
    Answered(Answer),
    /// The text is not an answer.
    NotTaken(NotAnAnswer),
}

/// A unit on the bench.
pub struct Session<'w> {
    world: &'w World,
    header: SessionHeader,
    script: Script,
    recipe: Rc<Recipe>,
    journal: Option<Journal>,
    entries: Vec<Entry>,
    standing: Rc<CurrentAnswers>,
    run_result: RunResult,
    valuation: Valuation,
    revisited: Option<String>,
    unit: MassUnit,
    learned: OnceCell<Learned>,
    /// Whether it is read as it ran: confirmations stand even if a hazard's class or wording has changed since.
    as_recorded: bool,
}

impl<'w> Session<'w> {
    /// The world the session runs in.
    pub(super) fn world(&self) -> &'w World {
        self.world
    }

    fn assemble(
        world: &'w World,
        header: SessionHeader,
        script: Script,
        recipe: Rc<Recipe>,
        entries: Vec<Entry>,
        valuation: Valuation,
    ) -> Result<Session<'w>, AppError> {
        let standing = Rc::new(CurrentAnswers::of(entries.iter().cloned()));
        let run_result = world.host().run(&script, standing.clone())?;
        let unit = world.unit(&valuation.yard)?;
        Ok(Session {
            world,
            header,
            script,
            recipe,
            journal: None,
            entries,
            standing,
            run_result,
            valuation,
            revisited: None,
            unit,
            learned: OnceCell::new(),
            as_recorded: false,
        })
    }

    /// The next entry, not yet written.
    fn entry(&self, kind: Kind, question: Option<&str>, text: Option<(&str, &str)>) -> Entry {
        Entry {
            seq: self.journal.as_ref().map_or(self.entries.len() as u64 + 1, Journal::next_seq),
            at: self.world.clock.stamp(),
            kind,
            question: question.map(str::to_owned),
            typed: text.map(|(typed, _)| typed.to_owned()),
            understood: text.map(|(_, understood)| understood.to_owned()),
            origin: None,
        }
    }

    /// Writes an entry and only then applies it. Nothing is acknowledged before it is on disk.
    fn record(&mut self, kind: Kind, question: Option<&str>, text: Option<(&str, &str)>) -> Result<(), AppError> {
        self.keep(self.entry(kind, question, text))
    }

    fn keep(&mut self, entry: Entry) -> Result<(), AppError> {
        if let Some(journal) = &mut self.journal {
            journal.append(&entry)?;
        }
        self.entries.push(entry);
        Ok(())
    }

    /// Reruns the recipe over the current answers. If the script fails, the session keeps its last state: the failing
    /// answer stands, and the question can be answered again, undone, or rerun after an edit.
    fn rerun(&mut self) -> Result<(), AppError> {
        self.fold();
        self.run_result = self.world.host().run(&self.script, self.standing.clone())?;
        if self.as_recorded && !self.has_ended() {
            // The session goes on, so prices are today's again.
            self.valuation = opening::valuation(self.world, &self.header, &self.standing, None, None)?;
        }
        self.keep_result()
    }

    /// Stores the result with the session's end, so that no later change of a script or the catalogue removes its goods
    /// from the stock. A demonstration stores nothing.
    fn keep_result(&mut self) -> Result<(), AppError> {
        if self.journal.is_none() || !self.has_ended() {
            return Ok(());
        }
        // Everything in a haul can be written as text.
        let Ok(line) = self.haul()?.to_line() else { return Ok(()) };
        self.keep(Entry { understood: Some(line), ..self.entry(Kind::End, None, None) })?;
        self.fold();
        Ok(())
    }

    /// Refolds the state from the entries so far.
    fn fold(&mut self) {
        let standing = CurrentAnswers::of(self.entries.iter().cloned());
        self.standing = Rc::new(if self.as_recorded { standing.as_recorded() } else { standing });
    }
}
