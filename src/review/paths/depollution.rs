//! What became of what the law demands: each Annex VII item that a unit is said to hold.

use crate::bench::{Fate, UnitState};
use crate::recipe::{Recipe, Step};
use crate::review::order::{among, frees, settle};

/// The state of one item.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(super) enum Owed {
    /// It is out.
    Out,
    /// A step that removes it was skipped, or cannot be done because of a skipped step or a missing part: the user
    /// knows, and the tally says so.
    Excused,
    /// It is still inside, and nobody decided that.
    Inside,
}

/// The state of each item that the unit holds, in recipe order.
pub(super) fn owed(recipe: &Recipe, state: &UnitState) -> Vec<Owed> {
    if recipe.unit().holds.is_empty() {
        return Vec::new();
    }
    let lost = lost_knowingly(recipe, state);
    let items = recipe.unit().holds.iter().map(|item| {
        if state.is_clear_of(item) {
            return Owed::Out;
        }
        // If steps are made up at the bench, the user has said of each item whether all of it is out.
        let told = recipe.steps().iter().zip(&state.fates).any(|(step, fate)| step.made_up && *fate == Fate::Done);
        let excused = told || among(recipe, &lost).any(|step| step.removes.contains(item));
        if excused { Owed::Excused } else { Owed::Inside }
    });
    items.collect()
}

/// Which steps can no longer be done because a step was skipped or a part found missing: that step, or one that waits
/// for it. A step made needless by another way is not lost in this sense.
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
