//! The one exact evaluator: can this set of steps be done, in which order, and what is it worth?
//!
//! Every plan that leaves this room has passed [`evaluate`], however it was found.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use super::data::MILLICENTS_PER_CENT;
use super::problem::Problem;
use super::structure::Structure;
use super::waiting::Waiting;

/// An executable set of steps, with its time and value.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct Plan {
    /// The steps in an executable order, the lowest number first if there is a choice.
    pub steps: Vec<usize>,
    /// Total minutes of work.
    pub minutes: i64,
    /// Value of everything present afterwards, minus costs and the value of time, in millicents.
    pub value_millicents: i64,
}

/// Why a set of steps is not a plan.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum NotExecutable {
    /// The step does not exist.
    #[error("step {step} does not exist; there are {count}, counted from 0")]
    Unknown {
        /// The step named.
        step: usize,
        /// How many steps there are.
        count: usize,
    },
    /// A step appears twice in the list.
    #[error("step {step} is listed twice; a step is done once")]
    Twice {
        /// The step.
        step: usize,
    },
    /// Two ways to free one item exclude each other.
    #[error("steps {first} and {second} free the same item; do one of them")]
    FreedTwice {
        /// One way.
        first: usize,
        /// The other.
        second: usize,
    },
    /// No order of work reaches these steps.
    #[error("steps {steps:?} cannot be done: something that they need is neither done nor among the steps")]
    Stuck {
        /// The steps.
        steps: Vec<usize>,
    },
}

/// Finds an order of work for `steps` and values the outcome.
///
/// # Errors
/// Names the steps in the way if the set cannot be done.
pub fn evaluate(problem: &Problem, steps: &[usize]) -> Result<Plan, NotExecutable> {
    let done = as_mask(problem, steps)?;
    let structure = problem.structure();
    if let Some((first, second)) = clash(structure, &done) {
        return Err(NotExecutable::FreedTwice { first, second });
    }
    let order = lowest_first(structure, &done);
    if order.len() < steps.len() {
        let mut steps = steps.to_vec();
        steps.retain(|s| !order.contains(s));
        steps.sort_unstable();
        return Err(NotExecutable::Stuck { steps });
    }
    let minutes = order.iter().map(|&s| problem.steps()[s].minutes).sum();
    Ok(Plan { steps: order, minutes, value_millicents: value(problem, &done) })
}

/// Values the outcome of doing `steps` in exactly this order.
///
/// # Errors
/// As [`evaluate`], and if a step comes before something it needs.
pub fn evaluate_in_order(problem: &Problem, steps: &[usize]) -> Result<Plan, NotExecutable> {
    let plan = evaluate(problem, steps)?;
    let mut wait = Waiting::new(problem.structure());
    for &step in steps {
        if wait.missing[step] > 0 {
            return Err(NotExecutable::Stuck { steps: vec![step] });
        }
        wait.complete(step, |_| ());
    }
    Ok(Plan { steps: steps.to_vec(), ..plan })
}

fn as_mask(problem: &Problem, steps: &[usize]) -> Result<Vec<bool>, NotExecutable> {
    let count = problem.steps().len();
    let mut done = vec![false; count];
    for &step in steps {
        match done.get_mut(step) {
            None => return Err(NotExecutable::Unknown { step, count }),
            Some(true) => return Err(NotExecutable::Twice { step }),
            Some(seen) => *seen = true,
        }
    }
    Ok(done)
}

/// Two done steps that free the same item.
fn clash(structure: &Structure, done: &[bool]) -> Option<(usize, usize)> {
    let mut taken = vec![None; structure.members.len()];
    for step in (0..done.len()).filter(|&s| done[s]) {
        for &group in structure.helps.row(step).iter().filter(|&&g| structure.exclusive[g as usize]) {
            if let Some(first) = taken[group as usize].replace(step) {
                return Some((first, step));
            }
        }
    }
    None
}

fn lowest_first(structure: &Structure, done: &[bool]) -> Vec<usize> {
    let mut wait = Waiting::new(structure);
    let mut ready: BinaryHeap<Reverse<usize>> =
        (0..done.len()).filter(|&s| done[s] && wait.missing[s] == 0).map(Reverse).collect();
    let mut order = Vec::new();
    while let Some(Reverse(step)) = ready.pop() {
        order.push(step);
        wait.complete(step, |next| {
            if done[next] {
                ready.push(Reverse(next));
            }
        });
    }
    order
}

