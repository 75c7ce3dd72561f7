//! How far to dismantle a unit: feeds recipe, weights and yard to [`crate::plan`], and values its answer exactly.
//!
//! The planner works on integers and prices per weight, at usual or actual masses. It decides, but prices nothing that
//! is shown: every figure shown comes from a [`Tally`](crate::market::Tally) of the unit with the plan's steps imagined
//! done, with tiers, minimum lots, pieces, fees and cash rounding.

mod answer;
mod demand;
mod fit;
mod model;
mod spread;
mod worth;

use std::collections::BTreeSet;

use rust_decimal::Decimal;

use crate::bench::{CurrentAnswers, End, RunResult, UnitState};
use crate::plan::{self, Effort, NoPlan, Solution};
use crate::pricing::Valuation;
use crate::quantity::{Minutes, Money};
use crate::recipe::{Action, Recipe, Step};
use crate::world::{AppError, World};

pub use answer::{Advice, Ahead, Chances, DepthPlan, DepthStop, NextBundle, PartAdvice, PlanWishes, PlannedStep};
pub use worth::per_hour;

use demand::Demand;
use model::Model;
use worth::{Worth, minus};

/// A unit at some point of its dismantling, ready for planning.
pub struct Depth<'a> {
    worth: Worth<'a>,
    model: Model,
    demand: Demand,
    floor: Decimal,
}

impl<'a> Depth<'a> {
    /// A unit that has not been opened yet.
    ///
    /// # Errors
    /// The recipe cannot be planned: its usual weights contradict each other, or a price exceeds its limit.
    pub fn before(
        world: &'a World,
        valuation: &'a Valuation,
        recipe: &'a Recipe,
        wishes: &PlanWishes,
    ) -> Result<Self, AppError> {
        fit::usual_weights(recipe, valuation)?;
        let state = UnitState::untouched(recipe);
        let run_result = RunResult { asked: Vec::new(), unfit: Vec::new(), end: End::Complete, state, revised: None };
        Depth::at(world, valuation, recipe, &run_result, &CurrentAnswers::default(), wishes)
    }

    /// A unit on the bench, with the weights and times so far.
    ///
    /// # Errors
    /// As [`Depth::before`].
    pub fn at(
        world: &'a World,
        valuation: &'a Valuation,
        recipe: &'a Recipe,
        run_result: &RunResult,
        standing: &CurrentAnswers,
        wishes: &PlanWishes,
    ) -> Result<Self, AppError> {
        let worth = Worth::new(world, valuation, recipe, run_result, standing, wishes);
        let model = Model::build(&worth, wishes)?;
        let hazards = world.host().catalogue().hazards();
        let licensed =
            |step: &Step| step.guards.iter().any(|id| hazards.get(id).is_some_and(|h| h.class == Action::Licensed));
        let demand = Demand::new(recipe, run_result, wishes, licensed);
        Ok(Depth { worth, model, demand, floor: wishes.floor })
    }

    /// The best way to go on, and whether it pays. Advises; decides nothing.
    ///
    /// # Errors
    /// As [`Depth::plan`].
    pub fn ahead(&self) -> Result<Ahead, AppError> {
        let (steps, advice) = match self.solve()? {
            Some((order, _)) => (order.clone(), self.advice(&order)?),
            None => (Vec::new(), self.no_time()?),
        };
        let demanded = steps.iter().copied().filter(|place| self.demand.demanded.contains(place)).collect();
        let next = self.next()?;
        Ok(Ahead { advice, best: self.bundle(steps)?, demanded, next, pace: self.worth.pace, floor: self.floor })
    }

    fn bundle(&self, steps: Vec<usize>) -> Result<NextBundle, AppError> {
        let adds = minus(self.worth.net(&steps)?, self.worth.net(&[])?);
        let minutes = self.worth.minutes(&steps);
        Ok(NextBundle { adds, minutes, per_hour: per_hour(adds, minutes), steps })
    }

