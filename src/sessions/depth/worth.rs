//! The value of a unit with some steps imagined done: the exact figure behind every plan shown.

use std::collections::{BTreeMap, BTreeSet};

use rust_decimal::Decimal;

use super::super::haul_of_run::haul_of_run;
use super::answer::PlanWishes;
use super::fit::Fit;
use crate::bench::{CurrentAnswers, RunResult, UnitState};
use crate::market::{Book, Tally};
use crate::pricing::Valuation;
use crate::quantity::{Estimate, Mass, Minutes, Money};
use crate::recipe::{Freed, Recipe, Step};
use crate::world::{AppError, World};

/// A unit, a yard, and the expected weights of parts still inside.
pub(super) struct Worth<'a> {
    world: &'a World,
    pub valuation: &'a Valuation,
    pub recipe: &'a Recipe,
    run_result: RunResult,
    standing: CurrentAnswers,
    pub scale: Decimal,
    /// Working time relative to the usual.
    pub pace: Decimal,
    foreseen: BTreeMap<String, Estimate<Mass>>,
    fit: Fit,
    weighed: bool,
}

/// Minutes at the usual pace mixed into the measured time, so that a single quick step counts for little.
const USUAL_PACE: Decimal = Decimal::from_parts(20, 0, 0, false, 0);
/// Limits of a believable pace; beyond them, somebody forgot to pause the session.
const SLOWEST_AND_FASTEST: (Decimal, Decimal) =
    (Decimal::from_parts(5, 0, 0, false, 0), Decimal::from_parts(2, 0, 0, false, 1));

impl<'a> Worth<'a> {
    pub fn new(
        world: &'a World,
        valuation: &'a Valuation,
        recipe: &'a Recipe,
        run_result: &RunResult,
        standing: &CurrentAnswers,
        wishes: &PlanWishes,
    ) -> Worth<'a> {
        let mut run_result = run_result.clone();
        let weighed = run_result.state.intake.is_some() || wishes.intake.is_some();
        let usual = recipe.unit().weighs.usual();
        run_result.state.imagine_intake(wishes.intake.unwrap_or(usual));
        let weight = run_result.state.intake.map_or(usual, |reading| reading.net);
        // A heavier unit has heavier parts: expectations scale with the intake.
        let scale = weight.grams().checked_div(usual.grams()).unwrap_or(Decimal::ONE).round_dp(6);
        let foreseen = wishes.foreseen.clone();
        let (pace, standing) = (pace(recipe, &run_result.state), standing.clone());
        let fit = Fit::default();
        let mut worth = Worth { world, valuation, recipe, run_result, standing, scale, pace, foreseen, fit, weighed };
        worth.fit = Fit::new(recipe, &worth.run_result.state, |freed| worth.range(freed).1);
        worth
    }

    /// The expected weight of the unit, until it is weighed.
    pub fn unweighed(&self) -> Option<Estimate<Mass>> {
        (!self.weighed).then(|| self.recipe.unit().weighs)
    }

    /// Whether nothing has come out and the grade is unchanged, so that the unit can be sold as it came.
    pub fn is_whole(&self) -> bool {
        let state = &self.run_result.state;
        state.parts.is_empty() && state.removed.is_empty() && state.grade == self.recipe.unit().whole_grade
    }

    /// Whether a part is out, or these steps take it out.
    pub fn is_out(&self, part: &str, steps: &BTreeSet<usize>) -> bool {
        let frees = |step: &Step| step.frees.iter().any(|freed| freed.part == part);
        self.run_result.state.part(part).is_some() || steps.iter().filter_map(|n| self.step(*n)).any(frees)
    }

    pub fn run_result(&self) -> &RunResult {
        &self.run_result
    }

    pub fn book(&self) -> Book<'_> {
        self.valuation.book(self.world)
    }

    fn step(&self, place: usize) -> Option<&Step> {
        self.recipe.steps().get(place)
    }

    /// Expected weight of a part in this unit.
    pub fn expected(&self, freed: &Freed) -> Mass {
        self.range(freed).1
    }

    /// Low, usual and high weight of a part in this unit: from the user's own sessions, else from the recipe scaled to
    /// the unit's weight; reduced if the weights so far leave no room.
    pub fn range(&self, freed: &Freed) -> (Mass, Mass, Mass) {
        let room = self.fit.share(&freed.part);
        let by = |estimate: &Estimate<Mass>, share: Decimal| {
            (times(estimate.low(), share), times(estimate.usual(), share), times(estimate.high(), share))
        };
        match self.foreseen.get(&freed.part) {
            Some(known) => by(known, room),
            None => by(&freed.expected, self.scale * room),
        }
    }

    /// The tally with these steps imagined done, in order.
    pub fn tally(&self, steps: &[usize]) -> Result<Tally, AppError> {
        let mut run_result = self.run_result.clone();
        for step in steps.iter().filter_map(|place| self.step(*place)) {
            run_result.state.imagine_done(step, |freed| self.expected(freed));
        }
        self.valuation.tally(self.world, &haul_of_run(self.recipe, &run_result, &self.standing, None))
    }

    pub fn net(&self, steps: &[usize]) -> Result<Money, AppError> {
        Ok(self.tally(steps)?.net)
    }

    /// The time of these steps: the usual, at the pace so far.
    pub fn minutes(&self, steps: &[usize]) -> Minutes {
        let times = steps.iter().filter_map(|place| self.step(*place)).map(|step| self.time(step));
        times.fold(Minutes::ZERO, |sum, time| sum.plus(time).unwrap_or(sum))
    }

    /// The time of a step, to a tenth of a minute.
    pub fn time(&self, step: &Step) -> Minutes {
        let usual = step.minutes.usual();
        if self.pace == Decimal::ONE {
            return usual;
        }
        usual.get().checked_mul(self.pace).and_then(|time| Minutes::new(time.round_dp(1)).ok()).unwrap_or(usual)
    }

    /// Parts that some step opens and no finished step has opened yet, with the indices of those steps.
    pub fn openings(&self) -> Vec<(String, Vec<usize>)> {
        let mut openings: BTreeMap<String, Vec<usize>> = BTreeMap::new();
        for (place, step) in self.recipe.steps().iter().enumerate() {
            if let Some(part) = &step.opens {
                openings.entry(part.clone()).or_default().push(place);
            }
        }
        let untouched = |part: &str| self.run_result.state.part(part).is_none_or(|free| free.opened.is_none());
        openings.into_iter().filter(|(part, _)| untouched(part)).collect()
    }

    /// A part's value as it is, what opening it by these steps adds, and their time. `None` if no step frees it.
    pub fn opening(&self, part: &str, steps: &[usize]) -> Result<Option<(Money, Money, Minutes)>, AppError> {
        let frees = |step: &Step| step.frees.iter().any(|freed| freed.part == part);
        let mut before = Vec::new();
        if self.run_result.state.part(part).is_none() {
            let Some(place) = self.recipe.steps().iter().position(frees) else { return Ok(None) };
            before.push(place);
        }
        let as_it_is = self.tally(&before)?;
        let line = as_it_is.lines.iter().find(|line| line.items.iter().any(|item| item.part == part));
        let alone = line.filter(|line| line.items.len() == 1).map(|line| line.amount);
        let alone = alone.unwrap_or(self.part_value(part)?);
        let opened = self.net(&[before.as_slice(), steps].concat())?;
        Ok(Some((alone, minus(opened, as_it_is.net), self.minutes(steps))))
    }

    /// A part's value by itself, at its expected weight.
    fn part_value(&self, part: &str) -> Result<Money, AppError> {
        let nothing = Money::zero(self.valuation.yard.currency());
        let freed = self.recipe.steps().iter().flat_map(|step| &step.frees).find(|freed| freed.part == part);
        let Some(freed) = freed else { return Ok(nothing) };
        let mass = self.expected(freed);
        let priced = self.book().price(&freed.grade, Some(mass));
        Ok(priced.ok().and_then(|priced| priced.price.of(mass, 1).ok()).unwrap_or(nothing))
    }
}

