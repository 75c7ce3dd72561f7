//! An upper bound on every plan: the lowest found over the prices of a closure relaxation.
//!
//! With one priced inequality the bound is a convex piecewise linear function of its price, minimised by intersecting
//! lines. With several it is approached by the volume algorithm (Barahona & Anbil 2000), which also yields a mean
//! closure that shows where to branch. Prices are integers, so every bound is exact; floats only choose prices.

use std::collections::HashMap;

use super::flow::{ClosureGraph, Solver};
use super::net::{Key, PricedInequality, Relaxation};

/// Prices that worked before.
pub(super) type Prices = HashMap<Key, f64>;

/// A bound on every plan that a relaxation covers.
pub(super) struct Bound {
    pub(super) score: i128,
    /// Mean of the closures found, by node.
    pub(super) mean: Vec<f64>,
    /// The closure at the best prices.
    pub(super) closure: Vec<bool>,
    /// By step node: the least drop of the bound if that step is settled against the closure.
    pub(super) regret: Vec<i128>,
}

/// A relaxation that is being priced.
pub(super) struct Pricing<'a> {
    relaxation: &'a Relaxation,
    graph: ClosureGraph,
    limit: i128,
}

impl<'a> Pricing<'a> {
    pub(super) fn new(relaxation: &'a Relaxation) -> Self {
        let size: i128 = relaxation.weights.iter().map(|w| w.abs()).sum();
        let coefficients: i128 = relaxation
            .priced
            .iter()
            .map(|p| p.constant.abs() + p.terms.iter().map(|t| i128::from(t.1.abs())).sum::<i128>())
            .sum();
        let graph = ClosureGraph::new(relaxation.weights.len(), &relaxation.arcs);
        Self { relaxation, graph, limit: size.min(i128::MAX / 8 / (coefficients + 1)) }
    }

    /// The heaviest closure at zero prices.
    pub(super) fn heaviest(&self) -> Vec<bool> {
        self.at(&mut Solver::new(&self.graph), &vec![0; self.relaxation.priced.len()]).1
    }

    /// The bound at zero prices.
    pub(super) fn unpriced(&self) -> Bound {
        let mut solver = Solver::new(&self.graph);
        let (score, closure) = self.at(&mut solver, &vec![0; self.relaxation.priced.len()]);
        self.finished(score, closure, None, &solver.balances())
    }

    fn finished(&self, score: i128, closure: Vec<bool>, mean: Option<Vec<f64>>, balances: &[i128]) -> Bound {
        let mean = mean.unwrap_or_else(|| closure.iter().map(|&taken| f64::from(u8::from(taken))).collect());
        let regret = self.regret(&closure, balances);
        Bound { score, mean, closure, regret }
    }

    /// A step that is added brings everything it requires, whose unmet demands count; one that is removed also removes
    /// everything that requires it, whose supplies are lost.
    fn regret(&self, closure: &[bool], balances: &[i128]) -> Vec<i128> {
        let mut seen = vec![0; closure.len()];
        let fall = |node: usize| {
            let mut fall = 0;
            let sign = if closure[node] { 1 } else { -1 };
            self.graph.follow(node, !closure[node], &mut seen, |v| fall += (sign * balances[v]).max(0));
            fall
        };
        (0..self.relaxation.free.len()).map(fall).collect()
    }

    fn rounded(&self, prices: &[f64]) -> Vec<i128> {
        let limit = self.limit;
        let clamp =
            |(p, price): (&PricedInequality, &f64)| (*price as i128).clamp(p.range.0.max(-limit), p.range.1.min(limit));
        self.relaxation.priced.iter().zip(prices).map(clamp).collect()
    }

    /// The bound at given prices, and the closure that attains it.
    fn at(&self, solver: &mut Solver, prices: &[i128]) -> (i128, Vec<bool>) {
        let mut weights = self.relaxation.weights.clone();
        let mut score = self.relaxation.constant;
        for (priced, &price) in self.relaxation.priced.iter().zip(prices) {
            score += price * priced.constant;
            for &(node, coefficient) in &priced.terms {
                weights[node as usize] += price * i128::from(coefficient);
            }
        }
        let closure = solver.heaviest(&weights);
        score += weights.iter().zip(&closure).filter(|(_, taken)| **taken).map(|(w, _)| w).sum::<i128>();
        (score, closure)
    }

