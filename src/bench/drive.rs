//! Walks the steps of a recipe and asks what every step asks.
//!
//! Order: the unit's weight, the unit's guards; then each open step, in recipe order: whether to do it, its guards, its
//! own work, the weight of each part it frees, its time; at the end, what is left.

use std::cell::RefCell;
use std::rc::Rc;

use super::current_answers::CurrentAnswers;
use super::question::{Answer, Ask, Question, UNIT, Weighing};
use super::run::{End, Halted, RunResult, RunState};
use super::state::{Fate, UnitState};
use crate::market::GradeTree;
use crate::naming::suggest;
use crate::quantity::{Estimate, Mass};
use crate::recipe::{Action, Freed, HazardBook, Recipe, Step};

/// Does a step's own work by calling the closure kept by the script host. It asks through the same run.
pub trait Work {
    /// Performs the work of a step, by the step's work number.
    ///
    /// # Errors
    /// [`Halted`] if a question is pending, the run has ended, or the script failed; the host keeps the failure.
    fn perform(&self, work: usize) -> Result<(), Halted>;
}

/// A recipe on the bench.
///
/// Owns its data, so that a script host can share it with the functions that a script calls.
pub struct Bench {
    recipe: RefCell<Rc<Recipe>>,
    /// Number of steps the recipe declared; later ones were made up at the bench.
    pub(super) declared: usize,
    /// The hazards that guards name.
    pub hazards: Rc<HazardBook>,
    /// The grades under which parts sell.
    pub grades: Rc<GradeTree>,
    /// The run driven by this. Borrowed only for the length of one question.
    pub run: RefCell<RunState>,
}

/// The current step, with its recipe.
pub struct Current {
    recipe: Rc<Recipe>,
    place: usize,
}

impl std::ops::Deref for Current {
    type Target = Step;

    fn deref(&self) -> &Step {
        &self.recipe.steps()[self.place]
    }
}

impl Bench {
    /// A recipe laid on the bench for a run over the current answers.
    pub fn new(
        recipe: Rc<Recipe>,
        hazards: Rc<HazardBook>,
        grades: Rc<GradeTree>,
        standing: Rc<CurrentAnswers>,
    ) -> Bench {
        let run = RefCell::new(RunState::new(standing, UnitState::untouched(&recipe)));
        Bench { declared: recipe.steps().len(), recipe: RefCell::new(recipe), hazards, grades, run }
    }

    /// The current recipe, including what the user made up at the bench.
    pub fn recipe(&self) -> Rc<Recipe> {
        self.recipe.borrow().clone()
    }

    /// Changes the recipe on the bench; the declared one stays as it is.
    pub fn revise<T>(&self, change: impl FnOnce(&mut Recipe) -> T) -> T {
        let mut recipe = self.recipe.borrow_mut();
        self.run.borrow_mut().revised = true;
        change(Rc::make_mut(&mut recipe))
    }

    /// Ends the run and returns its result.
    pub fn close(&self) -> RunResult {
        let mut run = self.run.borrow_mut();
        let revised = run.revised.then(|| self.recipe());
        RunResult { revised, ..run.close() }
    }

    /// Drives the run to its end. The run itself records how it ended.
    pub fn drive(&self, work: &dyn Work) {
        // A halt is not a failure: the run has recorded why it ended.
        let _halted = self.walk(work);
    }

    fn walk(&self, work: &dyn Work) -> Result<(), Halted> {
        self.intake()?;
        for hazard in &self.recipe().unit().guards {
            self.guard(UNIT, hazard)?;
        }
        while let Some(place) = self.next_step() {
            self.step(place, work)?;
        }
        self.remainder()
    }

    pub(super) fn ask(&self, step: &str, key: &str, text: String, ask: Ask) -> Result<Answer, Halted> {
        self.run.borrow_mut().ask(Question { step: step.to_owned(), key: key.to_owned(), text, ask })
    }

    pub(super) fn state<T>(&self, change: impl FnOnce(&mut UnitState) -> T) -> T {
        change(&mut self.run.borrow_mut().state)
    }

    fn intake(&self) -> Result<(), Halted> {
        let ask = Ask::Weight { expected: Some(self.recipe().unit().weighs), what: Weighing::Intake };
        if let Answer::Weight(reading) =
            self.ask(UNIT, "intake", "What does the whole unit weigh, as it came?".into(), ask)?
        {
            self.state(|state| state.intake = Some(reading));
        }
        Ok(())
    }

    /// The weight of what is left is asked only if the intake is known or needed: it closes the balance.
    fn remainder(&self) -> Result<(), Halted> {
        let expected = self.state(|state| {
            let left = state.intake?.net.minus(state.freed_from(None)).ok()?;
            (!left.is_negative()).then(|| Estimate::exactly(left))
        });
        let ask = Ask::Weight { expected, what: Weighing::Remainder };
        if let Answer::Weight(reading) =
            self.ask(UNIT, "remainder", "What does all that is left of the unit weigh?".into(), ask)?
        {
            self.state(|state| state.remainder = Some(reading));
        }
        Ok(())
    }

    /// The first open step whose prerequisites hold; postponed steps come after all others, least often postponed
    /// first.
    fn next_step(&self) -> Option<usize> {
        let run = self.run.borrow();
        let recipe = self.recipe();
        let open = |place: &usize| is_open(&recipe, &run.state, *place);
        let put_off = |place: usize| if let Fate::Later(times) = run.state.fates[place] { times } else { 0 };
        let places = 0..recipe.steps().len();
        let first = places.clone().filter(|place| put_off(*place) == 0).find(open);
        first.or_else(|| places.filter(open).min_by_key(|&place| (put_off(place), place)))
    }

