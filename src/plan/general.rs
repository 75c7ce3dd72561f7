//! Best-first branch and bound for everything that is not a plain closure.
//!
//! Bounds come from the closure relaxation; every plan found on the way is scored by the evaluator, so that no plan is
//! better on paper than in fact. The minimum cut's node balances tell how far a bound falls if one step is settled the
//! other way; if it falls to the best known plan, the step is settled for good (reduced cost fixing). The search is
//! deterministic: it counts nodes, not seconds.

use std::cell::RefCell;
use std::cmp::Ordering;
use std::collections::BinaryHeap;
use std::rc::Rc;

use super::bound::{Bound, Prices, Pricing};
use super::evaluate::{Plan, evaluate};
use super::fixing::{BoundTerms, Conflict, StepMark, propagate};
use super::net::Relaxation;
use super::objective::Objective;
use super::problem::Problem;
use super::relax::relax;
use super::waiting::Waiting;

/// When to give up proving.
#[derive(Clone, Copy)]
pub struct Effort<'a> {
    /// Most search tree nodes to open.
    pub nodes: u64,
    /// Called at each node; true stops the search. A clock belongs here, not in this room.
    pub stop: Option<&'a dyn Fn() -> bool>,
}

impl Default for Effort<'_> {
    fn default() -> Self {
        Self { nodes: 20_000, stop: None }
    }
}

/// The result of a search.
pub(super) struct SearchOutcome {
    pub(super) best: Option<Plan>,
    /// No plan scores more.
    pub(super) bound: i128,
    pub(super) nodes: u64,
    /// Whether the whole tree was explored, except what cannot be better.
    pub(super) finished: bool,
}

/// What earlier searches of a problem pass on to later ones, whatever their objectives.
#[derive(Debug, Clone, Default)]
pub(super) struct Memory {
    /// Prices at the root, per millicent.
    prices: Rc<RefCell<Prices>>,
}

impl Memory {
    fn recall(&self, objective: &Objective) -> Prices {
        let unit = objective.millicent() as f64;
        self.prices.borrow().iter().map(|(&key, price)| (key, price * unit)).collect()
    }

    fn keep(&self, prices: &Prices, objective: &Objective) {
        let unit = objective.millicent() as f64;
        self.prices.borrow_mut().extend(prices.iter().map(|(&key, price)| (key, price / unit)));
    }
}

/// Searches for the best plan under `marks` (propagated) and `terms`, starting from the `known` feasible plans.
pub(super) fn search(
    problem: &Problem,
    marks: Vec<StepMark>,
    terms: &BoundTerms,
    objective: Objective,
    effort: &Effort,
    known: &[&Plan],
    memory: &Memory,
) -> SearchOutcome {
    let mut search =
        Search { problem, terms, objective, memory, best: None, open: BinaryHeap::new(), nodes: 0, wanted: Vec::new() };
    search.repair(&marks, &vec![false; marks.len()]);
    for plan in known {
        search.keep(&plan.steps);
    }
    search.open.push(Branch { bound: i128::MAX, depth: 0, marks, prices: Rc::new(memory.recall(&objective)) });
    search.run(effort)
}

/// An unexplored part of the tree.
struct Branch {
    bound: i128,
    depth: u32,
    marks: Vec<StepMark>,
    /// Prices used to bound its parent.
    prices: Rc<Prices>,
}

impl Ord for Branch {
    fn cmp(&self, other: &Self) -> Ordering {
        self.bound.cmp(&other.bound).then(self.depth.cmp(&other.depth))
    }
}

impl PartialOrd for Branch {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl PartialEq for Branch {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl Eq for Branch {}

/// Rounds of pricing at the root and below.
const ROOT_ROUNDS: usize = 200;
const NODE_ROUNDS: usize = 30;

/// Problems with more steps than this are not improved step by step, which takes quadratic time.
const POLISHED: usize = 500;

struct Search<'a> {
    problem: &'a Problem,
    terms: &'a BoundTerms,
    objective: Objective,
    memory: &'a Memory,
    best: Option<(i128, Plan)>,
    open: BinaryHeap<Branch>,
    nodes: u64,
    /// The steps wanted last: repeating them hardly gives another plan.
    wanted: Vec<bool>,
}

impl Search<'_> {
    fn run(mut self, effort: &Effort) -> SearchOutcome {
        let mut bound = None;
        while let Some(branch) = self.open.pop() {
            if self.beaten(branch.bound) {
                break;
            }
            if self.nodes >= effort.nodes || effort.stop.is_some_and(|stop| stop()) {
                bound = Some(branch.bound);
                break;
            }
            self.nodes += 1;
            self.explore(branch);
        }
        let found = self.best.as_ref().map_or(i128::MIN, |b| b.0);
        SearchOutcome {
            finished: bound.is_none(),
            bound: bound.unwrap_or(found).max(found),
            best: self.best.map(|b| b.1),
            nodes: self.nodes,
        }
    }