    /// Lowers the bound in at most `rounds` trials, stopping once it does not exceed `target`; `met` sees each closure.
    pub(super) fn tighten(
        &self,
        memory: &mut Prices,
        target: impl Fn() -> Option<i128>,
        rounds: usize,
        mut met: impl FnMut(&[bool]),
    ) -> Bound {
        match self.relaxation.priced.as_slice() {
            [only] if only.range.0 == 0 => self.intersect(only, memory, target, met),
            _ => {
                let mut volume = Volume::new(self, memory, if memory.is_empty() { FIRST_STEP } else { LATER_STEP });
                volume.run(&target, rounds, &mut met);
                volume.finish(memory)
            }
        }
    }

    /// One price: the bound is the upper envelope of lines, one per closure.
    fn intersect(
        &self,
        only: &PricedInequality,
        memory: &mut Prices,
        target: impl Fn() -> Option<i128>,
        mut met: impl FnMut(&[bool]),
    ) -> Bound {
        let mut solver = Solver::new(&self.graph);
        let highest = self.limit.min(only.range.1);
        let mut price = memory.get(&only.key).map_or(0, |p| (*p as i128).clamp(0, highest));
        let (mut left, mut right) = (0, highest);
        let (mut rising, mut falling): (Option<Line>, Option<Line>) = (None, None);
        let mut best: Option<(i128, Vec<bool>, Vec<i128>)> = None;
        let mut mean = vec![0.0; self.relaxation.weights.len()];
        for round in 1..=LINES {
            let (score, closure) = self.at(&mut solver, &[price]);
            met(&closure);
            average(&mut mean, &closure, 1.0 / f64::from(round));
            let line = Line { slope: only.slack(&closure), score, price };
            if best.as_ref().is_none_or(|b| score < b.0) {
                best = Some((score, closure, solver.balances()));
                memory.insert(only.key, price as f64);
            }
            if target().is_some_and(|t| score <= t) || line.slope == 0 {
                break;
            }
            if line.slope < 0 {
                (left, falling) = (price, Some(line));
            } else {
                (right, rising) = (price, Some(line));
            }
            let next = match (&falling, &rising) {
                (Some(falling), Some(rising)) => falling.meets(rising),
                (None, _) => left,
                (_, None) => right.min((4 * price).max(self.limit / 1_000_000).max(1)),
            };
            if next == price || next < left || next > right {
                break;
            }
            price = next;
        }
        match best {
            Some((score, closure, balances)) => self.finished(score, closure, Some(mean), &balances),
            None => self.unpriced(),
        }
    }
}

/// Most lines intersected for one bound.
const LINES: u32 = 24;

/// The value of one closure as a function of the price.
struct Line {
    slope: i128,
    score: i128,
    price: i128,
}

impl Line {
    /// The price, rounded down, at which a rising line meets this falling one.
    fn meets(&self, rising: &Self) -> i128 {
        let fall = -self.slope;
        let drop = rising.score - rising.slope * (rising.price - self.price);
        self.price + (self.score - drop).max(0) / (fall + rising.slope)
    }
}

fn average(mean: &mut [f64], closure: &[bool], share: f64) {
    for (m, &taken) in mean.iter_mut().zip(closure) {
        *m += share * (f64::from(u8::from(taken)) - *m);
    }
}

/// First step size, as a share of the distance to the target: prices that worked before are close to the best.
const FIRST_STEP: f64 = 0.5;
const LATER_STEP: f64 = 0.2;

/// Rounds between progress checks.
const REVIEW: usize = 15;

/// State of the volume algorithm.
struct Volume<'a, 'b> {
    pricing: &'a Pricing<'b>,
    solver: Solver<'a>,
    /// Prices at the best bound.
    centre: Vec<f64>,
    score: i128,
    closure: Vec<bool>,
    balances: Vec<i128>,
    /// A mean of the closures found.
    mean: Vec<f64>,
    step: f64,
    /// Each inequality as floats, which only choose prices.
    rows: Vec<Row>,
}

/// A priced inequality, in floats.
struct Row {
    constant: f64,
    /// Typical size of its slack, used to scale steps.
    size: f64,
    /// The least and the largest price.
    low: f64,
    high: f64,
}