    fn step(&self, place: usize, work: &dyn Work) -> Result<(), Halted> {
        let recipe = self.recipe();
        let step = &recipe.steps()[place];
        self.state(|state| state.current = Some(place));
        if self.begin(place, step)? {
            for hazard in &step.guards {
                self.guard(&step.id, hazard)?;
            }
            if let Some(number) = step.work {
                self.run.borrow_mut().at_work = true;
                work.perform(number)?;
                self.run.borrow_mut().at_work = false;
                if self.run.borrow().has_ended() {
                    return Err(Halted);
                }
            }
            if step.made_up {
                self.make_up(step)?;
                self.state(|state| state.close_frame(place));
                return Ok(());
            }
            for freed in &step.frees {
                self.weigh(step, freed)?;
            }
            let ask = Ask::Minutes { expected: step.minutes };
            if let Answer::Minutes(minutes) =
                self.ask(&step.id, "minutes", "Done. How long did it take?".into(), ask)?
            {
                self.state(|state| state.finish_step(place, step, minutes));
            }
        }
        self.state(|state| state.current = None);
        Ok(())
    }

    /// Whether to do the step now. After each postponement it asks under a new key.
    fn begin(&self, place: usize, step: &Step) -> Result<bool, Halted> {
        let (times, may_wait) = {
            let run = self.run.borrow();
            let times = if let Fate::Later(times) = run.state.fates[place] { times } else { 0 };
            let recipe = self.recipe();
            let may_wait = (0..recipe.steps().len()).any(|other| other != place && is_open(&recipe, &run.state, other));
            (times, may_wait)
        };
        let key = if times == 0 { "begin".to_owned() } else { format!("begin-{}", times + 1) };
        let answer = self.ask(&step.id, &key, format!("{}?", step.title), Ask::Begin { may_wait })?;
        let fate = match answer {
            Answer::Do => Fate::Begun,
            Answer::Later => Fate::Later(times + 1),
            _ => Fate::Skipped,
        };
        self.state(|state| state.fates[place] = fate);
        Ok(fate == Fate::Begun)
    }

    /// Asks a guard. Only an answer that the guard accepts leads on.
    pub fn guard(&self, step: &str, hazard: &str) -> Result<(), Halted> {
        let (action, word, text) = match self.hazards.get(hazard) {
            Some(known) => (known.class, known.word.clone().unwrap_or_default(), known.name.clone()),
            // A hazard missing from the catalogue is treated as the gravest: nobody can say what it demands.
            None => (Action::Licensed, String::new(), format!("Unknown hazard `{hazard}`")),
        };
        let ask = Ask::Guard { hazard: hazard.to_owned(), action, word };
        match self.ask(step, &format!("guard.{hazard}"), text, ask)? {
            Answer::Confirmed | Answer::DoneBy(_) => Ok(()),
            Answer::HandOn => Err(self.run.borrow_mut().finish(End::HandedOn(hazard.to_owned()))),
            _ => Err(self.run.borrow_mut().finish(End::Refused(hazard.to_owned()))),
        }
    }

    fn weigh(&self, step: &Step, freed: &Freed) -> Result<(), Halted> {
        if self.state(|state| state.part(&freed.part).is_some()) {
            return Ok(());
        }
        let answer = if self.state(|state| state.is_lacking(&freed.part)) {
            Answer::Absent
        } else {
            let ask = Ask::Weight { expected: Some(freed.expected), what: Weighing::Part };
            self.ask(&step.id, &freed.part, format!("Weigh: {}", freed.part), ask)?
        };
        self.state(|state| state.free(step, freed, &answer));
        Ok(())
    }

    /// The current step, to which a script's questions belong.
    ///
    /// # Errors
    /// A message if there is no current step.
    pub fn current(&self) -> Result<Current, String> {
        let recipe = self.recipe();
        let place = self.run.borrow().state.current.filter(|place| *place < recipe.steps().len());
        place.map(|place| Current { recipe, place }).ok_or_else(|| "no step is at work".to_owned())
    }

    /// Weighs a part that the current step frees, ahead of its turn.
    ///
    /// # Errors
    /// A message if the step frees no such part; inside, [`Halted`] if the question is pending.
    pub fn weigh_now(&self, part: &str) -> Result<Result<Mass, Halted>, String> {
        let step = self.current()?;
        let parts = step.frees.iter().map(|freed| freed.part.as_str());
        let Some(freed) = step.frees.iter().find(|freed| freed.part == part) else {
            return Err(format!("the step `{}` does not free `{part}`; {}", step.id, suggest(part, parts)));
        };
        Ok(self.weigh(&step, freed).map(|()| {
            self.state(|state| match state.part(part).map(|free| free.presence) {
                Some(super::state::Presence::Weighed(reading)) => reading.net,
                _ => Mass::ZERO,
            })
        }))
    }
}

/// Whether a step can be begun: not begun yet, its prerequisites are done, and what it works on is there.
fn is_open(recipe: &Recipe, state: &UnitState, place: usize) -> bool {
    let step = &recipe.steps()[place];
    let is_done = |id: &String| {
        recipe.steps().iter().zip(&state.fates).any(|(known, fate)| known.id == *id && *fate == Fate::Done)
    };
    matches!(state.fates[place], Fate::Open | Fate::Later(_))
        && step.after.iter().all(|group| group.iter().any(is_done))
        && step.opens.as_ref().is_none_or(|part| state.is_at_hand(part))
        && !step.frees.iter().any(|freed| state.part(&freed.part).is_some())
}
