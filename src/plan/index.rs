//! The next-step index: which bundle of steps earns most per minute from here?
//!
//! A single step misleads, since opening a cover earns nothing by itself. The best ratio is found by Dinkelbach's
//! method (1967): solve at the rate reached so far until nothing beats it.

use super::evaluate::{Plan, evaluate};
use super::fixing::StepMark;
use super::general::Effort;
use super::ladder::HourlyRate;
use super::objective::Objective;
use super::problem::Problem;
use super::solve::{NoPlan, Position, Settled, Solution};
use super::waiting::Waiting;

/// A bundle of steps that can be done next.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct StepBundle {
    /// The new steps, in an executable order.
    pub steps: Vec<usize>,
    /// What they add to the value, and how long they take.
    pub rate: HourlyRate,
    /// Whether no bundle is proven better, nor as good in fewer minutes.
    pub proven: bool,
}

/// The bundle with the largest gain per minute after what is done, the shortest among equals; `None` if nothing can be
/// done.
///
/// Forced and demanded steps need not be part of it; forbidden ones never are. The gain may be negative.
///
/// # Errors
/// See [`NoPlan`].
pub fn best_bundle(problem: &Problem, settled: &Settled, effort: &Effort) -> Result<Option<StepBundle>, NoPlan> {
    let settled = Settled { forced: Vec::new(), any_of: Vec::new(), ..settled.clone() };
    let position = Position::new(problem, &settled)?;
    let start = evaluate(problem, &settled.done).map_err(NoPlan::Done)?;
    let search = Search { position, start, effort };
    let entries = search.entries();
    let Some(&first) = entries.first() else { return Ok(None) };
    let mut best = search.with_entry(first, HourlyRate { millicents: 0, minutes: 1 })?;
    let mut proven = best.proven;
    loop {
        let better = search.at(&search.position, search.rate(&best.plan))?;
        proven &= better.proven;
        if better.plan.minutes == search.start.minutes || !search.beats(&better.plan, &best.plan) {
            break;
        }
        best = better;
    }
    search.shortest(&entries, best.plan, proven).map(Some)
}

struct Search<'a, 'b> {
    position: Position<'a>,
    start: Plan,
    effort: &'b Effort<'b>,
}

impl Search<'_, '_> {
    /// Steps that can be done at once; every bundle contains one of them.
    fn entries(&self) -> Vec<usize> {
        let problem = self.position.problem;
        let mut wait = Waiting::new(problem.structure());
        self.start.steps.iter().for_each(|&s| wait.complete(s, |_| ()));
        let ready = |&s: &usize| self.position.marks[s] == StepMark::Free && wait.missing[s] == 0;
        (0..problem.steps().len()).filter(ready).collect()
    }

    fn at(&self, position: &Position, rate: HourlyRate) -> Result<Solution, NoPlan> {
        let objective = Objective::new(position.problem, rate.minutes.into(), rate.millicents.into());
        position.maximise(&objective, self.effort)
    }

    fn with_entry(&self, entry: usize, rate: HourlyRate) -> Result<Solution, NoPlan> {
        self.at(&self.position.forcing(entry)?, rate)
    }

    fn rate(&self, plan: &Plan) -> HourlyRate {
        HourlyRate {
            millicents: plan.value_millicents - self.start.value_millicents,
            minutes: plan.minutes - self.start.minutes,
        }
    }

    fn beats(&self, plan: &Plan, other: &Plan) -> bool {
        self.rate(plan).compare(&self.rate(other)).is_gt()
    }

    /// The shortest bundle at the rate of `best`, which no bundle beats.
    fn shortest(&self, entries: &[usize], mut best: Plan, mut proven: bool) -> Result<StepBundle, NoPlan> {
        let rate = self.rate(&best);
        for &entry in entries {
            let other = match self.with_entry(entry, rate) {
                Err(NoPlan::Infeasible) => continue,
                other => other?,
            };
            proven &= other.proven;
            if other.plan.minutes < best.minutes && !self.beats(&best, &other.plan) {
                best = other.plan;
            }
        }
        let rate = self.rate(&best);
        best.steps.retain(|s| !self.start.steps.contains(s));
        Ok(StepBundle { steps: best.steps, rate, proven })
    }
}
