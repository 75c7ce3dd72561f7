//! The state of the unit: parts freed, grades changed, time spent, messages shown.

use std::collections::BTreeSet;

use crate::quantity::{Estimate, Mass, Minutes};
use crate::recipe::{Freed, Recipe, Step, StepCost};

use super::question::{Answer, Reading};

/// How a part came out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
pub enum Presence {
    /// Weighed.
    Weighed(Reading),
    /// There, but too light for the scale.
    TooLight,
    /// Not in this unit.
    Absent,
}

/// A part that is out of its host.
#[derive(Debug, Clone, PartialEq)]
pub struct FreePart {
    /// The part's name.
    pub part: String,
    /// The step that freed it.
    pub step: String,
    /// The opened part it was in; `None` for the unit itself.
    pub host: Option<String>,
    /// The grade the recipe expected.
    pub foreseen: String,
    /// Its current grade: a check at the bench may have found another.
    pub grade: String,
    /// Its weight.
    pub presence: Presence,
    /// The weight the recipe expected.
    pub expected: Estimate<Mass>,
    /// The grade of what remains of it, once a step has opened it; `None` while it is whole.
    pub opened: Option<String>,
}

/// The state of one step.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fate {
    /// Not begun.
    Open,
    /// Postponed, this many times.
    Later(u32),
    /// Begun but not finished.
    Begun,
    /// Done.
    Done,
    /// Left out.
    Skipped,
}

/// A message to the user between questions.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Said {
    /// How many questions had been answered before it.
    pub after: usize,
    /// The text.
    pub text: String,
}

/// The state of the unit so far.
#[derive(Debug, Clone, Default)]
pub struct UnitState {
    /// The weight as it came; `None` until it is known, and if it stays unknown.
    pub intake: Option<Reading>,
    /// The grade of the unit's remainder.
    pub grade: String,
    /// Parts out of their hosts, in the order they came out.
    pub parts: Vec<FreePart>,
    /// The state of each step, in recipe order.
    pub fates: Vec<Fate>,
    /// The time of each finished step.
    pub minutes: Vec<(String, Minutes)>,
    /// Consumables used up.
    pub costs: Vec<StepCost>,
    /// Messages shown.
    pub said: Vec<Said>,
    /// The unit's final weight, if it was weighed at the end.
    pub remainder: Option<Reading>,
    /// WEEE Annex VII items that are out.
    pub removed: Vec<String>,
    /// WEEE Annex VII items that were looked for and are not in this unit.
    pub not_held: Vec<String>,
    /// The current step, by index.
    pub current: Option<usize>,
    regrades: Vec<(String, String)>,
    lacking: Vec<String>,
    touched: BTreeSet<(Option<usize>, String, Option<String>)>,
}

impl UnitState {
    /// The unit untouched.
    pub fn untouched(recipe: &Recipe) -> UnitState {
        UnitState {
            intake: None,
            grade: recipe.unit().whole_grade.clone(),
            parts: Vec::new(),
            fates: vec![Fate::Open; recipe.steps().len()],
            minutes: Vec::new(),
            costs: Vec::new(),
            said: Vec::new(),
            remainder: None,
            removed: Vec::new(),
            not_held: Vec::new(),
            current: None,
            regrades: Vec::new(),
            lacking: Vec::new(),
            touched: BTreeSet::new(),
        }
    }

    /// A free part by name.
    pub fn part(&self, name: &str) -> Option<&FreePart> {
        self.parts.iter().find(|part| part.part == name)
    }

    /// Whether a part is out and available.
    pub fn is_at_hand(&self, name: &str) -> bool {
        self.part(name).is_some_and(|part| part.presence != Presence::Absent)
    }

    /// Changes a part's grade: now if it is out, else as soon as the current step frees it.
    pub fn regrade(&mut self, part: &str, grade: &str) {
        self.touched.insert((self.current, part.to_owned(), Some(grade.to_owned())));
        match self.parts.iter_mut().find(|free| free.part == part) {
            Some(free) => free.grade = grade.to_owned(),
            None => self.regrades.push((part.to_owned(), grade.to_owned())),
        }
    }

    /// The grade assigned to a part before it came out, if any.
    pub fn regraded(&self, part: &str) -> Option<&str> {
        self.regrades.iter().rev().find(|(known, _)| known == part).map(|(_, grade)| grade.as_str())
    }

