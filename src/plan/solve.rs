//! How far to go: the best plan, from the start or from the current state.

use super::bound::Pricing;
use super::evaluate::{NotExecutable, Plan, evaluate};
use super::fixing::{BoundTerms, StepMark, propagate};
use super::general::{Effort, Memory, SearchOutcome, search};
use super::objective::Objective;
use super::problem::Problem;
use super::relax::relax;
use super::structure::sorted;

/// Steps that are no longer a choice.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Settled {
    /// Already done. They count in the value; the time cap applies to what is still to do.
    pub done: Vec<usize>,
    /// To be done whatever they earn, such as taking out what the law demands.
    pub forced: Vec<usize>,
    /// At least one step of each list must be done, whatever it earns; the best plan chooses which.
    pub any_of: Vec<Vec<usize>>,
    /// Not to be done.
    pub forbidden: Vec<usize>,
}

/// The best plan found, and what is proven about it.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct Solution {
    /// The plan, including settled steps.
    pub plan: Plan,
    /// Upper bound on the value of any plan, in millicents. Equal to this plan's value if it is proven optimal.
    pub bound_millicents: i64,
    /// Whether the plan is proven to be worth most and, among such plans, to take the fewest minutes, then steps.
    pub proven: bool,
    /// Search tree nodes opened; 0 if one minimum cut was enough.
    pub nodes: u64,
}

/// Why there is no plan.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum NoPlan {
    /// The steps given as done cannot have been.
    #[error("the steps already done do not fit the problem: {0}")]
    Done(NotExecutable),
    /// A settled step does not exist.
    #[error("settled step {step} does not exist; there are {count}, counted from 0")]
    Unknown {
        /// The step named.
        step: usize,
        /// How many steps there are.
        count: usize,
    },
    /// Done, forced, demanded and forbidden steps and the time cap together admit no plan.
    #[error("no order of work has all forced and none of the forbidden steps within the time cap; release one of them")]
    Infeasible,
    /// The search stopped before it found any plan.
    #[error("the search stopped after {nodes} nodes before it met a plan with all forced steps; allow more effort")]
    Unfinished {
        /// Nodes opened.
        nodes: u64,
    },
}

/// The plan worth most, from the start.
///
/// # Errors
/// [`NoPlan::Infeasible`] cannot happen here: doing nothing is a plan.
pub fn best_plan(problem: &Problem, effort: &Effort) -> Result<Solution, NoPlan> {
    best_continuation(problem, &Settled::default(), effort)
}

/// The plan worth most among those consistent with what is settled.
///
/// # Errors
/// See [`NoPlan`].
pub fn best_continuation(problem: &Problem, settled: &Settled, effort: &Effort) -> Result<Solution, NoPlan> {
    Position::new(problem, settled)?.maximise(&Objective::new(problem, 1, 0), effort)
}

/// A problem with the settled steps applied.
#[derive(Clone)]
pub(super) struct Position<'a> {
    pub(super) problem: &'a Problem,
    pub(super) marks: Vec<StepMark>,
    terms: BoundTerms,
    memory: Memory,
}

impl<'a> Position<'a> {
    pub(super) fn new(problem: &'a Problem, settled: &Settled) -> Result<Self, NoPlan> {
        Self::with_spare(problem, settled, problem.time_cap_minutes())
    }

    /// The position with this many minutes for the remaining work, whatever the problem's own cap.
    pub(super) fn with_spare(problem: &'a Problem, settled: &Settled, spare: Option<i64>) -> Result<Self, NoPlan> {
        let spent = match settled.done.as_slice() {
            [] => 0,
            done => evaluate(problem, done).map_err(NoPlan::Done)?.minutes,
        };
        let cap = spare.map(|minutes| minutes.saturating_add(spent));
        let count = problem.steps().len();
        if let Some(&step) = settled.any_of.iter().flatten().find(|&&step| step >= count) {
            return Err(NoPlan::Unknown { step, count });
        }
        let terms = BoundTerms { cap, demands: settled.any_of.iter().map(|ways| sorted(ways)).collect() };
        let marks = vec![StepMark::Free; problem.steps().len()];
        let mut position = Self { problem, marks, terms, memory: Memory::default() };
        position.settle(&settled.done, StepMark::In)?;
        position.settle(&settled.forced, StepMark::In)?;
        position.settle(&settled.forbidden, StepMark::Out)?;
        position.propagated()
    }

    /// The same with one more step forced.
    pub(super) fn forcing(&self, step: usize) -> Result<Self, NoPlan> {
        let mut position = self.clone();
        position.settle(&[step], StepMark::In)?;
        position.propagated()
    }

    /// The same with at most `minutes` in all, including those already spent.
    pub(super) fn within(&self, minutes: i64) -> Result<Self, NoPlan> {
        let terms = BoundTerms { cap: Some(minutes), ..self.terms.clone() };
        Self { terms, ..self.clone() }.propagated()
    }

    fn settle(&mut self, steps: &[usize], mark: StepMark) -> Result<(), NoPlan> {
        let count = self.marks.len();
        for &step in steps {
            match self.marks.get_mut(step) {
                None => return Err(NoPlan::Unknown { step, count }),
                Some(seen) if *seen != StepMark::Free && *seen != mark => return Err(NoPlan::Infeasible),
                Some(seen) => *seen = mark,
            }
        }
        Ok(())
    }

    fn propagated(mut self) -> Result<Self, NoPlan> {
        propagate(self.problem, &mut self.marks, &self.terms).map_err(|_| NoPlan::Infeasible)?;
        Ok(self)
    }

    /// The best plan by an objective, with the fewest minutes and then steps among equals.
    pub(super) fn maximise(&self, objective: &Objective, effort: &Effort) -> Result<Solution, NoPlan> {
        self.maximise_from(objective, effort, &[])
    }

    /// The same, given plans of this position that may be as good, so that their worth need not be found again.
    pub(super) fn maximise_from(
        &self,
        objective: &Objective,
        effort: &Effort,
        known: &[&Plan],
    ) -> Result<Solution, NoPlan> {
        if let Some(plan) = self.by_cut(objective) {
            return Ok(Solution { bound_millicents: plan.value_millicents, plan, proven: true, nodes: 0 });
        }
        let SearchOutcome { best, bound, nodes, finished } =
            search(self.problem, self.marks.clone(), &self.terms, *objective, effort, known, &self.memory);
        let plan = best.ok_or(if finished { NoPlan::Infeasible } else { NoPlan::Unfinished { nodes } })?;
        let proven = bound <= objective.score(&plan);
        let bound = if proven { plan.value_millicents } else { objective.value_bound(bound).min(self.problem.span()) };
        Ok(Solution { plan, bound_millicents: bound, proven, nodes })
    }

    /// The best plan if one minimum cut finds it: the smallest heaviest closure has the fewest minutes and steps.
    fn by_cut(&self, objective: &Objective) -> Option<Plan> {
        let relaxation = relax(self.problem, &self.marks, &BoundTerms::default(), &objective.untied());
        if !relaxation.is_exact() {
            return None;
        }
        let closure = Pricing::new(&relaxation).heaviest();
        let taken = relaxation.free.iter().zip(&closure).filter(|(_, taken)| **taken).map(|(&s, _)| s);
        let settled = (0..self.marks.len()).filter(|&s| self.marks[s] == StepMark::In);
        let steps: Vec<usize> = settled.chain(taken).collect();
        evaluate(self.problem, &steps).ok().filter(|plan| self.terms.are_met_by(plan))
    }
}
