//! The search for the most valuable plan.

use std::collections::{BTreeMap, BinaryHeap};

use super::dive::{Budget, Dive, DiveField, Limits, SCALE};
use super::problem::{LoadFault, LoadProblem};
use super::score::{LoadAssignment, score};
use super::trips::{MOST_COMBINATIONS, combinations};

/// Limit on tolls, so that a toll times a mass stays exact.
const MOST_TOLL: i128 = 1 << 62;

/// Rounds of toll adjustment before branching.
const ROUNDS: usize = 60;

/// When to give up proving.
#[derive(Clone, Copy)]
pub struct LoadEffort<'a> {
    /// Most search tree nodes to open.
    pub nodes: u64,
    /// Called now and then; true stops the search. A clock belongs here, not in this room.
    pub stop: Option<&'a dyn Fn() -> bool>,
}

impl Default for LoadEffort<'_> {
    fn default() -> Self {
        LoadEffort { nodes: 20_000_000, stop: None }
    }
}

/// A plan and what is proven about it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Solved {
    /// The best plan found.
    pub plan: LoadAssignment,
    /// No plan brings more than this.
    pub bound: i64,
}

impl Solved {
    /// Whether no plan brings more.
    pub fn is_proven(&self) -> bool {
        self.bound <= self.plan.value
    }

    /// Upper bound on how much more another plan could bring.
    pub fn gap(&self) -> i64 {
        (self.bound - self.plan.value).max(0)
    }
}

/// The most valuable plan. Keeping everything is always a plan.
///
/// # Errors
/// `LoadFault::TooMany` if the payload is so small that there are too many trip combinations.
pub fn solve(problem: &LoadProblem, effort: &LoadEffort<'_>) -> Result<Solved, LoadFault> {
    let keep = |pile: &super::LoadPile| [vec![0; problem.outlets.len()], vec![pile.lots]].concat();
    let lots = problem.piles.iter().map(keep).collect();
    let kept = LoadAssignment { value: problem.hold_all(), lots, trips: vec![0; problem.outlets.len()] };
    let (plan, bound) = Search::new(problem, effort, 0, Some(kept.clone()))?.run();
    Ok(Solved { plan: plan.unwrap_or(kept), bound })
}

/// The best plan with at least this many trips; `None` if none was found.
///
/// # Errors
/// As [`solve`].
pub fn solve_with_trips(
    problem: &LoadProblem,
    fewest: i64,
    effort: &LoadEffort<'_>,
) -> Result<Option<Solved>, LoadFault> {
    let (plan, bound) = Search::new(problem, effort, fewest, None)?.run();
    Ok(plan.map(|plan| Solved { plan, bound }))
}

/// The upper bound of one trip combination.
struct Candidate {
    trips: Vec<i64>,
    open: u32,
    costs: i64,
    bound: i128,
    /// Whether the bound uses each group at its optimum rather than each pile at its best price.
    is_tight: bool,
    /// Its index among all combinations.
    place: usize,
}

impl Candidate {
    /// The most promising is the greatest; among equals the one with the fewest trips, then the first.
    fn rank(&self) -> (i128, std::cmp::Reverse<(i64, usize)>) {
        (self.bound, std::cmp::Reverse((self.trips.iter().sum(), self.place)))
    }
}

impl PartialEq for Candidate {
    fn eq(&self, other: &Candidate) -> bool {
        self.rank() == other.rank()
    }
}

impl Eq for Candidate {}

impl PartialOrd for Candidate {
    fn partial_cmp(&self, other: &Candidate) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Candidate {
    fn cmp(&self, other: &Candidate) -> std::cmp::Ordering {
        self.rank().cmp(&other.rank())
    }
}

impl Candidate {
    /// The bound in whole money.
    fn at_most(&self) -> i64 {
        whole(self.bound)
    }
}

/// A scaled bound in whole money: every plan's value is an integer, so rounding down loses none.
fn whole(bound: i128) -> i64 {
    bound.div_euclid(SCALE) as i64
}

struct Search<'a> {
    field: DiveField<'a>,
    candidates: BinaryHeap<Candidate>,
    /// Upper bound on the goods' value with these yards open: each group at its optimum.
    values: BTreeMap<u32, i128>,
    fewest: i64,
    best: Option<LoadAssignment>,
    budget: Budget<'a>,
}

/// The tightest bound from tolls, with the tolls and each group's optimum under them.
struct Tightest {
    bound: i128,
    tolls: Vec<i128>,
    values: Vec<i128>,
}

