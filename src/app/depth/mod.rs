//! How far to go with a unit: recipe, weights and yard brought together for [`crate::plan`], and its answer valued exactly.
//!
//! The planner works on whole numbers and prices per weight, at usual or weighed masses. It decides; it prices nothing that
//! is shown. Every figure shown is that of a [`Tally`](crate::market::Tally) of the unit with the plan's steps imagined
//! done, with tiers, minimum lots, pieces, fees and cash rounding.

mod model;
mod spread;
mod worth;

use std::collections::{BTreeMap, BTreeSet};

use rust_decimal::Decimal;

use super::error::AppError;
use super::valuation::Valuation;
use super::world::World;
use crate::bench::{End, Standing, Transcript, UnitState};
use crate::plan::{self, Effort, Settled};
use crate::quantity::{Estimate, Mass, Minutes, Money};
use crate::recipe::Recipe;

pub use spread::Chances;
pub use worth::per_hour;

use model::Model;
use worth::Worth;

/// What the person wants of a plan.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct PlanWishes {
    /// What an hour of their time has to bring, in the yard's currency.
    pub floor: Decimal,
    /// The most time that they have.
    pub minutes: Option<Minutes>,
    /// What the unit weighs, where it was weighed: expectations are scaled to it.
    pub intake: Option<Mass>,
    /// What the person's own sessions foresee of parts, in place of the recipe's ranges.
    pub foreseen: BTreeMap<String, Estimate<Mass>>,
    /// The most sessions that stand behind one of these.
    pub sessions: usize,
    /// Hazards that this person will not or may not take on: steps with such a guard are left out.
    pub without: Vec<String>,
}

/// One step of a plan.
#[derive(Debug, Clone, PartialEq)]
pub struct PlannedStep {
    /// The step's place in the recipe.
    pub place: usize,
    /// What doing it at that point of the plan adds to the net.
    pub adds: Money,
    /// The net once it is done.
    pub net: Money,
    /// The working time once it is done.
    pub minutes: Minutes,
    /// Whether it is in the plan because the law wants something out first, whatever it earns.
    pub demanded: bool,
}

/// One place to stop.
#[derive(Debug, Clone, PartialEq)]
pub struct Stop {
    /// The steps done by then, by place, in order.
    pub steps: Vec<usize>,
    /// Those that the stop before does not have.
    pub further: Vec<usize>,
    /// The working time.
    pub minutes: Minutes,
    /// The net.
    pub net: Money,
    /// Net less what the unit brings whole.
    pub gain: Money,
    /// Gain per hour over selling it whole.
    pub per_hour: Option<Money>,
    /// What the further steps bring per hour: who wants more for an hour stops before them.
    pub last_hour: Option<Money>,
}

/// Whether a part that can be opened should be.
#[derive(Debug, Clone, PartialEq)]
pub struct PartAdvice {
    /// The part.
    pub part: String,
    /// What it brings as it comes out.
    pub as_it_is: Money,
    /// What opening it adds to the net, all its steps done.
    pub opening_adds: Money,
    /// The same per hour.
    pub per_hour: Option<Money>,
    /// Whether the plan opens it.
    pub open: bool,
}

/// How far to go.
#[derive(Debug, Clone, PartialEq)]
pub struct DepthPlan {
    /// What the unit brings as it stands before the plan; at the start, whole.
    pub whole: Money,
    /// Why the yard does not buy it so, if it does not: `whole` is then nothing.
    pub whole_unsold: Option<String>,
    /// The steps, in the order that brings most soonest.
    pub steps: Vec<PlannedStep>,
    /// The net with all of them done.
    pub net: Money,
    /// Their time.
    pub minutes: Minutes,
    /// Net less `whole`.
    pub gain: Money,
    /// Gain per hour.
    pub per_hour: Option<Money>,
    /// Where to stop for each value of an hour, the least work first.
    pub ladder: Vec<Stop>,
    /// Parts that can be opened further.
    pub parts: Vec<PartAdvice>,
    /// How sure it is; `None` when nothing is planned.
    pub chances: Option<Chances>,
    /// Whether the planner proved that nothing is better, at its weights and prices.
    pub proven: bool,
    /// How far the best conceivable plan may lie above this one, when not proven.
    pub gap: Option<Money>,
}

/// Steps to do next, and what they bring together.
#[derive(Debug, Clone, PartialEq)]
pub struct NextBundle {
    /// The steps, by place, in order.
    pub steps: Vec<usize>,
    /// What they add to the net.
    pub adds: Money,
    /// Their time.
    pub minutes: Minutes,
    /// The same per hour.
    pub per_hour: Option<Money>,
}

