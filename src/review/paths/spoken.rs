//! What the guards on a way have spoken of, held against what the catalogue knows of the grade of a part.

use super::Facts;
use crate::bench::{Ask, Asked, UnitState};
use crate::recipe::Step;
use crate::review::annex;

/// The hazards that were confirmed among some of the questions of a way, by id.
pub(super) fn confirmed<'a>(
    asked: impl IntoIterator<Item = &'a Asked, IntoIter: Clone>,
) -> impl Iterator<Item = &'a str> + Clone {
    asked.into_iter().filter_map(|asked| match &asked.question.ask {
        Ask::Guard { hazard, .. } => Some(hazard.as_str()),
        _ => None,
    })
}

/// The hazards of a grade that no confirmed guard speaks of. One speaks of the hazard that it is for, and of those that
/// belong to the same item of Annex VII: a swollen battery is guarded as such, and not as a sound one.
pub(super) fn silent<'a>(
    facts: &Facts<'_>,
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

/// The items of Annex VII that a step takes out, can hurt, and no confirmed guard speaks of; those that were proved not
/// to be there left out.
pub(super) fn silent_items<'a>(
    facts: &'a Facts<'_>,
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
