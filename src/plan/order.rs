//! In which order to do a plan's steps, so that stopping early costs least.
//!
//! The measure is the area under the value so far until the last step ends, each gain credited when its step ends. With
//! fixed gains and AND prerequisites this is the single-machine problem 1|prec|Σ wC: Sidney (1975) showed that the
//! initial set with the largest gain per minute may go first, and so on; within such a block, and if gains depend on
//! the order, every reachable state is tried once (dynamic programming).

use std::collections::HashMap;

use super::evaluate::{NotExecutable, evaluate, evaluate_in_order, value};
use super::flow::ClosureGraph;
use super::problem::Problem;
use super::waiting::Waiting;

/// An order of work.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct Schedule {
    /// The steps to do, in order.
    pub order: Vec<usize>,
    /// Area under the gain so far, in millicent-minutes.
    pub area_millicent_minutes: i128,
    /// When the last step ends.
    pub horizon_minutes: i64,
    /// Whether it is proven that no order has a larger area; false if there were too many states to try.
    pub proven: bool,
}

/// Most states tried by one dynamic programme.
const STATES: usize = 50_000;

/// The order of `steps`, after `done`, with the largest area under the value so far.
///
/// # Errors
/// If the steps cannot be done after those already done.
pub fn anytime_order(problem: &Problem, done: &[usize], steps: &[usize]) -> Result<Schedule, NotExecutable> {
    evaluate(problem, done)?;
    let all = evaluate(problem, &[done, steps].concat())?;
    let mut natural = all.steps;
    natural.retain(|s| !done.contains(s));
    let work = Work { problem, done, steps: natural.clone() };
    let (order, proven) = match work.fixed_gains() {
        Some(gains) => work.by_blocks(&gains, &work.prerequisites()),
        None => match work.by_states() {
            Some(order) => (order, true),
            None => (work.by_blocks(&work.marginal_gains(), &work.prerequisites()).0, false),
        },
    };
    evaluate_in_order(problem, &[done, &order].concat())?;
    let (area, horizon) = area(problem, done, &order);
    Ok(Schedule { order, area_millicent_minutes: area, horizon_minutes: horizon, proven })
}

/// Area under the gain so far of an order of work after `done`, and its length in minutes.
fn area(problem: &Problem, done: &[usize], order: &[usize]) -> (i128, i64) {
    let mut mask = vec![false; problem.steps().len()];
    done.iter().for_each(|&s| mask[s] = true);
    let start = value(problem, &mask);
    let (mut area, mut horizon) = (0, 0);
    for &step in order {
        let minutes = problem.steps()[step].minutes;
        area += i128::from(value(problem, &mask) - start) * i128::from(minutes);
        horizon += minutes;
        mask[step] = true;
    }
    (area, horizon)
}

/// The steps to order, in an executable order.
struct Work<'a> {
    problem: &'a Problem,
    done: &'a [usize],
    steps: Vec<usize>,
}