    /// The best steps from here, in order; `None` if no order of work fits the constraints.
    fn solve(&self) -> Result<Option<(Vec<usize>, Solution)>, AppError> {
        let best = plan::best_continuation(self.model.problem(), &self.demand.settled, &Effort::default());
        let solution = match best {
            Err(NoPlan::Infeasible) => return Ok(None),
            other => other.map_err(no_plan)?,
        };
        let further = self.further(&solution.plan.steps);
        let first = self.demand.first(self.worth.recipe, &further);
        let rest: Vec<usize> = further.iter().copied().filter(|place| !first.contains(place)).collect();
        let problem = self.model.problem();
        let in_order = |done: &[usize], steps: Vec<usize>| {
            plan::anytime_order(problem, done, &steps).map(|schedule| schedule.order).unwrap_or(steps)
        };
        let mut order = in_order(&self.demand.settled.done, first);
        let done = [self.demand.settled.done.as_slice(), &order].concat();
        order.extend(in_order(&done, rest));
        Ok(Some((order, solution)))
    }

    /// Whether these steps pay, with their time at the floor rate counted.
    fn advice(&self, order: &[usize]) -> Result<Advice, AppError> {
        if order.is_empty() {
            return Ok(if self.worth.is_whole() { Advice::Leave } else { Advice::Stop });
        }
        let adds = minus(self.worth.net(order)?, self.worth.net(&[])?).amount();
        let time = self.worth.minutes(order).get().checked_mul(self.floor).unwrap_or(Decimal::MAX) / Decimal::from(60);
        let demanded = order.iter().any(|place| self.demand.demanded.contains(place));
        Ok(match adds > time {
            true => Advice::Work,
            false if self.worth.is_whole() => Advice::Leave,
            false if demanded => Advice::Demanded,
            false => Advice::Stop,
        })
    }

    /// For when no order of work fits the time: how much the shortest would take.
    fn no_time(&self) -> Result<Advice, AppError> {
        let free = self.model.problem().clone().with_time_cap(None);
        let rungs = plan::ladder(&free, &self.demand.settled, &Effort::default()).map_err(no_plan)?;
        let least = rungs.first().map(|rung| self.worth.minutes(&self.further(&rung.plan.steps)));
        Ok(Advice::NoTime(least.unwrap_or(Minutes::ZERO)))
    }

    /// The best plan from here, with its ladder, parts and uncertainty.
    ///
    /// # Errors
    /// A value exceeds its limit.
    pub fn plan(&self) -> Result<DepthPlan, AppError> {
        let solved = self.solve()?;
        let order = solved.as_ref().map_or(&[] as &[usize], |(order, _)| order);
        let as_it_stands = self.worth.tally(&[])?;
        let whole = as_it_stands.net;
        let unsold = as_it_stands.unsold.first().filter(|_| as_it_stands.lines.is_empty());
        let whole_unsold = unsold.map(|item| item.reason.words(self.worth.valuation.notation));
        let steps = self.rows(order)?;
        let net = steps.last().map_or(whole, |step| step.net);
        let minutes = self.worth.minutes(order);
        let gain = minus(net, whole);
        let solution = solved.as_ref().map(|(_, solution)| solution);
        let missing = |s: &Solution| s.bound_millicents.saturating_sub(s.plan.value_millicents);
        let gap = solution.filter(|s| !s.proven).map(|s| self.model.money(missing(s), whole.currency()));
        Ok(DepthPlan {
            advice: if solved.is_some() { self.advice(order)? } else { self.no_time()? },
            whole,
            whole_unsold,
            net,
            minutes,
            gain,
            per_hour: per_hour(gain, minutes),
            ladder: if solved.is_some() { self.ladder(whole)? } else { vec![DepthStop::whole(whole)] },
            parts: self.parts(&order.iter().copied().collect())?,
            chances: spread::chances(&self.worth, order, self.floor)?,
            proven: gap.is_none(),
            gap,
            steps,
        })
    }

