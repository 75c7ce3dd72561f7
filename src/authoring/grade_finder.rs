//! The grade finder at work: observations so far, candidates, and what to test next.

use rust_decimal::prelude::ToPrimitive;

use crate::finder::{Finder, Measured, Next, Ranked, SeenSigns, Test};
use crate::naming::suggest;
use crate::quantity::{Currency, MassUnit, Notation};
use crate::tool::{GivenInput, Input, InputKind, Rules, Value, value_of};
use crate::world::{AppError, World, shipped};

/// A candidate with at least this probability is named, and its cautions are shown even if likelier ones have none.
pub const NAMED_FROM: f64 = 0.01;
/// The answer for not knowing.
pub const CANNOT_TELL: &str = "cannot tell";

/// One test that was made.
#[derive(Debug, Clone, PartialEq)]
struct Made {
    test: usize,
    seen: Option<SeenSigns>,
    words: String,
}

/// A thing being graded.
pub struct GradeFinder<'w> {
    world: &'w World,
    finder: Finder,
    notation: Notation,
    unit: MassUnit,
    currency: Currency,
    made: Vec<Made>,
}

impl World {
    /// A finder without observations; weights and numbers are read as at this yard.
    ///
    /// # Errors
    /// The yard or a setting cannot be read.
    pub fn grade_finder(&self, yard: Option<&str>) -> Result<GradeFinder<'_>, AppError> {
        let (_, yard) = self.yard(&self.yard_id(yard)?)?;
        let (notation, unit) = (self.notation(&yard), self.unit(&yard)?);
        Ok(GradeFinder {
            world: self,
            finder: shipped::finder(),
            notation,
            unit,
            currency: yard.currency(),
            made: Vec::new(),
        })
    }
}

impl GradeFinder<'_> {
    /// The tests and candidates.
    pub fn finder(&self) -> &Finder {
        &self.finder
    }

    /// A test by its id.
    ///
    /// # Errors
    /// No such test; the error suggests similar names.
    pub fn test(&self, id: &str) -> Result<usize, AppError> {
        self.finder.test(id).ok_or_else(|| {
            let ids = self.finder.tests().iter().map(|test| test.id.as_str());
            AppError::Name(format!("there is no test `{}`; {}", id.escape_debug(), suggest(id, ids)))
        })
    }

    /// Takes a test's answer: one of its answers, its number or beginning, or that one cannot tell. Returns it as
    /// understood.
    ///
    /// # Errors
    /// What is wrong with it.
    pub fn answer(&mut self, test: usize, text: &str) -> Result<String, String> {
        let mut options = self.finder.tests()[test].answers.clone();
        options.push(CANNOT_TELL.to_owned());
        let known = options.clone();
        let read = self.read("answer", InputKind::Choice { options }, text)?;
        let Value::Text(words) = read.value else { return Err("that is no answer".to_owned()) };
        let place = known.iter().position(|option| *option == words).filter(|place| place + 1 < known.len());
        self.keep(test, place.map(|answer| SeenSigns::Answer(test, answer)), words.clone());
        Ok(words)
    }

    /// Takes a density as weight and displaced water, each as people write it. Returns it as understood.
    ///
    /// # Errors
    /// What is wrong with either.
    pub fn measure(&mut self, test: usize, weight: &str, displaced: &str) -> Result<String, String> {
        let weighed = self.read("weight", InputKind::Weight, weight)?;
        let water = self.read("displaced", InputKind::Number { unit: "ml".to_owned() }, displaced)?;
        let float = |number: Option<rust_decimal::Decimal>| number.and_then(|number| number.to_f64()).unwrap_or(0.0);
        let grams = match weighed.value {
            Value::Weight(mass) => float(Some(mass.grams())),
            _ => 0.0,
        };
        let ml = match water.value {
            Value::Number(number) => float(Some(number)),
            _ => 0.0,
        };
        // The user's scale may be coarser than the digits typed.
        let division = self.world.scale_division().map_err(|error| error.to_string())?;
        let step = float(weighed.step).max(float(division.map(|division| division.grams())));
        let measured = Measured::from_water(grams, step, ml, float(water.step));
        let measured = measured.ok_or("weight and water must both be more than nothing")?;
        if !(0.3..24.0).contains(&measured.density) {
            return Err(format!("{:.3} g/cm³ is no solid's density; check both units", measured.density));
        }
        let words = format!("{:.2} ± {:.2} g/cm³", measured.density, measured.sd);
        self.keep(test, Some(SeenSigns::Density(measured)), words.clone());
        Ok(words)
    }

    /// Leaves a test out.
    pub fn leave_out(&mut self, test: usize) {
        self.keep(test, None, CANNOT_TELL.to_owned());
    }

    /// Undoes the latest answer. Returns its test.
    pub fn back(&mut self) -> Option<usize> {
        self.made.pop().map(|made| made.test)
    }

    fn keep(&mut self, test: usize, seen: Option<SeenSigns>, words: String) {
        self.made.retain(|made| made.test != test);
        self.made.push(Made { test, seen, words });
    }

    fn read(&self, key: &str, kind: InputKind, text: &str) -> Result<GivenInput, String> {
        let input = Input { kind: Some(kind), ..Input::new(key, "", Default::default()) };
        let rules = Rules {
            notation: self.notation,
            unit: self.unit,
            tare: &|name| self.world.container(name),
            grades: self.world.host().catalogue().grades(),
            currency: self.currency,
        };
        value_of(&input, text, &rules)
    }

    fn seen(&self) -> Vec<SeenSigns> {
        self.made.iter().filter_map(|made| made.seen).collect()
    }

    /// The tests that were made, with what was understood.
    pub fn made(&self) -> impl Iterator<Item = (&Test, &str)> {
        self.made.iter().map(|made| (&self.finder.tests()[made.test], made.words.as_str()))
    }

    /// Grades by probability, likeliest first.
    pub fn ranked(&self) -> Vec<Ranked> {
        self.finder.ranked(&self.seen())
    }

    /// Remaining tests, the most informative per minute first.
    pub fn next(&self) -> Vec<Next> {
        let made: Vec<usize> = self.made.iter().map(|made| made.test).collect();
        self.finder.next(&self.seen(), &made)
    }

    /// Relevant hazards: of likely candidates, and of the observations themselves. Their cautions must be shown.
    pub fn hazards(&self) -> Vec<String> {
        let mut hazards = Vec::new();
        for made in &self.made {
            hazards.extend(self.finder.tests()[made.test].shows.get(&made.words).cloned());
        }
        if self.made.iter().any(|made| made.seen.is_some()) {
            let likely = self.ranked().into_iter().filter(|ranked| ranked.probability >= NAMED_FROM);
            hazards.extend(likely.flat_map(|ranked| ranked.hazards));
        }
        let mut known = std::collections::BTreeSet::new();
        hazards.retain(|hazard| known.insert(hazard.clone()));
        hazards
    }
}
