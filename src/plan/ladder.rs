//! The ladder: where to stop for each possible value of an hour of the user's time.
//!
//! As that value falls, the best plan changes at only a few break points; the plans between them are the corners of the
//! upper hull of (minutes, cash), found by solving once per edge (Eisner & Severance 1976).

use super::evaluate::Plan;
use super::general::Effort;
use super::objective::Objective;
use super::problem::Problem;
use super::solve::{NoPlan, Position, Settled, Solution};

/// Money over time, as a fraction.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct HourlyRate {
    /// Millicents gained.
    pub millicents: i64,
    /// In this many minutes, at least 1.
    pub minutes: i64,
}

impl HourlyRate {
    /// Compares two rates exactly.
    #[must_use]
    pub fn compare(&self, other: &Self) -> std::cmp::Ordering {
        let cross = |a: &Self, b: &Self| i128::from(a.millicents) * i128::from(b.minutes);
        cross(self, other).cmp(&cross(other, self))
    }
}

/// One place to stop.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct Rung {
    /// The plan, including settled steps. Its value is the problem's; `cash_millicents` leaves time out.
    pub plan: Plan,
    /// Value with time free, in millicents.
    pub cash_millicents: i64,
    /// Cash over that of the first rung.
    pub gain_millicents: i64,
    /// That gain per extra minute; `None` on the first rung.
    pub average: Option<HourlyRate>,
    /// Gain over the rung below: whoever values time at less continues to here. `None` on the first rung.
    pub marginal: Option<HourlyRate>,
    /// Whether the search for this rung was completed.
    pub proven: bool,
}

/// The places to stop, from least to most work, within the problem's time cap.
///
/// The first rung does only what is done and forced. The marginal rate falls from rung to rung; the last rung is the
/// plan of someone whose time is free. The problem's own value of time plays no part.
///
/// # Errors
/// See [`NoPlan`].
pub fn ladder(problem: &Problem, settled: &Settled, effort: &Effort) -> Result<Vec<Rung>, NoPlan> {
    let hull = Hull { position: Position::new(problem, settled)?, effort };
    let first = hull.solve(1, i128::from(problem.span()) * 2 + 1, &[])?;
    let last = hull.solve(1, 0, &[&first.plan])?;
    let mut solutions = vec![first];
    hull.between(&mut solutions, last)?;
    Ok(rungs(problem, solutions))
}

struct Hull<'a, 'b> {
    position: Position<'a>,
    effort: &'b Effort<'b>,
}

impl Hull<'_, '_> {
    /// Maximises `cash` × cash − `minute` × minutes.
    fn solve(&self, cash: i128, minute: i128, known: &[&Plan]) -> Result<Solution, NoPlan> {
        let problem = self.position.problem;
        let own = cash * i128::from(problem.minute_value_millicents());
        self.position.maximise_from(&Objective::new(problem, cash, minute - own), self.effort, known)
    }

    /// Appends the corners after the last one found, up to `end`.
    fn between(&self, found: &mut Vec<Solution>, end: Solution) -> Result<(), NoPlan> {
        let mut ahead = vec![end];
        while let (Some(start), Some(end)) = (found.last(), ahead.last()) {
            let problem = self.position.problem;
            let minutes = i128::from(end.plan.minutes - start.plan.minutes);
            let gain = i128::from(cash(problem, &end.plan)) - i128::from(cash(problem, &start.plan));
            if minutes <= 0 || gain <= 0 {
                ahead.pop();
                continue;
            }
            let score = |plan: &Plan| minutes * i128::from(cash(problem, plan)) - gain * i128::from(plan.minutes);
            let corner = self.solve(minutes, gain, &[&start.plan, &end.plan])?;
            if score(&corner.plan) > score(&start.plan) {
                ahead.push(corner);
            } else {
                found.extend(ahead.pop());
            }
        }
        Ok(())
    }
}

/// Value of a plan with its minutes free. Cannot overflow: the cost of all minutes is within the problem's span.
pub(super) fn cash(problem: &Problem, plan: &Plan) -> i64 {
    plan.value_millicents.saturating_add(problem.minute_value_millicents() * plan.minutes)
}

fn rungs(problem: &Problem, solutions: Vec<Solution>) -> Vec<Rung> {
    let place = |s: &Solution| (cash(problem, &s.plan), s.plan.minutes);
    let places: Vec<(i64, i64)> = solutions.iter().map(place).collect();
    let rate = |from: (i64, i64), to: (i64, i64)| HourlyRate { millicents: to.0 - from.0, minutes: to.1 - from.1 };
    let rung = |(n, solution): (usize, Solution)| Rung {
        cash_millicents: places[n].0,
        gain_millicents: places[n].0 - places[0].0,
        average: (n > 0).then(|| rate(places[0], places[n])),
        marginal: (n > 0).then(|| rate(places[n - 1], places[n])),
        proven: solution.proven,
        plan: solution.plan,
    };
    solutions.into_iter().enumerate().map(rung).collect()
}
