//! The planner's answer: the steps, the places to stop, the parts, and whether to open the unit at all.

use std::collections::BTreeMap;

use rust_decimal::Decimal;

use crate::quantity::{Estimate, Mass, Minutes, Money};

/// The user's constraints on a plan.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct PlanWishes {
    /// What an hour of work must bring, in the yard's currency.
    pub floor: Decimal,
    /// The time available.
    pub minutes: Option<Minutes>,
    /// The unit's weight, if weighed; expected weights scale with it.
    pub intake: Option<Mass>,
    /// Part weights predicted from the user's own sessions, replacing the recipe's ranges.
    pub foreseen: BTreeMap<String, Estimate<Mass>>,
    /// The largest number of sessions behind one of these predictions.
    pub sessions: usize,
    /// How many of their weights were left out as probable unnoticed slips.
    pub slips: usize,
    /// Hazards this user will not or may not take on; steps with such a guard are left out.
    pub without: Vec<String>,
}

/// One step of a plan.
#[derive(Debug, Clone, PartialEq)]
pub struct PlannedStep {
    /// The step's index in the recipe.
    pub place: usize,
    /// What doing it at that point of the plan adds to the net.
    pub adds: Money,
    /// The net once it is done.
    pub net: Money,
    /// The working time once it is done.
    pub minutes: Minutes,
    /// Whether it is planned because the law demands something out first, whatever it earns.
    pub demanded: bool,
}

/// One place to stop.
#[derive(Debug, Clone, PartialEq)]
pub struct DepthStop {
    /// The steps done by then, as recipe indices in order.
    pub steps: Vec<usize>,
    /// Those not included in the stop before.
    pub further: Vec<usize>,
    /// The working time.
    pub minutes: Minutes,
    /// The net.
    pub net: Money,
    /// Net minus what the unit brings whole.
    pub gain: Money,
    /// Gain per hour over selling it whole.
    pub per_hour: Option<Money>,
    /// What the further steps bring per hour; whoever wants more per hour stops before them.
    pub last_hour: Option<Money>,
}

impl DepthStop {
    /// Selling it as it stands: always the first place to stop.
    pub(super) fn whole(net: Money) -> DepthStop {
        DepthStop {
            steps: Vec::new(),
            further: Vec::new(),
            minutes: Minutes::ZERO,
            net,
            gain: Money::zero(net.currency()),
            per_hour: None,
            last_hour: None,
        }
    }
}

/// Whether to open a part that can be opened.
#[derive(Debug, Clone, PartialEq)]
pub struct PartAdvice {
    /// The part.
    pub part: String,
    /// Its value as it comes out.
    pub as_it_is: Money,
    /// What opening it adds to the net, with all its steps done.
    pub opening_adds: Money,
    /// The same per hour.
    pub per_hour: Option<Money>,
    /// Whether it is already out, or the plan takes it out.
    pub out: bool,
    /// Whether the plan opens it.
    pub open: bool,
}

/// Whether to go on at all.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Advice {
    /// The steps bring more than they cost, including time at the floor rate.
    Work,
    /// The unit is still whole, and is best sold or handed on as it is.
    Leave,
    /// As [`Advice::Leave`]: opening it takes more time than there is, with what the law demands out first. Holds the
    /// least time needed.
    NoTime(Minutes),
    /// The unit is open and nothing further pays, but what the law demands must still be taken out, as the steps show.
    Demanded,
    /// Nothing further pays, and nothing the law demands can still be taken out here: stop.
    Stop,
}

/// How far to go.
#[derive(Debug, Clone, PartialEq)]
pub struct DepthPlan {
    /// Whether to do the steps, or leave the unit as it is.
    pub advice: Advice,
    /// The unit's value in its state before the plan; at the start, whole.
    pub whole: Money,
    /// Why the yard does not buy it like that, if it does not; `whole` is then zero.
    pub whole_unsold: Option<String>,
    /// The best steps if it is opened: what the law demands first, then in the order that brings most soonest.
    pub steps: Vec<PlannedStep>,
    /// The net after all of them.
    pub net: Money,
    /// Their time.
    pub minutes: Minutes,
    /// Net minus `whole`.
    pub gain: Money,
    /// Gain per hour.
    pub per_hour: Option<Money>,
    /// Where to stop for each value of an hour, least work first.
    pub ladder: Vec<DepthStop>,
    /// Parts that can be opened further.
    pub parts: Vec<PartAdvice>,
    /// The plan's uncertainty; `None` if nothing is planned.
    pub chances: Option<Chances>,
    /// Whether the planner proved this optimal, at its weights and prices.
    pub proven: bool,
    /// Upper bound on how much better a plan could be, if not proven optimal.
    pub gap: Option<Money>,
}

/// Steps to do next, and what they bring together.
#[derive(Debug, Clone, PartialEq)]
pub struct NextBundle {
    /// The steps, as recipe indices in order.
    pub steps: Vec<usize>,
    /// What they add to the net.
    pub adds: Money,
    /// Their time.
    pub minutes: Minutes,
    /// The same per hour.
    pub per_hour: Option<Money>,
}

/// The best way to go on from the current state.
#[derive(Debug, Clone, PartialEq)]
pub struct Ahead {
    /// Whether to go on.
    pub advice: Advice,
    /// Everything worth doing from here, including what the law demands.
    pub best: NextBundle,
    /// Those of the best steps included only because the law demands something out.
    pub demanded: Vec<usize>,
    /// The bundle that brings most per hour next; `None` if nothing is left to do.
    pub next: Option<NextBundle>,
    /// Working time relative to the usual; 1 until a step is finished.
    pub pace: Decimal,
    /// What an hour must bring.
    pub floor: Decimal,
}

/// Three points of a spread: one time in ten less, as often more as less, one time in ten more.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Points {
    /// One time in ten it is less.
    pub p10: f64,
    /// As often more as less.
    pub p50: f64,
    /// One time in ten it is more.
    pub p90: f64,
}

/// How sure a plan is, in the yard's currency.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Chances {
    /// Mean of the gain.
    pub mean: f64,
    /// Standard deviation of the gain.
    pub sd: f64,
    /// The gain over what there is now.
    pub gain: Points,
    /// The gain per hour.
    pub per_hour: Points,
    /// The probability that the work brings more than it costs, time not counted.
    pub worth_it: f64,
    /// The same with the time counted at what an hour has to bring; `None` where an hour has to bring nothing.
    pub worth_the_time: Option<f64>,
}
