//! The best value for every amount of time.

use super::general::Effort;
use super::objective::Objective;
use super::problem::Problem;
use super::solve::{NoPlan, Position, Settled, Solution};

/// One step of the frontier: the best that `minutes` or more allow, up to the next point.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct FrontierPoint {
    /// Minutes of the plan, including those already spent.
    pub minutes: i64,
    /// The plan and whether it is proven.
    pub solution: Solution,
}

/// The best plan for every amount of time, in ascending order; ignores the problem's own time cap.
///
/// # Errors
/// See [`NoPlan`].
pub fn frontier(problem: &Problem, settled: &Settled, effort: &Effort) -> Result<Vec<FrontierPoint>, NoPlan> {
    let objective = Objective::new(problem, 1, 0);
    let free = Position::with_spare(problem, settled, None)?;
    let mut points = Vec::new();
    let mut position = Ok(free.clone());
    while let Ok(current) = position {
        let solution = match current.maximise(&objective, effort) {
            Err(NoPlan::Infeasible) => break,
            other => other?,
        };
        let minutes = solution.plan.minutes;
        points.push(FrontierPoint { minutes, solution });
        position = free.within(minutes - 1);
    }
    points.reverse();
    Ok(points)
}
