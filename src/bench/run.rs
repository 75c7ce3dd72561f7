//! One run of a recipe over the current answers.
//!
//! A session is its recipe and its answers: every run starts from the beginning, consumes the answers that fit, and
//! ends at the first question without one, or at the end. So undo, resume, replay and what-if are the same operation.
//!
//! A [`RunState`] is the state that questions change. It is shared between [`super::drive`], which walks the steps, and
//! a step's work, which asks through the script host; neither holds it across a call to the other.

use std::collections::HashSet;
use std::rc::Rc;

use super::current_answers::CurrentAnswers;
use super::interpret::{recall, recall_as_recorded};
use super::question::{Answer, Question};
use super::state::{Said, UnitState};
use crate::recipe::Recipe;

/// The run does not go on. Whoever receives this returns at once, up to the driver.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Halted;

/// A question with its answer.
#[derive(Debug, Clone, PartialEq)]
pub struct Asked {
    /// The question.
    pub question: Question,
    /// The answer.
    pub answer: Answer,
    /// Whether a step's own work asked it, so that the script has seen the answer.
    pub by_work: bool,
}

/// A recorded answer that no question of this run used.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unfit {
    /// The question's name.
    pub name: String,
    /// The exact text of the answer.
    pub exact: String,
    /// Why it was not taken.
    pub why: String,
}

/// Why a run ended.
#[derive(Debug, Clone, PartialEq)]
pub enum End {
    /// A question is pending.
    Waits(Box<Question>),
    /// Every possible step is done or skipped.
    Complete,
    /// The user stopped here.
    Stopped,
    /// A guard was not confirmed: the hazard by id.
    Refused(String),
    /// What is left of the unit goes whole to a licensed person: the hazard by id, or the recipe's reason in words.
    HandedOn(String),
}

/// The state of one run.
#[derive(Debug)]
pub struct RunState {
    standing: Rc<CurrentAnswers>,
    /// The state of the unit so far.
    pub state: UnitState,
    asked: Vec<Asked>,
    names: HashSet<String>,
    unfit: Vec<Unfit>,
    end: Option<End>,
    /// Whether a step's own work is asking.
    pub at_work: bool,
    /// Whether the recipe on the bench differs from the declared one.
    pub(super) revised: bool,
}

impl RunState {
    /// A run over the current answers.
    pub fn new(standing: Rc<CurrentAnswers>, state: UnitState) -> RunState {
        RunState {
            standing,
            state,
            asked: Vec::new(),
            names: HashSet::new(),
            unfit: Vec::new(),
            end: None,
            at_work: false,
            revised: false,
        }
    }

    /// Asks: returns the recorded answer, or halts the run with this question pending.
    ///
    /// # Errors
    /// [`Halted`], now and on every later call, once the run has ended.
    pub fn ask(&mut self, question: Question) -> Result<Answer, Halted> {
        if self.end.is_some() {
            return Err(Halted);
        }
        let name = question.name();
        if let Some(given) = self.standing.answer(&name) {
            let read = if self.standing.as_recorded { recall_as_recorded } else { recall };
            match read(&question, &given.exact) {
                Ok(answer) => {
                    self.names.insert(name);
                    self.asked.push(Asked { question, answer: answer.clone(), by_work: self.at_work });
                    return Ok(answer);
                }
                Err(error) => {
                    let (name, exact) = (name.clone(), given.exact.clone());
                    self.unfit.push(Unfit { name, exact, why: error.to_string() });
                }
            }
        }
        self.names.insert(name);
        let end = if self.standing.stopped() { End::Stopped } else { End::Waits(Box::new(question)) };
        Err(self.finish(end))
    }

    /// Tells the user something, between the previous question and the next.
    pub fn say(&mut self, text: &str) {
        self.state.said.push(Said { after: self.asked.len(), text: text.to_owned() });
    }

    /// Whether this name was already asked in this run: two questions of one name could not keep their answers apart.
    pub fn was_asked(&self, name: &str) -> bool {
        self.names.contains(name)
    }

    /// Ends the run, unless it has ended before.
    pub fn finish(&mut self, end: End) -> Halted {
        self.end.get_or_insert(end);
        Halted
    }

    /// Whether the run has ended.
    pub fn has_ended(&self) -> bool {
        self.end.is_some()
    }

    /// Returns the result of the run and leaves it empty. Answers that no question asked for are listed with those that
    /// did not fit, unless a question is pending: a later question may still use them.
    pub(super) fn close(&mut self) -> RunResult {
        let end = self.end.clone().unwrap_or(End::Complete);
        let mut unfit = std::mem::take(&mut self.unfit);
        if !matches!(end, End::Waits(_)) {
            for name in self.standing.names().filter(|name| !self.names.contains(*name)) {
                let exact = self.standing.answer(name).map(|given| given.exact.clone()).unwrap_or_default();
                unfit.push(Unfit { name: name.to_owned(), exact, why: "nothing asks for it any more".into() });
            }
        }
        RunResult {
            asked: std::mem::take(&mut self.asked),
            unfit,
            end,
            state: std::mem::take(&mut self.state),
            revised: None,
        }
    }
}

/// The result of a run.
#[derive(Debug, Clone)]
pub struct RunResult {
    /// Every question that was answered, in the order asked.
    pub asked: Vec<Asked>,
    /// Answers without a question.
    pub unfit: Vec<Unfit>,
    /// Why it ended.
    pub end: End,
    /// The state of the unit.
    pub state: UnitState,
    /// The recipe as revised in the session, with the made-up steps; `None` if it is as declared.
    pub revised: Option<Rc<Recipe>>,
}

impl RunResult {
    /// The session's final recipe: `declared`, or what became of it at the bench.
    pub fn recipe<'a>(&'a self, declared: &'a Recipe) -> &'a Recipe {
        self.revised.as_deref().unwrap_or(declared)
    }

    /// A run that never began.
    pub fn empty() -> RunResult {
        RunResult {
            end: End::Complete,
            asked: Vec::new(),
            unfit: Vec::new(),
            state: UnitState::default(),
            revised: None,
        }
    }

    /// The pending question, if any.
    pub fn waits(&self) -> Option<&Question> {
        match &self.end {
            End::Waits(question) => Some(question),
            _ => None,
        }
    }
}
