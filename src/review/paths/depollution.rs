//! What became of what the law wants out: each item of Annex VII that a unit is said to hold.

use crate::bench::{Fate, UnitState};
use crate::recipe::{Recipe, Step};
use crate::review::order::{among, frees, settle};

/// What became of one item.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(super) enum Owed {
    /// It is out.
    Out,
    /// A step that removes it was skipped, or cannot come because of a skipped step or a missing part: the person
    /// knows, and the tally says so.
    Excused,
    /// It is inside, and nobody decided that.
    Inside,
}

/// What became of each item that the unit holds, in the order of the recipe.
pub(super) fn owed(recipe: &Recipe, state: &UnitState) -> Vec<Owed> {
    if recipe.unit().holds.is_empty() {
        return Vec::new();
    }
    let lost = lost_knowingly(recipe, state);
    let items = recipe.unit().holds.iter().map(|item| {
        if state.is_clear_of(item) {
            return Owed::Out;
        }
        // Where steps are made up at the bench, the person has said of each item whether all of it is out.
        let told = recipe.steps().iter().zip(&state.fates).any(|(step, fate)| step.made_up && *fate == Fate::Done);
        let excused = told || among(recipe, &lost).any(|step| step.removes.contains(item));
        if excused { Owed::Excused } else { Owed::Inside }
    });
    items.collect()
}

/// Which steps can no longer be done because somebody skipped a step or found a part missing: that one, or one that
/// waits for it. A step that another way has made needless is not lost in that sense.
fn lost_knowingly(recipe: &Recipe, state: &UnitState) -> Vec<bool> {
    settle(recipe, |place, step, lost| match state.fates.get(place) {
        Some(Fate::Skipped) => true,
        Some(Fate::Open | Fate::Later(_)) => {
            let is_lost = |other: &Step| among(recipe, lost).any(|known| known.id == other.id);
            let host_lost = step.opens.as_ref().is_some_and(|part| match state.part(part) {
                Some(_) => !state.is_at_hand(part),
                None => state.is_lacking(part) || recipe.steps().iter().filter(|other| frees(other, part)).all(is_lost),
            });
            host_lost
                || step.after.iter().any(|group| recipe.steps().iter().filter(|s| group.contains(&s.id)).all(is_lost))
        }
        _ => false,
    })
}