    /// The grades assigned to parts before they came out.
    pub fn regrades(&self) -> impl Iterator<Item = &str> {
        self.regrades.iter().map(|(_, grade)| grade.as_str())
    }

    /// Marks a part as not in this unit: its weight is not asked for.
    pub fn lacks(&mut self, part: &str) {
        self.touched.insert((self.current, part.to_owned(), None));
        self.lacking.push(part.to_owned());
    }

    /// Whether a part was marked as not in this unit.
    pub fn is_lacking(&self, part: &str) -> bool {
        self.lacking.iter().any(|known| known == part)
    }

    /// The parts that a step's work, by index, has graded (with the grade) or marked as not in this unit (with `None`),
    /// whether or not that changed anything.
    pub fn touched_by(&self, place: usize) -> impl Iterator<Item = (&str, Option<&str>)> {
        let own = self.touched.iter().filter(move |(at, ..)| *at == Some(place));
        own.map(|(_, part, grade)| (part.as_str(), grade.as_deref()))
    }

    /// Whether a WEEE Annex VII item is out, or was never in.
    pub fn is_clear_of(&self, item: &str) -> bool {
        self.removed.iter().chain(&self.not_held).any(|known| known == item)
    }

    /// Ends the frame of made-up steps: their time and costs are their own.
    pub(super) fn close_frame(&mut self, place: usize) {
        self.fates[place] = Fate::Done;
        self.current = None;
    }

    /// Takes a part out of its host, with the answer to its weight question.
    pub(super) fn free(&mut self, step: &Step, freed: &Freed, answer: &Answer) {
        let presence = match answer {
            Answer::Weight(reading) => Presence::Weighed(*reading),
            Answer::TooLight => Presence::TooLight,
            _ => Presence::Absent,
        };
        let regraded = self.regraded(&freed.part).map(str::to_owned);
        self.parts.push(FreePart {
            part: freed.part.clone(),
            step: step.id.clone(),
            host: step.opens.clone(),
            foreseen: freed.grade.clone(),
            grade: regraded.unwrap_or_else(|| freed.grade.clone()),
            presence,
            expected: freed.expected,
            opened: None,
        });
    }

    /// Books a step as done: its costs, what it removes, and what it makes of its remainder.
    pub(super) fn finish_step(&mut self, place: usize, step: &Step, minutes: Minutes) {
        self.fates[place] = Fate::Done;
        self.current = None;
        self.minutes.push((step.id.clone(), minutes));
        self.book(step);
    }

    /// What a finished step used up, took out, and made of the remainder.
    fn book(&mut self, step: &Step) {
        self.costs.extend(step.costs.iter().cloned());
        self.removed.extend(step.removes.iter().cloned());
        match &step.opens {
            None => {
                if let Some(rest) = &step.rest {
                    self.grade = rest.grade.clone();
                }
            }
            Some(host) => {
                if let Some(free) = self.parts.iter_mut().find(|free| free.part == *host) {
                    let now = free.opened.clone().unwrap_or_else(|| free.grade.clone());
                    free.opened = Some(step.rest.as_ref().map_or(now, |rest| rest.grade.clone()));
                }
            }
        }
    }

    /// Assumes the usual weight for an unweighed unit.
    pub fn imagine_intake(&mut self, usual: Mass) {
        self.intake.get_or_insert(Reading { net: usual, pieces: 1, resolution: Mass::ZERO });
    }

    /// Assumes a step done, its parts as heavy as `expected` says. For what-if only, never recorded.
    pub fn imagine_done(&mut self, step: &Step, expected: impl Fn(&Freed) -> Mass) {
        for freed in &step.frees {
            if self.part(&freed.part).is_none() && !self.is_lacking(&freed.part) {
                let reading = Reading { net: expected(freed), pieces: 1, resolution: Mass::ZERO };
                self.free(step, freed, &Answer::Weight(reading));
            }
        }
        self.book(step);
    }

    /// The total mass of weighed parts from `host`.
    pub fn freed_from(&self, host: Option<&str>) -> Mass {
        let weighed =
            self.parts.iter().filter(|part| part.host.as_deref() == host).filter_map(|part| match part.presence {
                Presence::Weighed(reading) => Some(reading.net),
                Presence::TooLight | Presence::Absent => None,
            });
        // Each reading is far below the limit, and a recipe frees at most a few thousand parts.
        Mass::sum(weighed).unwrap_or(Mass::ZERO)
    }
}