impl Work<'_> {
    fn mask(&self) -> Vec<bool> {
        let mut mask = vec![false; self.problem.steps().len()];
        self.done.iter().for_each(|&s| mask[s] = true);
        mask
    }

    /// What each step adds in the current order.
    fn marginal_gains(&self) -> Vec<i64> {
        let mut mask = self.mask();
        let mut last = value(self.problem, &mask);
        let gain = |&step: &usize| {
            mask[step] = true;
            let now = value(self.problem, &mask);
            now - std::mem::replace(&mut last, now)
        };
        self.steps.iter().map(gain).collect()
    }

    /// What each step adds, if that and its prerequisites do not depend on the order.
    fn fixed_gains(&self) -> Option<Vec<i64>> {
        let structure = self.problem.structure();
        let mut after = self.mask();
        self.steps.iter().for_each(|&s| after[s] = true);
        let before = self.mask();
        let touches = |s: &usize| after[*s] && !before[*s];
        let matched = |all_of: &[usize]| all_of.iter().all(|&s| after[s]) && all_of.iter().any(touches);
        let regrades = structure.rules.iter().any(|r| matched(&r.all_of));
        let several = |g: &u32| {
            let members = structure.members.row(*g as usize);
            !members.iter().any(|&s| before[s as usize])
                && members.iter().filter(|&&s| after[s as usize]).nth(1).is_some()
        };
        let choices = self.steps.iter().any(|&s| structure.needs.row(s).iter().any(several));
        (!regrades && !choices).then(|| self.marginal_gains())
    }

    /// `(a, b)`: the step at position a follows the one at b, the first to satisfy its need in the current order.
    fn prerequisites(&self) -> Vec<(u32, u32)> {
        let structure = self.problem.structure();
        let mask = self.mask();
        let mut place = vec![None; mask.len()];
        self.steps.iter().enumerate().for_each(|(n, &s)| place[s] = Some(n as u32));
        let mut arcs = Vec::new();
        for (n, &step) in self.steps.iter().enumerate() {
            for &group in structure.needs.row(step) {
                let members = structure.members.row(group as usize);
                if !members.iter().any(|&s| mask[s as usize]) {
                    arcs.extend(members.iter().filter_map(|&s| place[s as usize]).min().map(|b| (n as u32, b)));
                }
            }
        }
        arcs
    }

    /// Sidney's decomposition, each block by dynamic programming.
    fn by_blocks(&self, gains: &[i64], arcs: &[(u32, u32)]) -> (Vec<usize>, bool) {
        let minutes: Vec<i64> = self.steps.iter().map(|&s| self.problem.steps()[s].minutes).collect();
        let mut left: Vec<usize> = (0..self.steps.len()).collect();
        let (mut order, mut proven) = (Vec::new(), true);
        while !left.is_empty() {
            let part = Part::new(&left, gains, &minutes, arcs);
            let block = part.densest();
            let chosen: Vec<usize> = block.iter().map(|&n| left[n]).collect();
            let (sequence, exact) = Part::new(&chosen, gains, &minutes, arcs).sequence();
            proven &= exact;
            order.extend(sequence.into_iter().map(|n| self.steps[chosen[n]]));
            left.retain(|n| !chosen.contains(n));
        }
        (order, proven)
    }

    /// Dynamic programming over what has been done, for gains that depend on the order.
    fn by_states(&self) -> Option<Vec<usize>> {
        let minutes: Vec<i64> = self.steps.iter().map(|&s| self.problem.steps()[s].minutes).collect();
        let mask = |state: u128| {
            let mut mask = self.mask();
            bits(state).for_each(|n| mask[self.steps[n]] = true);
            mask
        };
        let start = value(self.problem, &self.mask());
        let expand = |state: u128| {
            let mask = mask(state);
            let mut wait = Waiting::new(self.problem.structure());
            mask.iter().enumerate().filter(|(_, done)| **done).for_each(|(s, _)| wait.complete(s, |_| ()));
            let ready = (0..self.steps.len()).filter(|&n| state >> n & 1 == 0 && wait.missing[self.steps[n]] == 0);
            (value(self.problem, &mask) - start, ready.collect())
        };
        let order = best_sequence(&minutes, expand)?;
        Some(order.into_iter().map(|n| self.steps[n]).collect())
    }
}

fn bits(state: u128) -> impl Iterator<Item = usize> {
    (0..128).filter(move |n| state >> n & 1 == 1)
}

/// Some of the steps with fixed gains, renumbered from 0.
struct Part {
    gains: Vec<i64>,
    minutes: Vec<i64>,
    arcs: Vec<(u32, u32)>,
}

impl Part {
    fn new(chosen: &[usize], gains: &[i64], minutes: &[i64], arcs: &[(u32, u32)]) -> Self {
        let place: HashMap<u32, u32> = chosen.iter().enumerate().map(|(n, &old)| (old as u32, n as u32)).collect();
        Self {
            gains: chosen.iter().map(|&n| gains[n]).collect(),
            minutes: chosen.iter().map(|&n| minutes[n]).collect(),
            arcs: arcs.iter().filter_map(|(a, b)| Some((*place.get(a)?, *place.get(b)?))).collect(),
        }
    }

