//! The closure relaxation under construction: nodes, arcs, and inequalities that are priced.

use super::fixing::StepMark;
use super::objective::Objective;
use super::problem::Problem;

/// A condition as the relaxation sees it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Lit {
    False,
    True,
    Node(u32),
}

/// Names a priced inequality, so that its price is remembered from one relaxation to the next.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(super) enum Key {
    Cap,
    Demand(usize),
    Group(usize),
    Rule { rule: usize, price: i64 },
    Upgrade { item: usize, price: i64 },
}

/// `constant + Σ coefficient × node`, which is ≥ 0 (or 0, or free in sign while the price is bounded) in every plan.
#[derive(Debug, Clone)]
pub(super) struct PricedInequality {
    pub(super) key: Key,
    pub(super) constant: i128,
    pub(super) terms: Vec<(u32, i64)>,
    /// The least and the largest price for which the bound holds.
    pub(super) range: (i128, i128),
}

impl PricedInequality {
    pub(super) fn new(key: Key, range: (i128, i128)) -> Self {
        Self { key, constant: 0, terms: Vec::new(), range }
    }

    /// Adds `coefficient` × `lit`.
    pub(super) fn add(&mut self, lit: Lit, coefficient: i64) {
        match lit {
            Lit::False => {}
            Lit::True => self.constant += i128::from(coefficient),
            Lit::Node(node) => self.terms.push((node, coefficient)),
        }
    }

    /// Its value at a closure.
    pub(super) fn slack(&self, closure: &[bool]) -> i128 {
        self.constant + self.terms.iter().filter(|(n, _)| closure[*n as usize]).map(|t| i128::from(t.1)).sum::<i128>()
    }
}

/// Stands for no limit on a price; what a search uses is limited further.
const PRICE_LIMIT: i128 = i128::MAX;

/// A maximum-weight closure problem with priced inequalities.
pub(super) struct Relaxation {
    /// Steps that are not settled; step `free[n]` is node `n`.
    pub(super) free: Vec<usize>,
    pub(super) weights: Vec<i128>,
    /// `(a, b)`: node a requires node b.
    pub(super) arcs: Vec<(u32, u32)>,
    pub(super) constant: i128,
    pub(super) priced: Vec<PricedInequality>,
}

impl Relaxation {
    /// Whether the heaviest closure is the best plan, not only a bound.
    pub(super) fn is_exact(&self) -> bool {
        self.priced.is_empty()
    }
}

/// A relaxation under construction.
pub(super) struct Net<'a> {
    pub(super) problem: &'a Problem,
    pub(super) marks: &'a [StepMark],
    /// Worth of one millicent.
    pub(super) millicent: i128,
    pub(super) steps: Vec<Lit>,
    groups: Vec<Lit>,
    /// Item → whether it is present.
    pub(super) freed: Vec<Lit>,
    pub(super) relaxation: Relaxation,
}

impl<'a> Net<'a> {
    pub(super) fn new(problem: &'a Problem, marks: &'a [StepMark], objective: &Objective) -> Self {
        let free: Vec<usize> = (0..marks.len()).filter(|&s| marks[s] == StepMark::Free).collect();
        let mut steps: Vec<Lit> =
            marks.iter().map(|m| if *m == StepMark::In { Lit::True } else { Lit::False }).collect();
        free.iter().enumerate().for_each(|(node, &s)| steps[s] = Lit::Node(node as u32));
        let weights = free.iter().map(|&s| objective.effort(problem, s)).collect();
        let settled = (0..marks.len()).filter(|&s| marks[s] == StepMark::In);
        let constant = settled.map(|s| objective.effort(problem, s)).sum();
        let relaxation = Relaxation { free, weights, arcs: Vec::new(), constant, priced: Vec::new() };
        let mut net =
            Self { problem, marks, millicent: objective.millicent(), steps, groups: vec![], freed: vec![], relaxation };
        net.groups = (0..problem.structure().members.len()).map(|g| net.group(g)).collect();
        let by = &problem.structure().freed_by;
        net.freed = by.iter().map(|g| g.map_or(Lit::False, |g| net.groups[g])).collect();
        net.freed[0] = Lit::True;
        net
    }

    /// A new node of weight 0.
    pub(super) fn node(&mut self) -> Lit {
        self.relaxation.weights.push(0);
        Lit::Node(self.relaxation.weights.len() as u32 - 1)
    }

    /// Adds to the weight of a condition.
    pub(super) fn weigh(&mut self, lit: Lit, weight: i128) {
        match lit {
            Lit::False => {}
            Lit::True => self.relaxation.constant += weight,
            Lit::Node(node) => self.relaxation.weights[node as usize] += weight,
        }
    }

    /// Lets `a` require `b`. What requires the impossible has been ruled out by propagation.
    pub(super) fn require(&mut self, a: Lit, b: Lit) {
        if let (Lit::Node(a), Lit::Node(b)) = (a, b) {
            self.relaxation.arcs.push((a, b));
        }
    }

    /// Prices an inequality, unless nothing in it is open.
    pub(super) fn price(&mut self, priced: PricedInequality) {
        if !priced.terms.is_empty() {
            self.relaxation.priced.push(priced);
        }
    }

    /// Whether at least one step of a group is done.
    fn group(&mut self, group: usize) -> Lit {
        let structure = self.problem.structure();
        let members = structure.members.row(group);
        if let &[only] = members {
            return self.steps[only as usize];
        }
        let lits: Vec<Lit> = members.iter().map(|&s| self.steps[s as usize]).filter(|l| *l != Lit::False).collect();
        match lits.as_slice() {
            [] => Lit::False,
            [only] => *only,
            many if many.contains(&Lit::True) => Lit::True,
            many => {
                let any = self.node();
                let lowest = if structure.exclusive[group] { -PRICE_LIMIT } else { 0 };
                let mut priced = PricedInequality::new(Key::Group(group), (lowest, PRICE_LIMIT));
                priced.add(any, -1);
                for &lit in many {
                    self.require(lit, any);
                    priced.add(lit, 1);
                }
                self.price(priced);
                any
            }
        }
    }

    pub(super) fn prerequisites(&mut self) {
        for node in 0..self.relaxation.free.len() {
            let step = self.relaxation.free[node];
            for &group in self.problem.structure().needs.row(step) {
                self.require(Lit::Node(node as u32), self.groups[group as usize]);
            }
        }
    }

    /// At least one way to satisfy each demand is taken.
    pub(super) fn demands(&mut self, demands: &[Vec<usize>]) {
        for (at, ways) in demands.iter().enumerate() {
            if ways.iter().any(|&way| self.steps[way] == Lit::True) {
                continue;
            }
            let mut priced = PricedInequality::new(Key::Demand(at), (0, PRICE_LIMIT));
            priced.constant = -1;
            ways.iter().for_each(|&way| priced.add(self.steps[way], 1));
            self.price(priced);
        }
    }

    pub(super) fn cap(&mut self, cap: Option<i64>) {
        let Some(cap) = cap else { return };
        let mut priced = PricedInequality::new(Key::Cap, (0, PRICE_LIMIT));
        priced.constant = i128::from(cap);
        for step in self.problem.steps() {
            priced.add(self.steps[step.id], -step.minutes);
        }
        let least = priced.constant + priced.terms.iter().map(|t| i128::from(t.1)).sum::<i128>();
        if least < 0 {
            self.price(priced);
        }
    }
}
