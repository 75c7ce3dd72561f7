//! What a plan says: the steps, the places to stop, the parts, and whether to open the unit at all.

use std::collections::BTreeMap;

use rust_decimal::Decimal;

use crate::quantity::{Estimate, Mass, Minutes, Money};

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
    /// How many of their weights were left out, being most likely slips that nobody noticed.
    pub slips: usize,
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

impl Stop {
    /// Selling it as it stands: always the first place to stop.
    pub(super) fn whole(net: Money) -> Stop {
        Stop {
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
    /// Whether it is out already, or the plan takes it out.
    pub out: bool,
    /// Whether the plan opens it.
    pub open: bool,
}

/// Whether to go on at all.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Advice {
    /// The steps bring more than they take, the person's time at its floor counted.
    Work,
    /// The unit is still whole, and is best sold or handed on as it stands.
    Leave,
    /// As [`Advice::Leave`]: there is less time than opening it takes at the least, with what the law wants out first.
    NoTime(Minutes),
    /// The unit is open and nothing further pays; what the law wants out is still to be taken out, as the steps say.
    Demanded,
    /// Nothing further pays, and nothing that the law wants out can still be taken out here: stop.
    Stop,
}

/// How far to go.
#[derive(Debug, Clone, PartialEq)]
pub struct DepthPlan {
    /// Whether to do the steps, or leave the unit as it stands.
    pub advice: Advice,
    /// What the unit brings as it stands before the plan; at the start, whole.
    pub whole: Money,
    /// Why the yard does not buy it so, if it does not: `whole` is then nothing.
    pub whole_unsold: Option<String>,
    /// The best steps for whoever opens it: what the law wants out first, then the order that brings most soonest.
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

/// What is best from where the work stands.
#[derive(Debug, Clone, PartialEq)]
pub struct Ahead {
    /// Whether to go on.
    pub advice: Advice,
    /// Everything worth doing from here, with what the law wants out.
    pub best: NextBundle,
    /// Those of the best steps that are in it because the law wants something out, whatever they earn.
    pub demanded: Vec<usize>,
    /// What brings most per hour next; `None` when nothing is left to do.
    pub next: Option<NextBundle>,
    /// How long work takes this time, as a multiple of the usual; 1 until a step is finished.
    pub pace: Decimal,
    /// What an hour has to bring.
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
