//! Which steps are settled, and what follows.

use std::rc::Rc;

use super::evaluate::Plan;
use super::problem::Problem;
use super::waiting::reachable;

/// What is settled about a step.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum StepMark {
    Free,
    In,
    Out,
}

/// No plan satisfies the settled choices.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Conflict;

/// Constraints on every plan, whatever the marks.
#[derive(Debug, Clone, Default)]
pub(super) struct BoundTerms {
    /// The time cap in minutes, including time already spent.
    pub(super) cap: Option<i64>,
    /// At least one step of each list is done.
    pub(super) demands: Rc<[Vec<usize>]>,
}

impl BoundTerms {
    pub(super) fn are_met_by(&self, plan: &Plan) -> bool {
        self.cap.is_none_or(|cap| plan.minutes <= cap)
            && self.demands.iter().all(|ways| ways.iter().any(|way| plan.steps.contains(way)))
    }
}

/// Propagates `marks` and the terms.
pub(super) fn propagate(problem: &Problem, marks: &mut [StepMark], terms: &BoundTerms) -> Result<(), Conflict> {
    loop {
        let spare = spare_minutes(problem, marks, terms.cap)?;
        let blocked = block_unreachable(problem, marks, spare)?;
        let demanded = force_demanded(marks, &terms.demands)?;
        let forced = force_needed(problem, marks)?;
        if !blocked && !demanded && !forced {
            return Ok(());
        }
    }
}

fn spare_minutes(problem: &Problem, marks: &[StepMark], cap: Option<i64>) -> Result<i64, Conflict> {
    let Some(cap) = cap else { return Ok(i64::MAX) };
    let spent: i64 = problem.steps().iter().filter(|s| marks[s.id] == StepMark::In).map(|s| s.minutes).sum();
    if spent > cap { Err(Conflict) } else { Ok(cap - spent) }
}

/// Rules out free steps that no order of work reaches in the remaining time.
fn block_unreachable(problem: &Problem, marks: &mut [StepMark], spare: i64) -> Result<bool, Conflict> {
    let allowed = |s: usize| match marks[s] {
        StepMark::In => true,
        StepMark::Free => problem.steps()[s].minutes <= spare,
        StepMark::Out => false,
    };
    let (reached, _) = reachable(problem.structure(), allowed);
    let mut changed = false;
    for (mark, reached) in marks.iter_mut().zip(reached) {
        match *mark {
            StepMark::In if !reached => return Err(Conflict),
            StepMark::Free if !reached => (*mark, changed) = (StepMark::Out, true),
            _ => {}
        }
    }
    Ok(changed)
}

/// Forces the last way left to satisfy a demand.
fn force_demanded(marks: &mut [StepMark], demands: &[Vec<usize>]) -> Result<bool, Conflict> {
    let mut changed = false;
    for ways in demands {
        if let Some(only) = last_way(ways.iter().copied(), marks)? {
            (marks[only], changed) = (StepMark::In, true);
        }
    }
    Ok(changed)
}

/// Forces the last way left to satisfy a need, and rules out what excludes a forced step.
fn force_needed(problem: &Problem, marks: &mut [StepMark]) -> Result<bool, Conflict> {
    let structure = problem.structure();
    let mut stack: Vec<usize> = (0..marks.len()).filter(|&s| marks[s] == StepMark::In).collect();
    let mut changed = false;
    while let Some(step) = stack.pop() {
        for &group in structure.needs.row(step) {
            if let Some(only) = last_way(structure.members.row(group as usize).iter().map(|&s| s as usize), marks)? {
                marks[only] = StepMark::In;
                stack.push(only);
                changed = true;
            }
        }
        for &group in structure.helps.row(step).iter().filter(|&&g| structure.exclusive[g as usize]) {
            for other in structure.members.row(group as usize).iter().map(|&s| s as usize).filter(|&s| s != step) {
                match marks[other] {
                    StepMark::In => return Err(Conflict),
                    StepMark::Free => (marks[other], changed) = (StepMark::Out, true),
                    StepMark::Out => {}
                }
            }
        }
    }
    Ok(changed)
}

/// The only free step of a group with none forced and all others ruled out.
fn last_way(members: impl Iterator<Item = usize>, marks: &[StepMark]) -> Result<Option<usize>, Conflict> {
    let mut open = members.filter(|&s| marks[s] != StepMark::Out);
    match (open.next(), open.next()) {
        (None, _) => Err(Conflict),
        (Some(only), None) if marks[only] == StepMark::Free => Ok(Some(only)),
        _ => Ok(None),
    }
}
