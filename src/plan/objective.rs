//! What a search maximises: value minus a price on minutes, then fewest minutes, then fewest steps.

use super::data::MILLICENTS_PER_CENT;
use super::evaluate::Plan;
use super::problem::Problem;

/// Weights of value and minutes. With both tie-breakers folded in, one integer orders all plans.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Objective {
    value: i128,
    minute: i128,
    scale: i128,
    tie: i128,
}

impl Objective {
    /// Maximises `value` × the value of a plan − `minute` × its minutes; `value` must be above 0.
    pub(super) fn new(problem: &Problem, value: i128, minute: i128) -> Self {
        let minutes: i128 = problem.steps().iter().map(|s| i128::from(s.minutes)).sum();
        let tie = problem.steps().len() as i128 + 1;
        Self { value, minute, scale: (minutes + 1) * tie, tie }
    }

    /// The same without the tie-breakers, with smaller numbers.
    pub(super) fn untied(self) -> Self {
        Self { scale: 1, tie: 0, ..self }
    }

    /// The score of a plan.
    pub(super) fn score(&self, plan: &Plan) -> i128 {
        let (value, minutes) = (i128::from(plan.value_millicents), i128::from(plan.minutes));
        self.scale * (self.value * value - self.minute * minutes) - self.tie_break(minutes, plan.steps.len() as i128)
    }

    /// The highest value, in millicents, of a plan with at most this score; useful if minutes have no price.
    pub(super) fn value_bound(&self, score: i128) -> i64 {
        let unit = self.millicent();
        let millicents = score.div_euclid(unit) + i128::from(score.rem_euclid(unit) != 0);
        i64::try_from(millicents).unwrap_or(i64::MAX)
    }

    /// What one millicent adds to the score.
    pub(super) fn millicent(&self) -> i128 {
        self.scale * self.value
    }

    /// What doing a step adds to the score, not counting what it frees.
    pub(super) fn effort(&self, problem: &Problem, step: usize) -> i128 {
        let step = &problem.steps()[step];
        let minutes = i128::from(step.minutes);
        let cost = i128::from(MILLICENTS_PER_CENT) * i128::from(step.cost_cents);
        let time = (self.value * i128::from(problem.minute_value_millicents()) + self.minute) * minutes;
        -self.scale * (self.value * cost + time) - self.tie_break(minutes, 1)
    }

    fn tie_break(&self, minutes: i128, steps: i128) -> i128 {
        if self.tie == 0 { 0 } else { minutes * self.tie + steps }
    }
}