    fn sums(&self, set: impl Iterator<Item = usize>) -> (i128, i128) {
        set.fold((0, 0), |(g, m), n| (g + i128::from(self.gains[n]), m + i128::from(self.minutes[n])))
    }

    /// A smallest initial set with the largest gain per minute.
    fn densest(&self) -> Vec<usize> {
        let graph = ClosureGraph::new(self.gains.len(), &self.arcs);
        let mut set: Vec<usize> = (0..self.gains.len()).collect();
        let mut rate = self.sums(set.iter().copied());
        loop {
            let better = self.heaviest(&graph, rate, None);
            if better.is_empty() {
                return self.smallest(&graph, rate, set);
            }
            rate = self.sums(better.iter().copied());
            set = better;
        }
    }

    /// The smallest initial set with the largest gain − rate × minutes, containing a given step if there is one.
    fn heaviest(&self, graph: &ClosureGraph, rate: (i128, i128), with: Option<usize>) -> Vec<usize> {
        let weight = |n: usize| rate.1 * i128::from(self.gains[n]) - rate.0 * i128::from(self.minutes[n]);
        let mut weights: Vec<i128> = (0..self.gains.len()).map(weight).collect();
        if let Some(step) = with {
            weights[step] = weights.iter().map(|w| w.abs()).sum::<i128>() + 1;
        }
        let closure = graph.heaviest(&weights);
        (0..self.gains.len()).filter(|&n| closure[n]).collect()
    }

    fn smallest(&self, graph: &ClosureGraph, rate: (i128, i128), mut best: Vec<usize>) -> Vec<usize> {
        let first = |n: &usize| !self.arcs.iter().any(|a| a.0 as usize == *n);
        for start in best.clone().into_iter().filter(first) {
            let set = self.heaviest(graph, rate, Some(start));
            let sums = self.sums(set.iter().copied());
            if set.len() < best.len() && sums.0 * rate.1 == sums.1 * rate.0 {
                best = set;
            }
        }
        best
    }

    /// The best order of all its steps, or some order if there are too many states.
    fn sequence(&self) -> (Vec<usize>, bool) {
        let needs: Vec<u128> = (0..self.gains.len())
            .map(|n| self.arcs.iter().filter(|a| a.0 as usize == n && a.1 < 128).fold(0, |m, a| m | 1 << a.1))
            .collect();
        let expand = |state: u128| {
            let ready = (0..needs.len()).filter(|&n| state >> n & 1 == 0 && needs[n] & !state == 0);
            (bits(state).map(|n| self.gains[n]).sum::<i64>(), ready.collect())
        };
        let best = best_sequence(&self.minutes, expand);
        best.map_or_else(|| ((0..self.gains.len()).collect(), false), |order| (order, true))
    }
}

/// The order with the largest area; `expand` gives a state's worth and the steps that can follow. `None` if there are
/// more than [`STATES`] states.
fn best_sequence(minutes: &[i64], expand: impl Fn(u128) -> (i64, Vec<usize>)) -> Option<Vec<usize>> {
    if minutes.len() > 127 {
        return None;
    }
    let mut last: HashMap<u128, (i128, usize)> = HashMap::from([(0, (0, 0))]);
    let mut layer = vec![0_u128];
    for _ in 0..minutes.len() {
        let mut next = Vec::new();
        for state in layer {
            let (worth, ready) = expand(state);
            let area = last[&state].0;
            for n in ready {
                let area = area + i128::from(worth) * i128::from(minutes[n]);
                let reached = state | 1 << n;
                let seen = last.get(&reached).map(|s| s.0);
                if seen.is_none() {
                    next.push(reached);
                }
                if seen.is_none_or(|s| area > s) {
                    last.insert(reached, (area, n));
                }
            }
        }
        if last.len() > STATES {
            return None;
        }
        layer = next;
    }
    let mut state = *layer.first()?;
    let mut order = Vec::new();
    while state != 0 {
        let step = last[&state].1;
        order.push(step);
        state &= !(1 << step);
    }
    order.reverse();
    Some(order)
}
