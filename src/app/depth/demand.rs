//! Which steps are settled before anything is planned: done, demanded by law, or out of the question.

use std::collections::BTreeSet;

use super::{PlanWishes, model};
use crate::bench::{Fate, Transcript};
use crate::plan::Settled;
use crate::recipe::{Recipe, Step};

/// What is settled about the steps of a recipe, by their places.
pub(super) struct Demand {
    /// Done, forced and forbidden, as the planner takes them.
    pub settled: Settled,
    /// Steps that take out what the law wants out.
    pub demanded: BTreeSet<usize>,
    /// Those of them that are anybody's work. What only a licensed person may do is done when that person has it.
    own: BTreeSet<usize>,
}

impl Demand {
    /// Reads off the recipe and what has become of the unit; `licensed` says of a step whether only a licensed person may do it.
    pub fn new(
        recipe: &Recipe,
        transcript: &Transcript,
        wishes: &PlanWishes,
        licensed: impl Fn(&Step) -> bool,
    ) -> Demand {
        let fates = &transcript.state.fates;
        let refused = |guards: &[String]| guards.iter().any(|guard| wishes.without.contains(guard));
        let mut settled = Settled::default();
        for (place, step) in recipe.steps().iter().enumerate() {
            let gone = step
                .opens
                .as_ref()
                .is_some_and(|part| transcript.state.part(part).is_some() && !transcript.state.is_at_hand(part));
            match fates[place] {
                Fate::Done => settled.done.push(place),
                Fate::Skipped => settled.forbidden.push(place),
                _ if refused(&step.guards) || gone => settled.forbidden.push(place),
                // Of several ways to take the same thing out, one is enough, and no plan can hold two: the first counts.
                _ if !step.removes.is_empty()
                    && !rivals(recipe, place)
                        .any(|rival| fates[rival] == Fate::Done || settled.forced.contains(&rival)) =>
                {
                    settled.forced.push(place);
                }
                _ => {}
            }
        }
        release_blocked(recipe, &mut settled);
        let demanded: BTreeSet<usize> = settled.forced.iter().copied().collect();
        let own = demanded.iter().copied().filter(|place| !licensed(&recipe.steps()[*place])).collect();
        Demand { settled, demanded, own }
    }

    /// The steps of an executable order that have to come first: what anybody can take out of what the law wants out, and
    /// what that needs, in the same order.
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

/// The places of other steps that free a part which this one frees too: alternatives to it.
fn rivals(recipe: &Recipe, place: usize) -> impl Iterator<Item = usize> {
    let parts: BTreeSet<&str> = recipe.steps()[place].frees.iter().map(|freed| freed.part.as_str()).collect();
    let steps = recipe.steps().iter().enumerate();
    steps
        .filter(move |(other, step)| {
            *other != place && step.frees.iter().any(|freed| parts.contains(freed.part.as_str()))
        })
        .map(|(other, _)| other)
}

/// A demanded step that cannot be reached any more, because what it needs is out of the question, is no longer demanded.
fn release_blocked(recipe: &Recipe, settled: &mut Settled) {
    let reachable = model::reachable(recipe, &settled.forbidden);
    settled.forced.retain(|place| reachable.contains(place));
}
