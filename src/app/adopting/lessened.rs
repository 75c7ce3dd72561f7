//! What a recipe in the place of another guards less: compared by what both declare and by what their works ask.

use crate::app::check::{Bounds, Checked, work_guards};
use crate::app::error::AppError;
use crate::app::shelves::Found;
use crate::app::world::World;
use crate::recipe::{Action, Recipe};
use crate::review::guards::{Guards, Weaker};

/// What an offered recipe guards less than the one that it would stand in for.
#[derive(Debug, Default)]
pub struct Lessened {
    /// Guards that are weaker: licensed ones first, then dangers; of each the gravest losses first.
    pub weaker: Vec<Weaker>,
    /// Items of WEEE Annex VII that the unit is no longer said to hold: nobody would miss them.
    pub unheld: Vec<String>,
    /// Why the guards could not be compared at all, if so.
    pub unknown: Option<String>,
    /// Whether not every way through both was looked at: then a guard that a work asks can be missed.
    pub in_part: bool,
}

impl Lessened {
    /// Compares a recipe that is there with one that would stand in for it, which was checked already.
    pub(super) fn between(world: &World, found: &Found, offered: &Recipe, checked: &Checked) -> Lessened {
        let host = world.host();
        let opened = host.open(&found.file(), &found.text).map_err(AppError::from);
        let loaded = opened.and_then(|script| Ok((host.recipe(&script)?, script)));
        let (present, script) = match loaded {
            Ok(loaded) => loaded,
            Err(error) => return Lessened { unknown: Some(error.to_string()), ..Lessened::default() },
        };
        let (work, complete) = work_guards(host, &script, &present, Bounds::default());
        let mut weaker = Guards::of(&present, &work).weaker_in(&Guards::of(offered, &checked.guards));
        // Licensed ones first, then dangers; a hazard that nobody knows counts as the gravest.
        let class =
            |weaker: &Weaker| host.catalogue().hazards().get(&weaker.hazard).map_or(Action::Licensed, |h| h.class);
        weaker.sort_by_key(|weaker| std::cmp::Reverse(class(weaker)));
        let unheld = present.unit().holds.iter().filter(|item| !offered.unit().holds.contains(item));
        Lessened {
            weaker,
            unheld: unheld.cloned().collect(),
            unknown: None,
            in_part: !complete || checked.coverage.as_ref().is_some_and(|coverage| !coverage.complete),
        }
    }

    /// Whether nothing is guarded less.
    #[must_use]
    pub fn is_none(&self) -> bool {
        self.weaker.is_empty() && self.unheld.is_empty() && self.unknown.is_none()
    }
}
