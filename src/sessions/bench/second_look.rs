//! A second look at weights: what the user's other sessions predict, what looks like a slip, whether everything adds
//! up.

use rust_decimal::prelude::ToPrimitive;

use super::super::balance::{BalanceWithSlips, Grounds, balance};
use super::super::doubt::{Doubt, SoFar, Typed, doubt, reading};
use super::super::haul_of_run::resolution;
use super::super::history::{Archive, Foreseen, Learned};
use super::{Change, Session};
use crate::bench::{Answer, Ask, CORRECTED, Presence, Question, Reading, Weighing};
use crate::quantity::{Mass, Weighed, WeighingRules, weigh};
use crate::world::AppError;

impl Session<'_> {
    /// Why a typed weight looks like a slip, and what was probably meant; `None` if it is plausible or not a weight.
    pub fn doubt(&self, typed: &str) -> Option<Doubt> {
        let question = self.question()?;
        let Ask::Weight { expected: Some(range), what } = &question.ask else { return None };
        // A remainder by difference sets no expectation: whether it closes the balance is reported at the end.
        if *what == Weighing::Remainder || !matches!(self.understand(typed), Ok(Answer::Weight(_))) {
            return None;
        }
        let container = |name: &str| self.world.container(name);
        let rules = WeighingRules { notation: self.valuation.notation, unit: self.unit, tare: &container };
        let weighed = weigh(typed, &rules).ok()?;
        let state = &self.run_result.state;
        let intake = state.intake.map(|reading| reading.net);
        let least_sd = range.usual().grams().to_f64()? * 0.01;
        let shown = self.foreseen(question).map_or(*range, |foreseen| foreseen.weight);
        doubt(&Typed {
            expected: (shown, self.learned().uncertain(&question.key, range, intake, least_sd.max(0.1))?),
            tares: &self.tares(),
            so_far: self.weighed_so_far(question, &weighed),
            shown_in: (self.unit, self.valuation.notation),
            weighed,
        })
    }

    /// What came out of the whole that the question's part sits in, using this weight for the question's current one.
    fn weighed_so_far(&self, question: &Question, weighed: &Weighed) -> Option<SoFar> {
        let (name, whole) = self.whole_of(question)?;
        let division = self.world.scale_division().ok()?;
        let known = |net, typed| reading(net, resolution(typed, division));
        let others = self.beside(question).map(|(_, reading)| known(reading.net, reading.resolution));
        let parts = others.chain([known(weighed.net, weighed.resolution)]).collect::<Option<_>>()?;
        Some(SoFar { name, whole: known(whole.net, whole.resolution)?, parts })
    }

    /// What the question's part sits in (the unit, or the part that the step opens): its display name and weight.
    fn whole_of(&self, question: &Question) -> Option<(String, Reading)> {
        let state = &self.run_result.state;
        // Use the recipe as extended: steps made up in this session exist only there.
        match self.recipe().step(&question.step)?.opens.as_deref() {
            None => Some(("the whole unit".to_owned(), state.intake?)),
            Some(part) => match state.part(part)?.presence {
                Presence::Weighed(reading) => Some((part.to_owned(), reading)),
                Presence::TooLight | Presence::Absent => None,
            },
        }
    }

    /// The other weighed parts from the same whole as the question's part.
    fn beside(&self, question: &Question) -> impl Iterator<Item = (&str, Reading)> {
        let host = self.recipe().step(&question.step).and_then(|step| step.opens.clone());
        let key = question.key.clone();
        let others = self.run_result.state.parts.iter().filter(move |part| part.host == host && part.part != key);
        others.filter_map(|part| match part.presence {
            Presence::Weighed(reading) => Some((part.part.as_str(), reading)),
            Presence::TooLight | Presence::Absent => None,
        })
    }

    /// How much has come out of a part's whole once the question that weighs the part is answered: the whole's name,
    /// what is out, and what the whole weighed. `None` for any other question, or if either was not weighed.
    pub fn out_so_far(&self, question: &Question) -> Option<(String, Mass, Mass)> {
        let Ask::Weight { what: Weighing::Part, .. } = &question.ask else { return None };
        let (name, whole) = self.whole_of(question)?;
        let Presence::Weighed(this) = self.run_result.state.part(&question.key)?.presence else { return None };
        let out = Mass::sum(self.beside(question).map(|(_, reading)| reading.net).chain([this.net])).ok()?;
        Some((name, out, whole.net))
    }

    /// What is left of the whole before the question's part is weighed: the whole's name, and the weight. `None` if the
    /// whole was not weighed, or more came out of it than it weighed.
    pub fn left_of_whole(&self, question: &Question) -> Option<(String, Mass)> {
        let (name, whole) = self.whole_of(question)?;
        let out = Mass::sum(self.beside(question).map(|(_, reading)| reading.net)).ok()?;
        whole.net.minus(out).ok().filter(|left| !left.is_negative()).map(|left| (name, left))
    }

    /// The containers in the settings, in grams.
    fn tares(&self) -> Vec<f64> {
        let known = self.world.config.containers.keys().filter_map(|name| self.world.container(name));
        known.filter_map(|mass| mass.grams().to_f64()).collect()
    }

    /// What the user's other sessions of this recipe say; read on first use. Empty in a rehearsal.
    pub fn learned(&self) -> &Learned {
        self.learned.get_or_init(|| {
            let learn = |archive: Archive<'_>| Learned::from(&archive, &self.recipe, &self.header.id);
            // An unreadable folder teaches nothing; the fault shows wherever it matters.
            Archive::new(self.world).and_then(learn).unwrap_or_default()
        })
    }

    /// What the user's sessions predict for the part that a question weighs; `None` before the first one.
    pub fn foreseen(&self, question: &Question) -> Option<Foreseen> {
        let Ask::Weight { what: Weighing::Part, .. } = &question.ask else { return None };
        let intake = self.run_result.state.intake.map(|reading| reading.net);
        self.learned().foresee(&question.key, intake)
    }

    /// The question with the range predicted by the user's sessions instead of the recipe's.
    pub fn informed(&self, question: &Question) -> Question {
        let mut informed = question.clone();
        if let (Some(foreseen), Ask::Weight { expected, .. }) = (self.foreseen(question), &mut informed.ask) {
            *expected = Some(foreseen.weight);
        }
        informed
    }

    /// Whether the weights add up, which one to check first, and which slip explains them; `None` until the unit and
    /// the remainder are weighed.
    pub fn balance(&self) -> Option<BalanceWithSlips> {
        let container = |name: &str| self.world.container(name);
        let rules = WeighingRules { notation: self.valuation.notation, unit: self.unit, tare: &container };
        balance(
            &self.run_result.state,
            &Grounds {
                learned: self.learned(),
                tares: self.tares(),
                division: self.world.scale_division().ok()?,
                typed: &|question| weigh(&self.standing.answer(question)?.typed, &rules).ok(),
                notation: self.valuation.notation,
            },
        )
    }

    /// Replaces an earlier answer with what was meant.
    ///
    /// # Errors
    /// As [`Session::answer`].
    pub fn correct(&mut self, question: &str, typed: &str) -> Result<Change, AppError> {
        self.go_back_to(question);
        self.answer(typed, Some(CORRECTED))
    }

    /// Goes back to an answered question; its old answer becomes the default. Returns whether there is such a question.
    pub fn go_back_to(&mut self, question: &str) -> bool {
        let found = self.asked(question).is_some();
        if found {
            self.revisited = Some(question.to_owned());
        }
        found
    }
}