impl<'a> Search<'a> {
    fn new(
        problem: &'a LoadProblem,
        effort: &LoadEffort<'a>,
        fewest: i64,
        best: Option<LoadAssignment>,
    ) -> Result<Search<'a>, LoadFault> {
        let too_many = LoadFault::TooMany {
            what: "combinations of trips or more",
            count: MOST_COMBINATIONS,
            most: MOST_COMBINATIONS,
        };
        let trips = combinations(problem, fewest).ok_or(too_many)?;
        let budget = Budget { nodes: effort.nodes, stop: effort.stop };
        let field = DiveField::new(problem);
        let mut cheap: BTreeMap<u32, i128> = BTreeMap::new();
        let mut candidates = BinaryHeap::new();
        for (place, trips) in trips.into_iter().enumerate() {
            let open = trips.iter().enumerate().filter(|(_, n)| **n > 0).fold(0, |open, (yard, _)| open | 1 << yard);
            let value = *cheap.entry(open).or_insert_with(|| field.at_most(open));
            let costs = trips.iter().zip(&problem.outlets).map(|(n, outlet)| n * outlet.trip_cost).sum();
            let bound = value - i128::from(costs) * SCALE;
            candidates.push(Candidate { bound, trips, open, costs, is_tight: false, place });
        }
        Ok(Search { field, candidates, values: BTreeMap::new(), fewest, best, budget })
    }

    /// The candidate with the bound of its groups, each at its optimum. If the effort runs out, the bound stays.
    fn tight(&mut self, candidate: Candidate) -> Candidate {
        let free = vec![0; candidate.trips.len()];
        let known = self.values.get(&candidate.open).copied();
        let value = known.or_else(|| Some(self.groups(candidate.open, &free)?.iter().map(|(value, _)| value).sum()));
        let Some(value) = value else { return Candidate { is_tight: true, ..candidate } };
        self.values.insert(candidate.open, value);
        let bound = candidate.bound.min(value - i128::from(candidate.costs) * SCALE);
        Candidate { bound, is_tight: true, ..candidate }
    }

    /// The optimum of each group under tolls; `None` if the effort ran out.
    fn groups(&mut self, open: u32, tolls: &[i128]) -> Option<Vec<(i128, Vec<Vec<i64>>)>> {
        let count = self.field.groups.len();
        let parts = (0..count).map(|group| Dive::group(&self.field, group, open, tolls, &mut self.budget)).collect();
        if self.budget.nodes == 0 { None } else { parts }
    }

    /// The value to beat.
    fn floor(&self) -> i64 {
        self.best.as_ref().map_or(i64::MIN / 4, |plan| plan.value)
    }

    /// Processes combinations, most promising first, until none is left that could be better. A bound is tightened only
    /// when its turn comes. Returns the best plan, and a bound on all plans.
    fn run(mut self) -> (Option<LoadAssignment>, i64) {
        while let Some(candidate) = self.candidates.pop() {
            if candidate.at_most() <= self.floor() {
                break;
            }
            if !candidate.is_tight && self.budget.nodes > 0 {
                let candidate = self.tight(candidate);
                self.candidates.push(candidate);
                continue;
            }
            let at_most = if self.budget.nodes == 0 { candidate.at_most() } else { self.settle(&candidate) };
            if self.budget.nodes == 0 {
                // This one is not settled, and its successor bounds all that follow.
                let next = self.candidates.peek().map_or(i64::MIN, Candidate::at_most);
                let bound = at_most.max(next).max(self.floor());
                return (self.best, bound);
            }
        }
        let bound = self.floor();
        (self.best, bound)
    }

    /// Finds the best plan with exactly these trips, if it beats the best so far. Returns a bound on it.
    fn settle(&mut self, candidate: &Candidate) -> i64 {
        let limits = limits(self.field.problem, &candidate.trips);
        let Some(tightest) = self.tighten(candidate, &limits) else { return candidate.at_most() };
        let at_most = whole(tightest.bound).min(candidate.at_most());
        if at_most > self.floor() {
            let fixed = fixed(&tightest.tolls, &limits) - i128::from(candidate.costs) * SCALE;
            let under = (tightest.tolls.as_slice(), tightest.values.as_slice());
            let floor = (self.floor(), fixed);
            let found = Dive::whole(&self.field, candidate.open, under, &limits, floor, &mut self.budget);
            found.into_iter().for_each(|lots| self.offer(&lots));
        }
        at_most
    }

    /// Adjusts the tolls until the groups' optima load every yard within its limits, or no further gain is in sight.
    /// Keeps plans found on the way. `None` if the effort ran out at once.
    fn tighten(&mut self, candidate: &Candidate, limits: &Limits) -> Option<Tightest> {
        let problem = self.field.problem;
        let mut tolls = vec![0_i128; candidate.trips.len()];
        let mut tightest: Option<Tightest> = None;
        for round in 0..ROUNDS {
            let Some(parts) = self.groups(candidate.open, &tolls) else { break };
            let lots = combine(problem, &parts);
            self.offer(&lots);
            let values: Vec<i128> = parts.iter().map(|(value, _)| *value).collect();
            let costs = i128::from(candidate.costs) * SCALE;
            let bound = values.iter().sum::<i128>() + fixed(&tolls, limits) - costs;
            if tightest.as_ref().is_none_or(|known| bound < known.bound) {
                tightest = Some(Tightest { bound, tolls: tolls.clone(), values });
            }
            let strain = strain(problem, limits, &tolls, &lots);
            let passes = tightest.as_ref().is_some_and(|known| whole(known.bound) > self.floor());
            if !passes || strain.iter().all(|strain| *strain == 0) {
                break;
            }
            let floor = self.best.as_ref().map_or(problem.hold_all(), |plan| plan.value);
            adjust(&mut tolls, &strain, bound - i128::from(floor) * SCALE, round);
        }
        tightest
    }

    /// Keeps an allocation if it is a plan with the requested trips and better than the best.
    fn offer(&mut self, lots: &[Vec<i64>]) {
        let Ok(plan) = score(self.field.problem, lots) else { return };
        if plan.trips.iter().sum::<i64>() >= self.fewest && plan.value > self.floor() {
            self.best = Some(plan);
        }
    }
}