/// A unit at a point of its dismantling, ready to be planned.
pub struct Depth<'a> {
    worth: Worth<'a>,
    model: Model,
    settled: Settled,
    demanded: BTreeSet<usize>,
}

impl<'a> Depth<'a> {
    /// A unit that nobody has opened yet.
    ///
    /// # Errors
    /// The recipe cannot be planned: its weights contradict each other, or a price runs out of bounds.
    pub fn before(
        world: &'a World,
        valuation: &'a Valuation,
        recipe: &'a Recipe,
        wishes: &PlanWishes,
    ) -> Result<Self, AppError> {
        let state = UnitState::untouched(recipe);
        let transcript = Transcript { asked: Vec::new(), unfit: Vec::new(), end: End::Complete, state, revised: None };
        Depth::at(world, valuation, recipe, &transcript, &Standing::default(), wishes)
    }

    /// A unit on the bench, with what was weighed and how long it took so far.
    ///
    /// # Errors
    /// As [`Depth::before`].
    pub fn at(
        world: &'a World,
        valuation: &'a Valuation,
        recipe: &'a Recipe,
        transcript: &Transcript,
        standing: &Standing,
        wishes: &PlanWishes,
    ) -> Result<Self, AppError> {
        let worth = Worth::new(world, valuation, recipe, transcript, standing, wishes);
        let model = Model::build(&worth, wishes)?;
        let (settled, demanded) = settle(recipe, transcript, wishes);
        Ok(Depth { worth, model, settled, demanded })
    }

    /// The steps that are worth most from here on, in the order that brings most soonest, and what they add.
    ///
    /// # Errors
    /// As [`Depth::plan`].
    pub fn best(&self) -> Result<NextBundle, AppError> {
        let (order, _) = self.solve()?;
        let adds = minus(self.worth.net(&order)?, self.worth.net(&[])?);
        let minutes = self.worth.minutes(&order);
        Ok(NextBundle { adds, minutes, per_hour: per_hour(adds, minutes), steps: order })
    }

    fn solve(&self) -> Result<(Vec<usize>, plan::Solution), AppError> {
        let solution =
            plan::best_continuation(self.model.problem(), &self.settled, &Effort::default()).map_err(no_plan)?;
        let further: Vec<usize> = self.further(&solution.plan.steps);
        let order = plan::anytime_order(self.model.problem(), &self.settled.done, &further);
        Ok((order.map(|schedule| schedule.order).unwrap_or(further), solution))
    }

    /// The best plan from here on, with its ladder, its parts and its chances.
    ///
    /// # Errors
    /// No order of work fits the wishes, or a value runs out of bounds.
    pub fn plan(&self) -> Result<DepthPlan, AppError> {
        let (order, solution) = self.solve()?;
        let as_it_stands = self.worth.tally(&[])?;
        let whole = as_it_stands.net;
        let unsold = as_it_stands.unsold.first().filter(|_| as_it_stands.lines.is_empty());
        let whole_unsold = unsold.map(|item| item.reason.words(self.worth.valuation.notation));
        let steps = self.rows(&order)?;
        let net = steps.last().map_or(whole, |step| step.net);
        let minutes = self.worth.minutes(&order);
        let gain = minus(net, whole);
        let open: BTreeSet<usize> = order.iter().copied().collect();
        let missing = solution.bound_millicents.saturating_sub(solution.plan.value_millicents);
        Ok(DepthPlan {
            whole,
            whole_unsold,
            net,
            minutes,
            gain,
            per_hour: per_hour(gain, minutes),
            ladder: self.ladder(whole)?,
            parts: self.parts(&open)?,
            chances: spread::chances(&self.worth, &order)?,
            proven: solution.proven,
            gap: (!solution.proven).then(|| self.model.money(missing, whole.currency())),
            steps,
        })
    }

    /// The bundle that brings most per hour next; `None` when nothing is left to do.
    ///
    /// # Errors
    /// As [`Depth::plan`].
    pub fn next(&self) -> Result<Option<NextBundle>, AppError> {
        let bundle = plan::best_bundle(self.model.problem(), &self.settled, &Effort::default()).map_err(no_plan)?;
        let Some(bundle) = bundle else { return Ok(None) };
        let adds = minus(self.worth.net(&bundle.steps)?, self.worth.net(&[])?);
        let minutes = self.worth.minutes(&bundle.steps);
        Ok(Some(NextBundle { adds, minutes, per_hour: per_hour(adds, minutes), steps: bundle.steps }))
    }

    fn further(&self, steps: &[usize]) -> Vec<usize> {
        steps.iter().copied().filter(|step| !self.settled.done.contains(step)).collect()
    }

