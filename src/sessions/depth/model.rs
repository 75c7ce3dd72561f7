//! Converts recipe, weights and yard into the planner's integers.
//!
//! The planner counts integer grams, minutes and cents per kilogram. The units here are 0.01 g, 0.1 min and 1e-8 of the
//! yard's currency, so that fine weights, fine times and prices per pound stay exact enough.

use std::collections::{BTreeMap, BTreeSet};

use rust_decimal::prelude::ToPrimitive;
use rust_decimal::{Decimal, RoundingStrategy};

use super::answer::PlanWishes;
use super::worth::Worth;
use crate::bench::Presence;
use crate::plan::{self, Problem, ProblemData};
use crate::quantity::{Basis, Currency, Mass, Minutes, Money};
use crate::recipe::{Recipe, Step};
use crate::world::AppError;

/// Planner grams per gram.
const GRAMS: i64 = 100;
/// Planner minutes per minute.
const TENTHS: i64 = 10;
/// Planner cents per currency unit, for prices: per kilogram of planner grams, that is 10⁶ to the gram's 10².
const PRICE: i64 = 1_000_000;
/// Planner cents per currency unit, for costs: prices are multiplied by [`GRAMS`], costs are not.
const COST: i64 = PRICE * GRAMS;

/// The planner's problem.
pub(super) struct Model {
    problem: Problem,
}

impl Model {
    /// Builds the problem of a unit at a yard.
    pub fn build(worth: &Worth<'_>, wishes: &PlanWishes) -> Result<Model, AppError> {
        let mut draft = Draft { worth, data: ProblemData::default(), items: BTreeMap::new() };
        draft.items()?;
        draft.hold();
        draft.steps()?;
        let floor = whole(wishes.floor * Decimal::from(COST) / Decimal::from(TENTHS), "the hourly floor")?;
        // The planner wants a multiple of 60, so that a minute is worth an integer.
        draft.data.value_of_time_cents_per_hour = floor.div_euclid(60) * 60;
        draft.data.time_cap_minutes = wishes.minutes.map(tenths).transpose()?;
        let problem = Problem::new(draft.data).map_err(|fault| {
            let names: Vec<String> =
                worth.recipe.steps().iter().enumerate().map(|(n, step)| format!("{n} = {}", step.id)).collect();
            AppError::Refused(format!("this recipe cannot be planned: {fault} (steps: {})", names.join(", ")))
        })?;
        Ok(Model { problem })
    }

    /// The problem.
    pub fn problem(&self) -> &Problem {
        &self.problem
    }

    /// A planner value as money.
    pub fn money(&self, millicents: i64, currency: Currency) -> Money {
        let amount = Decimal::from(millicents) / Decimal::from(plan::MILLICENTS_PER_CENT) / Decimal::from(COST);
        Money::new(amount, currency).unwrap_or(Money::zero(currency)).rounded()
    }
}

/// A problem under construction.
struct Draft<'a, 'w> {
    worth: &'a Worth<'w>,
    data: ProblemData,
    items: BTreeMap<String, usize>,
}

impl Draft<'_, '_> {
    /// The unit is item 0; every part that a step frees is an item in its host.
    fn items(&mut self) -> Result<(), AppError> {
        let state = &self.worth.run_result().state;
        let unit = state.intake.map_or(Mass::ZERO, |reading| reading.net);
        let whole_grade = self.worth.recipe.unit().whole_grade.clone();
        let grade = self.grade(0, &whole_grade, unit)?;
        self.data.items.push(plan::Item { id: 0, host: None, mass_g: grams(unit)?, grade: Some(grade) });
        let mut waiting: Vec<&Step> = self.worth.recipe.steps().iter().collect();
        // A host must become an item before its contents; recipes are small, so passes are cheap.
        while let Some(at) = waiting.iter().position(|step| self.host(step).is_some()) {
            let step = waiting.remove(at);
            let host = self.host(step).unwrap_or(0);
            for freed in &step.frees {
                match self.items.get(&freed.part) {
                    None => {
                        let id = self.data.items.len();
                        self.items.insert(freed.part.clone(), id);
                        let mass = self.mass(&freed.part, self.worth.expected(freed));
                        self.data.items.push(plan::Item { id, host: Some(host), mass_g: grams(mass)?, grade: None });
                    }
                    Some(&id) if self.data.items[id].host != Some(host) => {
                        let part = &freed.part;
                        return Err(AppError::Refused(format!(
                            "`{part}` is freed from two different places; it cannot be planned"
                        )));
                    }
                    Some(_) => {}
                }
            }
        }
        Ok(())
    }

    /// Makes everything weigh at least as much as its contents: readings may contradict each other, and shares are
    /// rounded.
    fn hold(&mut self) {
        for item in (1..self.data.items.len()).rev() {
            let inside: i64 =
                self.data.items.iter().filter(|part| part.host == Some(item)).map(|part| part.mass_g).sum();
            self.data.items[item].mass_g = self.data.items[item].mass_g.max(inside);
        }
        let inside: i64 = self.data.items.iter().filter(|part| part.host == Some(0)).map(|part| part.mass_g).sum();
        self.data.items[0].mass_g = self.data.items[0].mass_g.max(inside);
    }