    fn beaten(&self, bound: i128) -> bool {
        self.best.as_ref().is_some_and(|b| bound <= b.0)
    }

    fn explore(&mut self, mut branch: Branch) {
        let relaxation = relax(self.problem, &branch.marks, self.terms, &self.objective);
        if relaxation.free.is_empty() {
            self.repair(&branch.marks, &vec![false; branch.marks.len()]);
            return;
        }
        let bound = self.bound(&mut branch, &relaxation);
        if self.beaten(bound.score) {
            return;
        }
        match self.fix(&mut branch.marks, &relaxation, &bound) {
            Err(Conflict) => {}
            Ok(0) => self.split(branch, &relaxation, &bound),
            Ok(_) => {
                branch.bound = branch.bound.min(bound.score);
                self.open.push(branch);
            }
        }
    }

    fn split(&mut self, branch: Branch, relaxation: &Relaxation, bound: &Bound) {
        let step = choose(self.problem, &branch.marks, relaxation, bound);
        for mark in [StepMark::In, StepMark::Out] {
            let mut marks = branch.marks.clone();
            marks[step] = mark;
            if propagate(self.problem, &mut marks, self.terms).is_ok() {
                let bound = bound.score.min(branch.bound);
                self.open.push(Branch { bound, depth: branch.depth + 1, marks, prices: branch.prices.clone() });
            }
        }
    }

    /// Settles every step that no better plan has the other way; returns how many.
    fn fix(&self, marks: &mut [StepMark], relaxation: &Relaxation, bound: &Bound) -> Result<usize, Conflict> {
        let mut fixed = 0;
        for (node, &step) in relaxation.free.iter().enumerate() {
            if self.beaten(bound.score - bound.regret[node]) {
                marks[step] = if bound.closure[node] { StepMark::In } else { StepMark::Out };
                fixed += 1;
            }
        }
        if fixed > 0 {
            propagate(self.problem, marks, self.terms)?;
        }
        Ok(fixed)
    }

    fn bound(&mut self, branch: &mut Branch, relaxation: &Relaxation) -> Bound {
        let rounds = if branch.depth == 0 { ROOT_ROUNDS } else { NODE_ROUNDS };
        let pricing = Pricing::new(relaxation);
        if relaxation.priced.is_empty() {
            let bound = pricing.unpriced();
            self.meet(branch, relaxation, &bound.closure);
            return bound;
        }
        let mut prices = Prices::clone(&branch.prices);
        let best = std::cell::Cell::new(self.best.as_ref().map(|b| b.0));
        let bound = pricing.tighten(
            &mut prices,
            || best.get(),
            rounds,
            |closure| {
                self.meet(branch, relaxation, closure);
                best.set(self.best.as_ref().map(|b| b.0));
            },
        );
        if branch.depth == 0 {
            self.memory.keep(&prices, &self.objective);
        }
        branch.prices = Rc::new(prices);
        bound
    }

    fn meet(&mut self, branch: &Branch, relaxation: &Relaxation, closure: &[bool]) {
        let mut wanted = vec![false; branch.marks.len()];
        relaxation.free.iter().zip(closure).for_each(|(&s, &taken)| wanted[s] = taken);
        for (wanted, mark) in wanted.iter_mut().zip(&branch.marks) {
            *wanted |= *mark == StepMark::In;
        }
        if self.wanted != wanted {
            self.repair(&branch.marks, &wanted);
            self.wanted = wanted;
        }
    }

    /// Does what is possible of the wanted and settled steps, and keeps the plan if it is the best so far.
    fn repair(&mut self, marks: &[StepMark], wanted: &[bool]) {
        let mut builder = Builder::new(self.problem, self.terms.cap);
        builder.reserve(marks);
        builder.take(|s| marks[s] == StepMark::In || wanted[s]);
        if (0..marks.len()).any(|s| marks[s] == StepMark::In && !builder.done[s]) {
            return;
        }
        if self.keep(&builder.steps()) && marks.len() <= POLISHED {
            self.polish(marks);
        }
    }

    fn keep(&mut self, steps: &[usize]) -> bool {
        let Ok(plan) = evaluate(self.problem, steps) else { return false };
        if !self.terms.are_met_by(&plan) {
            return false;
        }
        let score = self.objective.score(&plan);
        let better = !self.beaten(score);
        if better {
            self.best = Some((score, plan));
        }
        better
    }

