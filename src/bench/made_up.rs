//! Steps made up at the bench, one after the other, for a unit that no recipe describes.
//!
//! A step declared as made up is a frame: once begun, it asks what is done next until nothing is, and each answer
//! becomes a step of the recipe on the bench, with an id numbered from the frame's (`next-1`, `next-2`, …). Its dangers
//! are named and guarded before work starts; each thing that comes out is named and graded, and guarded according to
//! its grade, before it is loosened and weighed. All of it is stored in answers with keys of their own, so the next run
//! from the start makes up the same steps.
//!
//! Keys of such a step: `what`, `on`, `danger-1` …, `part-1`, `grade-1`, the part's name (its weight), …, `rest`,
//! `minutes`. Keys of the frame, once nothing more is done: `out-1-3` … (whether all of a WEEE Annex VII item is out)
//! and `rest`.

use super::drive::Bench;
use super::interpret::UNIT_ITSELF;
use super::question::{Answer, Ask, NOTHING, Weighing};
use super::run::Halted;
use super::state::Fate;
use crate::naming::Listing;
use crate::quantity::{Estimate, Mass};
use crate::recipe::{Freed, RestGrade, Step};

/// The most made-up steps per session.
const MOST_STEPS: usize = 100;

/// The most hazards, and the most parts, per step.
const MOST_OF_A_STEP: usize = 40;

/// What is left sells as before.
const SAME: &str = "same";

impl Bench {
    /// Asks what is done next, until nothing is; then what became of the unit.
    pub(super) fn make_up(&self, frame: &Step) -> Result<(), Halted> {
        let current = self.run.borrow().state.current;
        for number in 1..=MOST_STEPS {
            let id = format!("{}-{number}", frame.id);
            let text = if number == 1 { "What will you do first?" } else { "What will you do next?" };
            match self.ask(&id, "what", text.into(), Ask::NextStep)? {
                Answer::Text(title) => self.made_up_step(&id, title, frame)?,
                _ => break,
            }
            self.state(|state| state.current = current);
        }
        self.settle(frame)
    }

    /// One made-up step, from its hazards to its minutes.
    fn made_up_step(&self, id: &str, title: String, frame: &Step) -> Result<(), Halted> {
        let step = Step { minutes: frame.minutes, mark: frame.mark, ..Step::new(id, &title) };
        let place = self.revise(|recipe| recipe.add_step(step));
        self.state(|state| {
            state.fates.push(Fate::Begun);
            state.current = Some(place);
        });
        let host = self.worked_on(id)?;
        self.revise(|recipe| recipe.step_at(place).opens.clone_from(&host));
        self.dangers(id, place)?;
        self.parts(id, place)?;
        if let Some(part) = host {
            let text = format!("What is left of `{part}`: under which grade does it sell?");
            let grade = self.listed(id, "rest", text, self.grades.listing(), None)?;
            let rest = RestGrade { grade, better: true, mark: frame.mark };
            self.revise(|recipe| recipe.step_at(place).rest = Some(rest));
        }
        let step = self.recipe().steps()[place].clone();
        let ask = Ask::Minutes { expected: step.minutes };
        if let Answer::Minutes(minutes) = self.ask(id, "minutes", "Done. How long did it take?".into(), ask)? {
            self.state(|state| state.finish_step(place, &step, minutes));
        }
        Ok(())
    }

    /// What the step is done on: a part that is out, or `None` for the unit itself. Not asked while nothing is out.
    fn worked_on(&self, id: &str) -> Result<Option<String>, Halted> {
        let parts = self.state(|state| {
            let out = state.parts.iter().filter(|part| state.is_at_hand(&part.part));
            out.map(|part| part.part.clone()).collect::<Vec<_>>()
        });
        if parts.is_empty() {
            return Ok(None);
        }
        let options = std::iter::once(UNIT_ITSELF.to_owned()).chain(parts).collect();
        match self.ask(id, "on", "What do you work on?".into(), Ask::Choice { options })? {
            Answer::Choice(part) if part != UNIT_ITSELF => Ok(Some(part)),
            _ => Ok(None),
        }
    }

    /// The dangers, one after the other, each guarded at once.
    fn dangers(&self, id: &str, place: usize) -> Result<(), Halted> {
        for number in 1..=MOST_OF_A_STEP {
            let text = if number == 1 { "What can hurt in this step?" } else { "What else can hurt?" };
            let key = format!("danger-{number}");
            let hazard = self.listed(id, &key, text.into(), self.hazards.listing(), Some(NOTHING))?;
            if hazard == NOTHING {
                break;
            }
            self.guard_once(id, place, &hazard)?;
        }
        Ok(())
    }

