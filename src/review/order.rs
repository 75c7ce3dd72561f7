//! The order of steps: what is certain to be done before a step, and circular dependencies.

use std::collections::BTreeSet;

use crate::recipe::{Recipe, Step};

/// Settles steps until nothing changes: `holds` tells whether a step settles, given those settled so far. It must be
/// monotonic: what holds must still hold when more are settled.
pub(super) fn settle(recipe: &Recipe, holds: impl Fn(usize, &Step, &[bool]) -> bool) -> Vec<bool> {
    let mut settled = vec![false; recipe.steps().len()];
    let mut changed = true;
    while changed {
        changed = false;
        for (place, step) in recipe.steps().iter().enumerate() {
            if !settled[place] && holds(place, step, &settled) {
                settled[place] = true;
                changed = true;
            }
        }
    }
    settled
}

/// The steps that are settled.
pub(super) fn among<'a>(recipe: &'a Recipe, settled: &'a [bool]) -> impl Iterator<Item = &'a Step> + Clone {
    recipe.steps().iter().zip(settled).filter(|(_, yes)| **yes).map(|(step, _)| step)
}

/// Whether a step frees a part.
pub(super) fn frees(step: &Step, part: &str) -> bool {
    step.frees.iter().any(|freed| freed.part == part)
}

/// Which steps can be done in some order without the given one.
fn reachable_without(recipe: &Recipe, left_out: usize) -> Vec<bool> {
    settle(recipe, |place, step, done| {
        let done = among(recipe, done);
        let host = step.opens.as_ref().is_none_or(|part| done.clone().any(|other| frees(other, part)));
        place != left_out && host && step.after.iter().all(|group| done.clone().any(|other| group.contains(&other.id)))
    })
}

/// For each step, the indices of the steps done before it on every path, excluding itself.
pub(super) fn certainly_before(recipe: &Recipe) -> Vec<BTreeSet<usize>> {
    let count = recipe.steps().len();
    let mut before = vec![BTreeSet::new(); count];
    for other in 0..count {
        let reachable = reachable_without(recipe, other);
        for place in (0..count).filter(|place| *place != other && !reachable[*place]) {
            before[place].insert(other);
        }
    }
    before
}

/// Circular alternatives: a step, and a member of one of its OR groups that itself can only be done after it.
pub(super) fn circular_alternatives(recipe: &Recipe) -> Vec<(usize, String)> {
    let mut found = Vec::new();
    for (place, step) in recipe.steps().iter().enumerate() {
        let groups: Vec<&Vec<String>> = step.after.iter().filter(|group| group.len() > 1).collect();
        if groups.is_empty() {
            continue;
        }
        let without = reachable_without(recipe, place);
        for name in groups.into_iter().flatten() {
            let member = recipe.steps().iter().position(|other| other.id == *name);
            if member.is_some_and(|member| !without[member]) {
                found.push((place, name.clone()));
            }
        }
    }
    found
}