/// The loads for which a yard takes exactly this many trips.
fn limits(problem: &LoadProblem, trips: &[i64]) -> Limits {
    let least = trips.iter().zip(&problem.outlets).map(|(trips, outlet)| match trips {
        0 => 0,
        more => (more - 1).saturating_mul(problem.payload).saturating_add(1).max(outlet.least),
    });
    Limits { least: least.collect(), most: trips.iter().map(|trips| trips.saturating_mul(problem.payload)).collect() }
}

/// The most that tolls give back: a load within the limits pays no more than this.
fn fixed(tolls: &[i128], limits: &Limits) -> i128 {
    let ends = limits.least.iter().zip(&limits.most);
    tolls.iter().zip(ends).map(|(toll, (least, most))| (toll * i128::from(*least)).max(toll * i128::from(*most))).sum()
}

/// The allocation in which each group is at its optimum.
fn combine(problem: &LoadProblem, parts: &[(i128, Vec<Vec<i64>>)]) -> Vec<Vec<i64>> {
    // A pile is assigned by its own group only; elsewhere its row is zero.
    let row = |pile: usize| {
        (0..=problem.outlets.len()).map(|to| parts.iter().map(|(_, lots)| lots[pile][to]).sum()).collect()
    };
    (0..problem.piles.len()).map(row).collect()
}

/// How far each load violates its limits: above its maximum, below its minimum, 0 if neither.
fn strain(problem: &LoadProblem, limits: &Limits, tolls: &[i128], lots: &[Vec<i64>]) -> Vec<i64> {
    let load = |yard: usize| problem.piles.iter().zip(lots).map(|(pile, row)| pile.mass * row[yard]).sum::<i64>();
    let strain = |yard: usize| {
        let (load, least, most) = (load(yard), limits.least[yard], limits.most[yard]);
        match tolls[yard].signum() {
            1 => load - most,
            -1 => load - least,
            _ => (load - most).max(0) + (load - least).min(0),
        }
    };
    (0..problem.outlets.len()).map(strain).collect()
}

/// One step of the subgradient method (Held, Wolfe and Crowder 1974), from memory. Tolls only steer the search: the
/// bound holds whatever they are.
fn adjust(tolls: &mut [i128], strain: &[i64], distance: i128, round: usize) {
    let length: f64 = strain.iter().map(|strain| (*strain as f64).powi(2)).sum();
    let step = 1.2 * 0.95_f64.powi(round as i32) * (distance.max(1) as f64) / length.max(1.0);
    for (toll, strain) in tolls.iter_mut().zip(strain) {
        let next = *toll + (step * *strain as f64) as i128;
        // A toll that would change its sign stops at zero first.
        *toll = if toll.signum() * next.signum() < 0 { 0 } else { next.clamp(-MOST_TOLL, MOST_TOLL) };
    }
}
