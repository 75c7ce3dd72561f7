//! Which steps are settled before planning: done, demanded by law, or ruled out.

use std::collections::BTreeSet;

use super::answer::PlanWishes;
use super::model;
use crate::bench::{Fate, RunResult};
use crate::plan::Settled;
use crate::recipe::{Recipe, Step};

/// What is settled about a recipe's steps, by index.
pub(super) struct Demand {
    /// Done, demanded and forbidden steps, as planner input.
    pub settled: Settled,
    /// All steps that take out what the law demands; a plan contains one of each set of alternatives.
    pub demanded: BTreeSet<usize>,
    /// Those of them that anybody may do. Work reserved for a licensed person happens when that person has the unit.
    own: BTreeSet<usize>,
}

impl Demand {
    /// Derived from the recipe and the unit's state; `licensed` tells whether only a licensed person may do a step.
    pub fn new(
        recipe: &Recipe,
        run_result: &RunResult,
        wishes: &PlanWishes,
        licensed: impl Fn(&Step) -> bool,
    ) -> Demand {
        let fates = &run_result.state.fates;
        let refused = |guards: &[String]| guards.iter().any(|guard| wishes.without.contains(guard));
        let mut settled = Settled::default();
        for (place, step) in recipe.steps().iter().enumerate() {
            let gone = step
                .opens
                .as_ref()
                .is_some_and(|part| run_result.state.part(part).is_some() && !run_result.state.is_at_hand(part));
            match fates[place] {
                Fate::Done => settled.done.push(place),
                Fate::Skipped => settled.forbidden.push(place),
                _ if refused(&step.guards) || gone => settled.forbidden.push(place),
                _ => {}
            }
        }
        settled.any_of = demands(recipe, &settled);
        let demanded: BTreeSet<usize> = settled.any_of.iter().flatten().copied().collect();
        let own = demanded.iter().copied().filter(|place| !licensed(&recipe.steps()[*place])).collect();
        Demand { settled, demanded, own }
    }

    /// The steps of an executable order that come first: those that take out what the law demands and anybody may do,
    /// with their prerequisites, in the same order.
    pub fn first(&self, recipe: &Recipe, order: &[usize]) -> Vec<usize> {
        let steps = recipe.steps();
        let done = |id: &str| self.settled.done.iter().any(|place| steps[*place].id == id);
        let mut needed: BTreeSet<usize> = BTreeSet::new();
        let mut open: Vec<usize> = order.iter().copied().filter(|place| self.own.contains(place)).collect();
        while let Some(place) = open.pop() {
            if !needed.insert(place) {
                continue;
            }
            let step = &steps[place];
            let groups = step.after.iter().filter(|group| !group.iter().any(|id| done(id)));
            open.extend(groups.filter_map(|group| order.iter().find(|n| group.contains(&steps[**n].id))));
            if let Some(part) = &step.opens {
                open.extend(order.iter().find(|n| steps[**n].frees.iter().any(|freed| freed.part == *part)));
            }
        }
        order.iter().copied().filter(|place| needed.contains(place)).collect()
    }
}

/// What the law demands out of the unit, each with the remaining ways to take it out: a step that does, or another that
/// frees one of the same parts and takes out the same. The planner picks the best.
fn demands(recipe: &Recipe, settled: &Settled) -> Vec<Vec<usize>> {
    let steps = recipe.steps();
    let reachable = model::reachable(recipe, &settled.forbidden);
    let is_done = |place: &usize| settled.done.contains(place);
    // A plan cannot contain two ways to the same part.
    let is_open = |place: &usize| reachable.contains(place) && !rivals(recipe, *place).any(|rival| is_done(&rival));
    let mut demands: Vec<Vec<usize>> = Vec::new();
    for (place, step) in steps.iter().enumerate() {
        for item in &step.removes {
            let takes_out = |way: &usize| steps[*way].removes.contains(item);
            let mut ways: Vec<usize> = std::iter::once(place).chain(rivals(recipe, place).filter(takes_out)).collect();
            ways.sort_unstable();
            if ways.iter().any(is_done) {
                continue;
            }
            ways.retain(is_open);
            if !ways.is_empty() && !demands.contains(&ways) {
                demands.push(ways);
            }
        }
    }
    demands
}

/// Alternatives to a step: the other steps that free a part it also frees.
fn rivals(recipe: &Recipe, place: usize) -> impl Iterator<Item = usize> {
    let parts: BTreeSet<&str> = recipe.steps()[place].frees.iter().map(|freed| freed.part.as_str()).collect();
    let steps = recipe.steps().iter().enumerate();
    steps
        .filter(move |(other, step)| {
            *other != place && step.frees.iter().any(|freed| parts.contains(freed.part.as_str()))
        })
        .map(|(other, _)| other)
}
