//! The closure relaxation: a maximum-weight closure that is worth at least as much as every plan.
//!
//! AND prerequisites, opening, and downgrades by single steps fit a closure exactly. What does not fit (one of several
//! ways, upgrades with parts inside, several steps together causing a downgrade, the time cap) becomes a *priced*
//! inequality that every plan satisfies: whatever non-negative multiple of its slack is added to the objective, the
//! heaviest closure stays an upper bound (Lagrangian relaxation). A relaxation with nothing priced is the problem
//! itself, except for circular OR prerequisites, which the evaluator finds: that is the closure class.

use super::fixing::{BoundTerms, StepMark};
use super::net::{Lit, Net, Relaxation};
use super::objective::Objective;
use super::problem::Problem;
use super::regrade;

/// Relaxes what is left of a problem under `marks`, which must have been propagated.
pub(super) fn relax(problem: &Problem, marks: &[StepMark], terms: &BoundTerms, objective: &Objective) -> Relaxation {
    let mut net = Net::new(problem, marks, objective);
    net.prerequisites();
    for item in 0..problem.items().len() {
        if net.freed[item] != Lit::False {
            regrade::add_item(&mut net, item);
        }
    }
    net.cap(terms.cap);
    net.demands(&terms.demands);
    net.relaxation
}