    /// A part's weight: as weighed, else as expected.
    fn mass(&self, part: &str, expected: Mass) -> Mass {
        match self.worth.run_result().state.part(part).map(|free| free.presence) {
            Some(Presence::Weighed(reading)) => reading.net,
            Some(Presence::TooLight | Presence::Absent) => Mass::ZERO,
            None => expected,
        }
    }

    fn host(&self, step: &Step) -> Option<usize> {
        match &step.opens {
            None => Some(0),
            Some(part) => self.items.get(part).copied(),
        }
    }

    fn steps(&mut self) -> Result<(), AppError> {
        let recipe = self.worth.recipe;
        let place = |id: &String| recipe.steps().iter().position(|step| step.id == *id);
        for (id, step) in recipe.steps().iter().enumerate() {
            let requires = step.after.iter().map(|group| group.iter().filter_map(place).collect()).collect();
            let mut frees = Vec::new();
            let host = self.host(step).unwrap_or(0);
            for freed in &step.frees {
                let item = self.items.get(&freed.part).copied().unwrap_or(0);
                let found = self.worth.run_result().state.part(&freed.part).map(|free| free.grade.clone());
                let grade = found.unwrap_or_else(|| freed.grade.clone());
                let mass = self.mass(&freed.part, self.worth.expected(freed));
                frees.push(plan::FreedItem { item, grade: self.grade(item, &grade, mass)? });
            }
            if let Some(rest) = &step.rest {
                let left = Mass::from_grams(Decimal::new(self.data.items[host].mass_g, 2)).unwrap_or(Mass::ZERO);
                let grade = self.grade(host, &rest.grade, left)?;
                self.data.rules.push(plan::Rule { item: host, all_of: vec![id], grade });
            }
            let cost_cents = self.cost(step)?;
            let minutes = tenths(self.worth.time(step))?.max(1);
            self.data.steps.push(plan::PlanStep { id, host, minutes, cost_cents, requires, frees });
        }
        Ok(())
    }

    /// Consumables in the yard's currency. Those in another currency appear in the tally but not in the plan.
    fn cost(&self, step: &Step) -> Result<i64, AppError> {
        let currency = self.worth.valuation.yard.currency();
        let own = step.costs.iter().filter(|cost| cost.money.currency() == currency);
        whole(
            own.map(|cost| cost.money.amount()).sum::<Decimal>() * Decimal::from(COST),
            &format!("the cost of `{}`", step.id),
        )
    }

    /// The name of an item's grade in the problem; also enters its price. Each item has its own grade because tiers and
    /// piece prices make its value per kilogram depend on the item. What the yard does not buy is worth zero.
    fn grade(&mut self, item: usize, grade: &str, mass: Mass) -> Result<String, AppError> {
        let name = format!("{item} {grade}");
        let per_kilogram = match self.worth.book().price(grade, Some(mass)) {
            Err(_) => Decimal::ZERO,
            Ok(priced) => match priced.price.basis() {
                Basis::Weight(unit) => priced.price.amount() * Decimal::from(1000) / unit.grams(),
                Basis::Piece if mass.is_zero() => Decimal::ZERO,
                Basis::Piece => priced.price.amount() * Decimal::from(1000) / mass.grams(),
            },
        };
        let price = whole(per_kilogram * Decimal::from(PRICE), &format!("the price of `{grade}`"))?;
        self.data.grades.insert(name.clone(), price);
        Ok(name)
    }
}

fn grams(mass: Mass) -> Result<i64, AppError> {
    whole(mass.grams() * Decimal::from(GRAMS), "a weight")
}

fn tenths(minutes: Minutes) -> Result<i64, AppError> {
    whole(minutes.get() * Decimal::from(TENTHS), "a time")
}

fn whole(value: Decimal, what: &str) -> Result<i64, AppError> {
    let rounded = value.round_dp_with_strategy(0, RoundingStrategy::MidpointAwayFromZero);
    rounded.to_i64().ok_or_else(|| AppError::Refused(format!("{what} is too large to plan with")))
}

/// The indices of steps reachable by some order of work without the `forbidden` ones.
pub(super) fn reachable(recipe: &Recipe, forbidden: &[usize]) -> BTreeSet<usize> {
    let steps = recipe.steps();
    let mut reached = BTreeSet::new();
    loop {
        let has = |id: &String, reached: &BTreeSet<usize>| reached.iter().any(|&n: &usize| steps[n].id == *id);
        let frees = |part: &String, reached: &BTreeSet<usize>| {
            reached.iter().any(|&n: &usize| steps[n].frees.iter().any(|freed| freed.part == *part))
        };
        let next = (0..steps.len()).find(|n| {
            !reached.contains(n)
                && !forbidden.contains(n)
                && steps[*n].after.iter().all(|group| group.iter().any(|id| has(id, &reached)))
                && steps[*n].opens.as_ref().is_none_or(|part| frees(part, &reached))
        });
        match next {
            Some(n) => reached.insert(n),
            None => return reached,
        };
    }
}