    fn rows(&self, order: &[usize]) -> Result<Vec<PlannedStep>, AppError> {
        let mut before = self.worth.net(&[])?;
        let mut rows = Vec::new();
        for end in 1..=order.len() {
            let (done, place) = (&order[..end], order[end - 1]);
            let net = self.worth.net(done)?;
            let adds = minus(net, before);
            let demanded = self.demanded.contains(&place);
            rows.push(PlannedStep { place, adds, net, minutes: self.worth.minutes(done), demanded });
            before = net;
        }
        Ok(rows)
    }

    /// Selling it as it stands is always the first place to stop; then what the planner finds.
    fn ladder(&self, whole: Money) -> Result<Vec<Stop>, AppError> {
        let rungs = plan::ladder(self.model.problem(), &self.settled, &Effort::default()).map_err(no_plan)?;
        let nothing = Money::zero(whole.currency());
        let start = Stop {
            steps: Vec::new(),
            further: Vec::new(),
            minutes: Minutes::ZERO,
            net: whole,
            gain: nothing,
            per_hour: None,
            last_hour: None,
        };
        let mut stops = vec![start];
        for rung in rungs {
            let steps = self.further(&rung.plan.steps);
            let minutes = self.worth.minutes(&steps);
            let mut stop = Stop { steps, minutes, net: whole, ..stops[0].clone() };
            stop.net = self.worth.net(&stop.steps)?;
            add_stop(&mut stops, stop);
        }
        Ok(stops)
    }

    fn parts(&self, planned: &BTreeSet<usize>) -> Result<Vec<PartAdvice>, AppError> {
        let mut advice = Vec::new();
        for (part, steps) in self.worth.openings() {
            let Some((as_it_is, adds, minutes)) = self.worth.opening(&part, &steps)? else { continue };
            let open = steps.iter().any(|step| planned.contains(step));
            advice.push(PartAdvice { part, as_it_is, opening_adds: adds, per_hour: per_hour(adds, minutes), open });
        }
        Ok(advice)
    }
}

/// Adds a place to stop. One that a later one beats per hour is no place to stop: whoever goes that far goes on, as from
/// work that only makes way for more. So the rates of the further steps fall from one stop to the next.
fn add_stop(stops: &mut Vec<Stop>, mut stop: Stop) {
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

/// Which steps are done, demanded by law, or out of the question.
fn settle(recipe: &Recipe, transcript: &Transcript, wishes: &PlanWishes) -> (Settled, BTreeSet<usize>) {
    use crate::bench::Fate;
    let fates = &transcript.state.fates;
    let refused = |guards: &[String]| guards.iter().any(|guard| wishes.without.contains(guard));
    let mut settled = Settled::default();
    let mut demanded = BTreeSet::new();
    for (place, step) in recipe.steps().iter().enumerate() {
        let gone = step
            .opens
            .as_ref()
            .is_some_and(|part| transcript.state.part(part).is_some() && !transcript.state.is_at_hand(part));
        match fates[place] {
            Fate::Done => settled.done.push(place),
            Fate::Skipped => settled.forbidden.push(place),
            _ if refused(&step.guards) || gone => settled.forbidden.push(place),
            // Of several ways to take the same thing out, one is enough, and no plan can hold two: the first counts.
            _ if !step.removes.is_empty()
                && !rivals(recipe, place)
                    .any(|rival| fates[rival] == Fate::Done || settled.forced.contains(&rival)) =>
            {
                settled.forced.push(place);
                demanded.insert(place);
            }
            _ => {}
        }
    }
    release_blocked(recipe, &mut settled);
    demanded.retain(|place| settled.forced.contains(place));
    (settled, demanded)
}

/// The places of other steps that free a part which this one frees too: alternatives to it.
fn rivals(recipe: &Recipe, place: usize) -> impl Iterator<Item = usize> {
    let parts: BTreeSet<&str> = recipe.steps()[place].frees.iter().map(|freed| freed.part.as_str()).collect();
    let steps = recipe.steps().iter().enumerate();
    steps
        .filter(move |(other, step)| {
            *other != place && step.frees.iter().any(|freed| parts.contains(freed.part.as_str()))
        })
        .map(|(other, _)| other)
}

/// A demanded step that cannot be reached any more, because what it needs is out of the question, is no longer demanded.
fn release_blocked(recipe: &Recipe, settled: &mut Settled) {
    let reachable = model::reachable(recipe, &settled.forbidden);
    settled.forced.retain(|place| reachable.contains(place));
}

fn minus(left: Money, right: Money) -> Money {
    // Both come from tallies at one yard; a difference of two bounded amounts is bounded.
    left.minus(right).unwrap_or(Money::zero(left.currency()))
}

fn no_plan(error: plan::NoPlan) -> AppError {
    AppError::Refused(error.to_string())
}
