//! Plays assumed answers, with default answers to whatever else is asked, up to the next decision.

use std::collections::BTreeMap;
use std::rc::Rc;

use super::probes::answers;
use super::{PathFacts, Runner};
use crate::bench::{Ask, CurrentAnswers, End, RunResult};
use crate::recipe::{Mark, RecipeFault};
use crate::review::finding::Supposed;

/// More questions in one step than this count as endless. The script host stops a recipe sooner; this holds whatever
/// runs it.
const MAX_QUESTIONS: usize = 400;

/// A run up to the next step that can be begun, or to its end.
pub(super) struct PlayedPath {
    /// The run.
    pub run_result: RunResult,
    /// The script's faults, at which the run ended.
    pub faults: Vec<RecipeFault>,
    /// What the closures remember.
    pub memory: Vec<Option<String>>,
}

impl PlayedPath {
    /// Whether the run waits at a step that can be begun.
    pub fn is_at_junction(&self) -> bool {
        self.faults.is_empty()
            && self.run_result.waits().is_some_and(|question| matches!(question.ask, Ask::Begin { .. }))
    }

    /// The answers from number `from` on, as assumed.
    pub fn answers(&self, from: usize) -> Vec<Supposed> {
        let asked = self.run_result.asked.get(from..).unwrap_or_default();
        asked.iter().map(|asked| Supposed::new(&asked.question, &asked.answer)).collect()
    }
}

/// Plays answers through a runner and remembers the default answer of every question met.
pub(super) struct Player<'a> {
    runner: &'a mut dyn Runner,
    facts: &'a PathFacts<'a>,
    usual: BTreeMap<String, String>,
    /// Runs made so far.
    pub runs: u64,
}

impl<'a> Player<'a> {
    pub fn new(facts: &'a PathFacts<'a>, runner: &'a mut dyn Runner) -> Player<'a> {
        Player { runner, facts, usual: BTreeMap::new(), runs: 0 }
    }

    /// Why no more runs may be made, once the limit is reached.
    pub fn spent(&self) -> Option<String> {
        self.runner.spent()
    }

    /// Whether it is so late that what cannot be finished should be dropped.
    pub fn is_late(&self) -> bool {
        self.runner.is_late()
    }

    /// The most runs allowed.
    pub fn bound(&self) -> u64 {
        self.runner.bound()
    }

    /// Plays the answers, and the default one to every other question except whether to begin a step. `place` is where
    /// a step that asks endlessly is declared.
    pub fn play(&mut self, trail: &[Supposed], forced: &[Supposed], place: Mark) -> PlayedPath {
        for _ in 0..MAX_QUESTIONS {
            let mut played = self.run(trail, forced, place);
            if self.spent().is_some() {
                return played;
            }
            match (&played.run_result.end, played.faults.is_empty()) {
                (End::Waits(question), true) if !matches!(question.ask, Ask::Begin { .. }) => {
                    let usual = answers(question, false, false, self.facts).into_iter().next();
                    let Some(usual) = usual.map(|answer| Supposed::new(question, &answer)) else { return played };
                    if self.usual.insert(usual.name.clone(), usual.exact.clone()) == Some(usual.exact.clone()) {
                        let message =
                            format!("the question `{}` takes no answer: not even `{}`", usual.name, usual.exact);
                        played.faults.push(RecipeFault { mark: place, message, hint: "look at its options".into() });
                        return played;
                    }
                }
                _ => return played,
            }
        }
        let mut played = self.run(trail, forced, place);
        let message = format!("this step asks more than {MAX_QUESTIONS} questions, and always one more");
        let hint = "look for a loop that asks; ask for a count first and stop at it".into();
        played.faults.push(RecipeFault { mark: place, message, hint });
        played
    }

    fn run(&mut self, trail: &[Supposed], forced: &[Supposed], place: Mark) -> PlayedPath {
        self.runs += 1;
        let usual = self.usual.iter().map(|(name, exact)| (name.as_str(), exact.as_str()));
        // Assumed answers come last and so override the defaults.
        let supposed = trail.iter().chain(forced).map(|answer| (answer.name.as_str(), answer.exact.as_str()));
        let reached = self.runner.run(Rc::new(CurrentAnswers::supposed(usual.chain(supposed))));
        let mut faults = reached.faults;
        let run_result = reached.run_result.unwrap_or_else(|| {
            if faults.is_empty() {
                let message = "the script ended before it ran".to_owned();
                faults.push(RecipeFault { mark: place, message, hint: String::new() });
            }
            RunResult::empty()
        });
        PlayedPath { run_result, faults, memory: reached.memory }
    }
}
