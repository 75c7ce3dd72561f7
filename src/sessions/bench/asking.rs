//! The current question: its default, how a text would be understood, taking an answer, going back.

use std::rc::Rc;

use super::super::haul_of_run::haul_of_run;
use super::super::timing::measured;
use super::{Change, Session};
use crate::bench::{Answer, Ask, Asked, Entry, Kind, NotAnAnswer, Question, Weighing, exact, interpret};
use crate::market::Haul;
use crate::naming::suggest;
use crate::quantity::{Minutes, WeighingRules};
use crate::world::AppError;

impl Session<'_> {
    /// The current question: the one being revisited, else the pending one. `None` at the end.
    pub fn question(&self) -> Option<&Question> {
        let revisited = self.revisited.as_ref().and_then(|name| self.asked(name)).map(|asked| &asked.question);
        revisited.or_else(|| self.run_result.waits())
    }

    pub(super) fn asked(&self, name: &str) -> Option<&Asked> {
        self.run_result.asked.iter().find(|asked| asked.question.name() == name)
    }

    /// The default answer as text to show: the old answer of a revisited question, or the obvious one.
    pub fn default_answer(&self) -> Option<String> {
        let question = self.question()?;
        if let Some(asked) = self.revisited.as_ref().and_then(|name| self.asked(name)) {
            let typed = self.standing.answer(&asked.question.name()).map(|given| given.typed.clone());
            // If units or the decimal mark have changed since, the same words would mean something else.
            let still = |typed: &String| self.understand(typed).as_ref() == Ok(&asked.answer);
            return typed.filter(still).or_else(|| Some(self.in_words(asked)));
        }
        match &question.ask {
            Ask::Begin { .. } => Some("do".to_owned()),
            Ask::Minutes { .. } => Some(self.measured(&question.step)?.show(self.valuation.notation)),
            Ask::Weight { what: Weighing::Remainder, .. } if self.run_result.state.intake.is_some() => {
                Some("difference".to_owned())
            }
            _ => None,
        }
    }

    /// An answer as the user would write it now.
    fn in_words(&self, asked: &Asked) -> String {
        match &asked.answer {
            Answer::Weight(reading) => reading.net.show_friendly(self.unit, self.valuation.notation),
            Answer::Number(number) => self.valuation.notation.show(*number),
            Answer::Minutes(minutes) => minutes.show(self.valuation.notation),
            other => exact(&asked.question, other),
        }
    }

    /// The time since the step began, without pauses.
    pub fn measured(&self, step: &str) -> Option<Minutes> {
        measured(&self.entries, step, self.world.clock.now())
    }

    /// Parses an answer to the current question without recording anything.
    ///
    /// # Errors
    /// Why the text is not an answer.
    pub fn understand(&self, typed: &str) -> Result<Answer, NotAnAnswer> {
        let Some(question) = self.question() else {
            return Err(NotAnAnswer::new("nothing is asked any more"));
        };
        let container = |name: &str| self.world.container(name);
        let rules = WeighingRules { notation: self.valuation.notation, unit: self.unit, tare: &container };
        interpret(question, typed, &rules)
    }

    /// Answers the current question: records the answer, then runs on. An empty text takes the default.
    ///
    /// # Errors
    /// The journal cannot be written, or the script fails on the answer, which is then on disk all the same.
    pub fn answer(&mut self, typed: &str, origin: Option<&str>) -> Result<Change, AppError> {
        let Some(question) = self.question().cloned() else {
            return Err(AppError::Refused("nothing is asked any more".into()));
        };
        let default = if typed.trim().is_empty() { self.default_answer() } else { None };
        let kept = self.revisited.as_ref().filter(|_| default.is_some()).and_then(|name| self.asked(name));
        let kept = kept.map(|asked| asked.answer.clone());
        let measured = default.is_some() && kept.is_none() && matches!(question.ask, Ask::Minutes { .. });
        let text = default.unwrap_or_else(|| typed.to_owned());
        let answer = match kept.map_or_else(|| self.understand(&text), Ok) {
            Ok(answer) => answer,
            Err(error) => return Ok(Change::NotTaken(error)),
        };
        let text = text.trim();
        let entry = self.entry(Kind::Answer, Some(&question.name()), Some((text, &exact(&question, &answer))));
        let origin = origin.or(measured.then_some("measured")).map(str::to_owned);
        self.keep(Entry { origin, ..entry })?;
        self.revisited = None;
        self.rerun()?;
        Ok(Change::Answered(answer))
    }

    /// Goes back one question; its old answer becomes the default. Returns its name, or `None` at the first question.
    pub fn back(&mut self) -> Option<String> {
        let place = match &self.revisited {
            Some(name) => self.run_result.asked.iter().position(|asked| asked.question.name() == *name)?,
            None => self.run_result.asked.len(),
        };
        let name = self.run_result.asked.get(place.checked_sub(1)?)?.question.name();
        self.revisited = Some(name.clone());
        Some(name)
    }

    /// Goes back to a question by name.
    ///
    /// # Errors
    /// [`AppError::Name`] if no such question was answered.
    pub fn revisit(&mut self, name: &str) -> Result<(), AppError> {
        if self.asked(name).is_none() {
            let known: Vec<String> = self.run_result.asked.iter().map(|asked| asked.question.name()).collect();
            let hint = suggest(name, known.iter().map(String::as_str));
            return Err(AppError::Name(format!("{} has no answer `{}`; {hint}", self.id(), name.escape_debug())));
        }
        self.revisited = Some(name.to_owned());
        Ok(())
    }

    /// What the session would be worth and ask next if the current question were answered with this text; the current
    /// state if the text is not an answer. Records nothing.
    ///
    /// # Errors
    /// The script fails on the answer.
    pub fn would_be(&self, typed: &str) -> Result<(Option<String>, Haul), AppError> {
        let (Some(question), Ok(answer)) = (self.question(), self.understand(typed)) else {
            return Ok((None, self.haul()?));
        };
        let supposed = Rc::new(self.standing.supposing(&question.name(), &exact(question, &answer)));
        let run_result = self.world.host().run(&self.script, supposed.clone())?;
        let haul = haul_of_run(&self.recipe, &run_result, &supposed, self.world.scale_division()?);
        Ok((run_result.waits().map(Question::name), haul))
    }

    /// Whether the current question is being revisited.
    pub fn is_revisiting(&self) -> bool {
        self.revisited.is_some()
    }
}