/// A share of a weight, to a hundredth of a gram.
fn times(mass: Mass, share: Decimal) -> Mass {
    let scaled = mass.grams().checked_mul(share).map(|grams| grams.round_dp(2));
    scaled.and_then(|grams| Mass::from_grams(grams).ok()).unwrap_or(mass)
}

/// Time of the finished steps relative to their usual time, to a tenth, with [`USUAL_PACE`] minutes at the usual pace
/// mixed in.
fn pace(recipe: &Recipe, state: &UnitState) -> Decimal {
    let usual = |id: &str| recipe.steps().iter().find(|step| step.id == id).map(|step| step.minutes.usual().get());
    let finished = state.minutes.iter().filter_map(|(id, taken)| Some((taken.get(), usual(id)?)));
    let (taken, usual) = finished.fold((USUAL_PACE, USUAL_PACE), |sum, step| (sum.0 + step.0, sum.1 + step.1));
    taken.checked_div(usual).unwrap_or(Decimal::ONE).round_dp(1).clamp(SLOWEST_AND_FASTEST.1, SLOWEST_AND_FASTEST.0)
}

/// An amount per hour of a time, to the minor unit; `None` if the time is zero.
pub fn per_hour(amount: Money, minutes: Minutes) -> Option<Money> {
    let hourly = amount.amount().checked_mul(Decimal::from(60))?.checked_div(minutes.get())?;
    Money::new(hourly, amount.currency()).ok().map(Money::rounded)
}

pub(super) fn minus(left: Money, right: Money) -> Money {
    // Both come from tallies at one yard; a difference of two bounded amounts is bounded.
    left.minus(right).unwrap_or(Money::zero(left.currency()))
}