    /// The bundle that brings most per hour next; `None` if nothing is left to do.
    fn next(&self) -> Result<Option<NextBundle>, AppError> {
        let bundle = plan::best_bundle(self.model.problem(), &self.demand.settled, &Effort::default());
        bundle.map_err(no_plan)?.map(|bundle| self.bundle(bundle.steps)).transpose()
    }

    fn further(&self, steps: &[usize]) -> Vec<usize> {
        steps.iter().copied().filter(|step| !self.demand.settled.done.contains(step)).collect()
    }

    fn rows(&self, order: &[usize]) -> Result<Vec<PlannedStep>, AppError> {
        let mut before = self.worth.net(&[])?;
        let mut rows = Vec::new();
        for end in 1..=order.len() {
            let (done, place) = (&order[..end], order[end - 1]);
            let net = self.worth.net(done)?;
            let adds = minus(net, before);
            let demanded = self.demand.demanded.contains(&place);
            rows.push(PlannedStep { place, adds, net, minutes: self.worth.minutes(done), demanded });
            before = net;
        }
        Ok(rows)
    }

    /// The ladder: selling the unit as it is, then what the planner finds.
    fn ladder(&self, whole: Money) -> Result<Vec<DepthStop>, AppError> {
        let rungs = plan::ladder(self.model.problem(), &self.demand.settled, &Effort::default()).map_err(no_plan)?;
        let mut stops = vec![DepthStop::whole(whole)];
        for rung in rungs {
            let steps = self.further(&rung.plan.steps);
            let minutes = self.worth.minutes(&steps);
            let mut stop = DepthStop { steps, minutes, ..stops[0].clone() };
            stop.net = self.worth.net(&stop.steps)?;
            add_stop(&mut stops, stop);
        }
        // Nobody goes on for work that loses money even if their time is free.
        let pays = |stop: &DepthStop| stop.last_hour.is_none_or(|rate| rate.amount() > Decimal::ZERO);
        let end = stops.iter().position(|stop| !pays(stop)).unwrap_or(stops.len());
        stops.truncate(end);
        Ok(stops)
    }

    fn parts(&self, planned: &BTreeSet<usize>) -> Result<Vec<PartAdvice>, AppError> {
        let mut advice = Vec::new();
        for (part, steps) in self.worth.openings() {
            let Some((as_it_is, adds, minutes)) = self.worth.opening(&part, &steps)? else { continue };
            let open = steps.iter().any(|step| planned.contains(step));
            let out = self.worth.is_out(&part, planned);
            let per_hour = per_hour(adds, minutes);
            advice.push(PartAdvice { part, as_it_is, opening_adds: adds, per_hour, out, open });
        }
        Ok(advice)
    }
}

/// Adds a place to stop and drops those that it beats per hour: whoever goes that far goes on, as past work that only
/// makes way for more. So the rates of further steps fall from one stop to the next.
fn add_stop(stops: &mut Vec<DepthStop>, mut stop: DepthStop) {
    loop {
        let Some(former) = stops.last() else { return };
        stop.further = stop.steps.iter().copied().filter(|step| !former.steps.contains(step)).collect();
        if stop.further.is_empty() {
            return;
        }
        let extra = Minutes::new(stop.minutes.get() - former.minutes.get()).unwrap_or(Minutes::ZERO);
        stop.last_hour = per_hour(minus(stop.net, former.net), extra);
        let beaten = match (former.last_hour, stop.last_hour) {
            (Some(before), Some(now)) => before.amount() <= now.amount(),
            _ => false,
        };
        if !beaten {
            break;
        }
        stops.pop();
    }
    stop.gain = minus(stop.net, stops[0].net);
    stop.per_hour = per_hour(stop.gain, stop.minutes);
    stops.push(stop);
}

fn no_plan(error: plan::NoPlan) -> AppError {
    AppError::Refused(error.to_string())
}