/// Value in millicents once the marked steps are done; they must be executable. Fits, as validation has shown.
pub(super) fn value(problem: &Problem, done: &[bool]) -> i64 {
    let structure = problem.structure();
    let items = problem.items();
    let mut present = vec![false; items.len()];
    let mut price = vec![0_i64; items.len()];
    (present[0], price[0]) = (true, structure.whole_price);
    let mut spent = 0;
    for step in problem.steps().iter().filter(|s| done[s.id]) {
        spent += MILLICENTS_PER_CENT * step.cost_cents + problem.minute_value_millicents() * step.minutes;
        for (freed, &paid) in step.frees.iter().zip(&structure.freed_prices[step.id]) {
            (present[freed.item], price[freed.item]) = (true, paid);
        }
    }
    for rule in structure.rules.iter().filter(|r| r.all_of.iter().all(|&s| done[s])) {
        price[rule.item] = rule.price;
    }
    let worth = |item: usize| {
        let host = items[item].host.map_or(0, |h| price[h]);
        items[item].mass_g * (price[item] - host)
    };
    (0..items.len()).filter(|&i| present[i]).map(worth).sum::<i64>() - spent
}

#[cfg(test)]
mod tests {
    use super::{NotExecutable, evaluate, evaluate_in_order};
    use crate::plan::{Problem, ProblemData};

    /// A 10 kg unit; step 0 opens it, 1 and 2 are two ways to free a 2 kg part, 3 takes 0.5 kg of copper out of that.
    fn problem() -> Problem {
        let data: ProblemData = serde_json::from_value(serde_json::json!({
            "grades": {"whole": 20, "motor": 60, "scrap": 10, "copper": 600},
            "items": [
                {"id": 0, "host": null, "mass_g": 10000, "grade": "whole"},
                {"id": 1, "host": 0, "mass_g": 2000},
                {"id": 2, "host": 1, "mass_g": 500}
            ],
            "steps": [
                {"id": 0, "host": 0, "minutes": 2, "cost_cents": 3},
                {"id": 1, "host": 0, "minutes": 8, "requires": [[0]], "frees": [{"item": 1, "grade": "motor"}]},
                {"id": 2, "host": 0, "minutes": 1, "frees": [{"item": 1, "grade": "scrap"}]},
                {"id": 3, "host": 1, "minutes": 10, "frees": [{"item": 2, "grade": "copper"}]}
            ],
            "rules": [
                {"item": 1, "all_of": [3], "grade": "scrap"},
                {"item": 0, "all_of": [2], "grade": "scrap"},
                {"item": 0, "all_of": [2, 3], "grade": "whole"}
            ],
            "value_of_time_cents_per_hour": 60
        }))
        .unwrap();
        Problem::new(data).unwrap()
    }

    #[test]
    fn values_add_up_by_hand() {
        let value = |steps: &[usize]| evaluate(&problem(), steps).unwrap().value_millicents;
        assert_eq!(value(&[]), 10_000 * 20);
        assert_eq!(value(&[0, 1]), 8000 * 20 + 2000 * 60 - 3000 - 10_000);
        assert_eq!(value(&[0, 1, 3]), 8000 * 20 + 1500 * 10 + 500 * 600 - 3000 - 20_000);
        assert_eq!(value(&[2]), 8000 * 10 + 2000 * 10 - 1000);
        // The last matching rule counts.
        assert_eq!(value(&[2, 3]), 8000 * 20 + 1500 * 10 + 500 * 600 - 11_000);
    }

    #[test]
    fn what_cannot_be_done_says_why() {
        let problem = problem();
        assert_eq!(evaluate(&problem, &[7]), Err(NotExecutable::Unknown { step: 7, count: 4 }));
        assert_eq!(evaluate(&problem, &[0, 0]), Err(NotExecutable::Twice { step: 0 }));
        assert_eq!(evaluate(&problem, &[2, 0, 1]), Err(NotExecutable::FreedTwice { first: 1, second: 2 }));
        assert_eq!(evaluate(&problem, &[3, 1]), Err(NotExecutable::Stuck { steps: vec![1, 3] }));
        assert_eq!(evaluate_in_order(&problem, &[1, 0]), Err(NotExecutable::Stuck { steps: vec![1] }));
        assert_eq!(evaluate_in_order(&problem, &[0, 1, 3]).unwrap().steps, [0, 1, 3]);
    }
}