impl Row {
    fn new(priced: &PricedInequality, limit: i128) -> Self {
        let size = priced.terms.iter().map(|t| t.1.abs() as f64).sum::<f64>() / priced.terms.len() as f64;
        let (low, high) = (priced.range.0.max(-limit) as f64, priced.range.1.min(limit) as f64);
        Self { constant: priced.constant as f64, size, low, high }
    }
}

impl<'a, 'b> Volume<'a, 'b> {
    fn new(pricing: &'a Pricing<'b>, memory: &Prices, step: f64) -> Self {
        let priced = &pricing.relaxation.priced;
        let centre: Vec<f64> = priced.iter().map(|p| memory.get(&p.key).copied().unwrap_or(first_price(p))).collect();
        let rows = priced.iter().map(|p| Row::new(p, pricing.limit)).collect();
        let mut solver = Solver::new(&pricing.graph);
        let (score, closure) = pricing.at(&mut solver, &pricing.rounded(&centre));
        let mean = closure.iter().map(|&taken| f64::from(u8::from(taken))).collect();
        let balances = solver.balances();
        Self { pricing, solver, centre, score, closure, balances, mean, step, rows }
    }

    fn run(&mut self, target: &impl Fn() -> Option<i128>, rounds: usize, met: &mut impl FnMut(&[bool])) {
        met(&self.closure);
        let (mut idle, mut checked) = (0, self.score);
        for round in 1..=rounds {
            if target().is_some_and(|t| self.score <= t) {
                return;
            }
            let Some(trial) = self.trial(target()) else { return };
            let prices = self.pricing.rounded(&trial);
            let (score, closure) = self.pricing.at(&mut self.solver, &prices);
            met(&closure);
            average(&mut self.mean, &closure, 0.15);
            if score < self.score {
                (self.score, self.closure, self.centre) = (score, closure, trial);
                self.balances = self.solver.balances();
                self.step = (self.step * 1.1).min(2.0);
                idle = 0;
            } else {
                idle += 1;
                self.step *= if idle > 3 { 0.7 } else { 0.95 };
            }
            if self.step < 1e-4 || (round % REVIEW == 0 && self.stalls(checked, target())) {
                return;
            }
            if round % REVIEW == 0 {
                checked = self.score;
            }
        }
    }

    /// Whether the bound has hardly approached the target since it was `before`.
    fn stalls(&self, before: i128, target: Option<i128>) -> bool {
        target.is_some_and(|t| (before - self.score) as f64 <= 0.01 * (self.score - t) as f64)
    }

    /// Prices a step down from the centre, against the slacks of the mean closure.
    fn trial(&self, target: Option<i128>) -> Option<Vec<f64>> {
        let priced = &self.pricing.relaxation.priced;
        let slack = |(p, row): (&PricedInequality, &Row)| {
            let sum: f64 = p.terms.iter().map(|t| t.1 as f64 * self.mean[t.0 as usize]).sum();
            (row.constant + sum) / row.size
        };
        let slacks: Vec<f64> = priced.iter().zip(&self.rows).map(slack).collect();
        let open = |(n, row): (usize, &Row)| {
            (slacks[n] <= 0.0 || self.centre[n] > row.low) && (slacks[n] >= 0.0 || self.centre[n] < row.high)
        };
        let norm: f64 = self.rows.iter().enumerate().filter(|&row| open(row)).map(|(n, _)| slacks[n] * slacks[n]).sum();
        if norm < 1e-9 {
            return None;
        }
        let gap = target.map_or(self.score.abs() / 20, |t| self.score - t) as f64;
        let length = self.step * gap.max(1.0) / norm;
        let moved = |(n, row): (usize, &Row)| (self.centre[n] - length * slacks[n] / row.size).clamp(row.low, row.high);
        Some(self.rows.iter().enumerate().map(moved).collect())
    }

    fn finish(self, memory: &mut Prices) -> Bound {
        for (priced, price) in self.pricing.relaxation.priced.iter().zip(&self.centre) {
            memory.insert(priced.key, *price);
        }
        self.pricing.finished(self.score, self.closure, Some(self.mean), &self.balances)
    }
}

/// The starting price: the middle of a bounded range, otherwise zero.
fn first_price(priced: &PricedInequality) -> f64 {
    match priced.range {
        (_, i128::MAX) => 0.0,
        (low, high) => (low + high) as f64 / 2.0,
    }
}
