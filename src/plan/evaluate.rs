//! The one exact evaluator: may this set of steps be done, in which order, and what is it worth?
//!
//! Every plan that leaves this room has been through [`evaluate`], whatever found it.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use super::problem::{MILLICENTS_PER_CENT, Problem};
use super::structure::Structure;

/// A set of steps that can be done, with what it costs and brings.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct Plan {
    /// The steps in an order in which they can be done, the lowest number first where there is a choice.
    pub steps: Vec<usize>,
    /// Minutes of work in all.
    pub minutes: i64,
    /// Value of everything that is present afterwards, less costs and the value of time, in millicents.
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
    /// A step stands twice in the list.
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
/// Says which steps stand in the way if the set cannot be done.
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
    let exclusive = (0..structure.members.len()).filter(|&g| structure.exclusive[g]);
    exclusive.into_iter().find_map(|group| {
        let mut ways = structure.members.row(group).iter().map(|&s| s as usize).filter(|&s| done[s]);
        ways.next().zip(ways.next())
    })
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

/// How many groups each step still waits for.
pub(super) struct Waiting<'a> {
    structure: &'a Structure,
    pub(super) missing: Vec<u32>,
    satisfied: Vec<bool>,
}

impl<'a> Waiting<'a> {
    pub(super) fn new(structure: &'a Structure) -> Self {
        let missing = (0..structure.needs.len()).map(|s| structure.needs.row(s).len() as u32).collect();
        Self { structure, missing, satisfied: vec![false; structure.members.len()] }
    }

    /// Notes that a step is done and reports each step that now waits for nothing.
    pub(super) fn complete(&mut self, step: usize, mut ready: impl FnMut(usize)) {
        for &group in self.structure.helps.row(step) {
            if std::mem::replace(&mut self.satisfied[group as usize], true) {
                continue;
            }
            for &user in self.structure.users.row(group as usize) {
                self.missing[user as usize] -= 1;
                if self.missing[user as usize] == 0 {
                    ready(user as usize);
                }
            }
        }
    }
}

/// The steps that some order of work with allowed steps reaches, leaving exclusion aside, and such an order.
pub(super) fn reachable(structure: &Structure, allowed: impl Fn(usize) -> bool) -> (Vec<bool>, Vec<usize>) {
    let mut wait = Waiting::new(structure);
    let mut order: Vec<usize> = (0..wait.missing.len()).filter(|&s| wait.missing[s] == 0 && allowed(s)).collect();
    let mut reached = vec![false; wait.missing.len()];
    let mut next = 0;
    while let Some(&step) = order.get(next) {
        next += 1;
        reached[step] = true;
        wait.complete(step, |user| {
            if allowed(user) {
                order.push(user);
            }
        });
    }
    (reached, order)
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