    /// Adds and drops single steps while that helps.
    fn polish(&mut self, marks: &[StepMark]) {
        let mut improved = true;
        while improved {
            improved = false;
            for step in (0..marks.len()).filter(|&s| marks[s] == StepMark::Free) {
                let Some((_, plan)) = &self.best else { return };
                let mut steps = plan.steps.clone();
                match steps.iter().position(|&s| s == step) {
                    Some(at) => drop(steps.remove(at)),
                    None => steps.push(step),
                }
                improved |= self.keep(&steps);
            }
        }
    }
}

/// Does steps in an executable order as far as time and exclusion allow.
struct Builder<'a> {
    problem: &'a Problem,
    done: Vec<bool>,
    taken: Vec<bool>,
    /// Minutes left for unsettled steps.
    spare: i64,
    reserved: Vec<bool>,
}

impl<'a> Builder<'a> {
    fn new(problem: &'a Problem, cap: Option<i64>) -> Self {
        let groups = problem.structure().members.len();
        let steps = problem.steps().len();
        let spare = cap.unwrap_or(i64::MAX);
        Self { problem, done: vec![false; steps], taken: vec![false; groups], spare, reserved: vec![false; steps] }
    }

    /// Reserves time for the settled steps.
    fn reserve(&mut self, marks: &[StepMark]) {
        for step in self.problem.steps().iter().filter(|s| marks[s.id] == StepMark::In) {
            self.reserved[step.id] = true;
            self.spare = self.spare.saturating_sub(step.minutes);
        }
    }

    fn take(&mut self, wanted: impl Fn(usize) -> bool) {
        let mut wait = Waiting::new(self.problem.structure());
        let mut ready: Vec<usize> = (0..self.done.len()).filter(|&s| wait.missing[s] == 0 && wanted(s)).collect();
        let mut next = 0;
        while let Some(&step) = ready.get(next) {
            next += 1;
            if self.admits(step) {
                self.done[step] = true;
                wait.complete(step, |user| {
                    if wanted(user) {
                        ready.push(user);
                    }
                });
            }
        }
    }

    fn admits(&mut self, step: usize) -> bool {
        let structure = self.problem.structure();
        let exclusive = || structure.helps.row(step).iter().map(|&g| g as usize).filter(|&g| structure.exclusive[g]);
        let minutes = self.problem.steps()[step].minutes;
        if exclusive().any(|g| self.taken[g]) || (!self.reserved[step] && minutes > self.spare) {
            return false;
        }
        exclusive().for_each(|g| self.taken[g] = true);
        if !self.reserved[step] {
            self.spare -= minutes;
        }
        true
    }

    fn steps(&self) -> Vec<usize> {
        (0..self.done.len()).filter(|&s| self.done[s]).collect()
    }
}

/// The free step on which the relaxation is most undecided.
fn choose(problem: &Problem, marks: &[StepMark], relaxation: &Relaxation, bound: &Bound) -> usize {
    let undecided = |n: usize| bound.mean[n].min(1.0 - bound.mean[n]);
    let nodes = 0..relaxation.free.len();
    let widest = nodes.max_by(|&a, &b| undecided(a).total_cmp(&undecided(b)).then(b.cmp(&a)));
    match widest {
        Some(node) if undecided(node) > 0.02 => relaxation.free[node],
        _ => unsettled(problem, marks, relaxation, bound).unwrap_or(relaxation.free[0]),
    }
}

/// A free step that the bound treats too favourably although the closures found agree on it.
fn unsettled(problem: &Problem, marks: &[StepMark], relaxation: &Relaxation, bound: &Bound) -> Option<usize> {
    let structure = problem.structure();
    let free = |s: usize| marks[s] == StepMark::Free;
    let taken =
        |s: usize| marks[s] == StepMark::In || relaxation.free.binary_search(&s).is_ok_and(|n| bound.closure[n]);
    let (reached, _) = super::waiting::reachable(structure, taken);
    let stuck = (0..marks.len()).filter(|&s| taken(s) && !reached[s]);
    let helpers = stuck.flat_map(|s| structure.needs.row(s)).flat_map(|&g| structure.members.row(g as usize));
    let mut helpers = helpers.map(|&s| s as usize).filter(|&s| free(s) && !taken(s));
    helpers.next().or_else(|| {
        let mut priced = relaxation.priced.iter().filter(|p| p.slack(&bound.closure) != 0).flat_map(|p| &p.terms);
        priced.find(|t| (t.0 as usize) < relaxation.free.len()).map(|t| relaxation.free[t.0 as usize])
    })
}