    /// What comes out: named, graded and guarded before it is loosened, then weighed.
    fn parts(&self, id: &str, place: usize) -> Result<(), Halted> {
        for number in 1..=MOST_OF_A_STEP {
            let text =
                if number == 1 { "What comes out? Name it before you loosen it." } else { "What else comes out?" };
            let taken = self.recipe().steps().iter().flat_map(|step| &step.frees).map(|f| f.part.clone()).collect();
            let answer = self.ask(id, &format!("part-{number}"), text.into(), Ask::NextPart { taken })?;
            let Answer::Text(part) = answer else { break };
            let text = format!("`{part}`: what is it, or what does it look like?");
            let grade = self.listed(id, &format!("grade-{number}"), text, self.grades.listing(), None)?;
            for hazard in self.grades.hazards(&grade) {
                self.guard_once(id, place, hazard)?;
            }
            self.weigh_named(id, place, part, grade)?;
        }
        Ok(())
    }

    fn weigh_named(&self, id: &str, place: usize, part: String, grade: String) -> Result<(), Halted> {
        let ask = Ask::Weight { expected: None, what: Weighing::Part };
        let answer = self.ask(id, &part, format!("Weigh: {part}"), ask)?;
        // Nothing was expected, so the weighed value stands in for the estimate.
        let (weight, figures) = match &answer {
            Answer::Weight(reading) => (reading.net, "weighed in this session"),
            _ => (Mass::ZERO, "not weighed in this session"),
        };
        let freed = Freed {
            part,
            expected: Estimate::exactly(weight),
            grade,
            figures_from: figures.to_owned(),
            mark: self.recipe().steps()[place].mark,
        };
        let step = self.revise(|recipe| {
            recipe.step_at(place).frees.push(freed.clone());
            recipe.steps()[place].clone()
        });
        self.state(|state| state.free(&step, &freed, &answer));
        Ok(())
    }

    /// Asks a guard, once per step.
    fn guard_once(&self, id: &str, place: usize, hazard: &str) -> Result<(), Halted> {
        if self.recipe().steps()[place].guards.iter().any(|known| known == hazard) {
            return Ok(());
        }
        self.revise(|recipe| recipe.step_at(place).guards.push(hazard.to_owned()));
        self.guard(id, hazard)
    }

    /// Once nothing more is done: which items the law lists are out, and what the rest of the unit is now.
    fn settle(&self, frame: &Step) -> Result<(), Halted> {
        let recipe = self.recipe();
        let held = &recipe.unit().holds;
        let inside = held.iter().filter(|item| !self.run.borrow().state.is_clear_of(item)).cloned().collect::<Vec<_>>();
        for item in inside {
            let parts =
                self.state(|state| state.parts.iter().map(|p| (p.part.clone(), p.grade.clone())).collect::<Vec<_>>());
            let such = parts.into_iter().find(|(_, grade)| self.grades.annex_vii(grade).contains(&item.as_str()));
            let Some((part, _)) = such else { continue };
            let key = format!("out-{}", item.replace('.', "-"));
            let text =
                format!("`{part}` is out. Is that all there was of its kind in the unit (WEEE Annex VII {item})?");
            if self.ask(&frame.id, &key, text, Ask::YesNo)? == Answer::Yes(true) {
                self.state(|state| state.removed.push(item));
            }
        }
        if recipe.steps().len() > self.declared {
            let now = self.run.borrow().state.grade.clone();
            let text = format!("What is left of the unit: what does it look like now? `{SAME}`: still {now}");
            let grade = self.listed(&frame.id, "rest", text, self.grades.listing(), Some(SAME))?;
            if grade != SAME {
                self.state(|state| state.grade = grade);
            }
        }
        Ok(())
    }

    /// Asks for a list entry; returns its id, or the word for none.
    fn listed(
        &self,
        step: &str,
        key: &str,
        text: String,
        list: &std::sync::Arc<Listing>,
        or: Option<&str>,
    ) -> Result<String, Halted> {
        let ask = Ask::Listed { list: list.clone(), or: or.map(str::to_owned) };
        match self.ask(step, key, text, ask)? {
            Answer::Choice(id) => Ok(id),
            // No other kind of answer can come back from such a question; nothing is the lesser harm.
            _ => Ok(or.unwrap_or_default().to_owned()),
        }
    }
}
