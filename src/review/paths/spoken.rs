//! What the guards on a path have covered, compared with what the catalogue knows about a part's grade.

use super::PathFacts;
use crate::bench::{Ask, Asked, UnitState};
use crate::recipe::Step;
use crate::review::annex;

/// The hazards confirmed in some of a path's questions, by id.
pub(super) fn confirmed<'a>(
    asked: impl IntoIterator<Item = &'a Asked, IntoIter: Clone>,
) -> impl Iterator<Item = &'a str> + Clone {
    asked.into_iter().filter_map(|asked| match &asked.question.ask {
        Ask::Guard { hazard, .. } => Some(hazard.as_str()),
        _ => None,
    })
}

/// The hazards of a grade that no confirmed guard covers. A guard covers its own hazard and those of the same Annex VII
/// item: a swollen battery is guarded as such, and not as a sound one.
pub(super) fn unguarded_hazards<'a>(
    facts: &PathFacts<'_>,
    grade: &str,
    confirmed: impl Iterator<Item = &'a str> + Clone,
) -> Vec<String> {
    let mut dangers = (facts.dangers)(grade);
    dangers.retain(|danger| {
        let items = facts.hazards.get(danger).map(|hazard| hazard.annex_vii.as_slice()).unwrap_or_default();
        let shares = |known: &str| {
            facts.hazards.get(known).is_some_and(|known| known.annex_vii.iter().any(|item| items.contains(item)))
        };
        !confirmed.clone().any(|known| known == danger || shares(known))
    });
    dangers
}

/// The dangerous Annex VII items that a step takes out and no confirmed guard covers, except those proved absent.
pub(super) fn unguarded_items<'a>(
    facts: &'a PathFacts<'_>,
    step: &'a Step,
    state: &'a UnitState,
    confirmed: impl Iterator<Item = &'a str> + Clone + 'a,
) -> impl Iterator<Item = &'a str> {
    let speaks = move |item: &String| {
        let mut known = confirmed.clone().filter_map(|hazard| facts.hazards.get(hazard));
        known.any(|hazard| hazard.annex_vii.contains(item))
    };
    let owed = step.removes.iter().filter(|item| annex::needs_guard(item) && !state.not_held.contains(item));
    owed.filter(move |item| !speaks(item)).map(String::as_str)
}
