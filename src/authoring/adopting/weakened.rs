//! What a script in the place of another guards less: of recipes, by what both declare and what their works ask; of tools, by
//! the cautions that both show over the same answers.

use super::super::check::{Bounds, Checked, work_guards};
use super::super::rehearsal::{cautions, named_hazards};
use crate::recipe::{Action, Recipe};
use crate::review::guards::{Guards, Weaker};
use crate::world::{AppError, Found, World};

/// What an offered recipe guards less than the one that it would stand in for.
#[derive(Debug, Default)]
pub struct WeakenedGuards {
    /// Guards that are weaker: licensed ones first, then dangers; of each the gravest losses first.
    pub weaker: Vec<Weaker>,
    /// Items of WEEE Annex VII that the unit is no longer said to hold: nobody would miss them.
    pub unheld: Vec<String>,
    /// Cautions that a tool no longer shows; the gravest first.
    pub unshown: Vec<Unshown>,
    /// Why the guards could not be compared at all, if so.
    pub unknown: Option<String>,
    /// Whether not every way through both was looked at: then a guard that a work asks can be missed.
    pub in_part: bool,
}

/// A caution that the tool that is there shows or names, and the one offered in its place does not.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unshown {
    /// The hazard.
    pub hazard: String,
    /// The example of the tool that is there over whose answers it was shown; `None` where only its code names it.
    pub example: Option<String>,
}

impl WeakenedGuards {
    /// Compares a tool that is there with one that would stand in for it: what each shows over the answers of the examples of
    /// the one that is there, and which hazards the code of each names. `offered` is the world in which the offer stands.
    pub(super) fn of_tool(world: &World, offered: &World, found: &Found, checked: &Checked) -> WeakenedGuards {
        let apart = world.for_test(None);
        let present = match apart.tool(&found.id) {
            Ok((_, tool)) => tool,
            Err(error) => return WeakenedGuards { unknown: Some(error.to_string()), ..WeakenedGuards::default() },
        };
        let mut unshown: Vec<Unshown> = Vec::new();
        let mut add = |hazard: String, example: Option<&str>| {
            if unshown.iter().all(|known| known.hazard != hazard) {
                unshown.push(Unshown { hazard, example: example.map(str::to_owned) });
            }
        };
        // One that check refuses is not taken in, and need not be run again.
        let examples = present.examples.iter().filter(|_| checked.is_sound());
        for example in examples {
            let shown = cautions(offered, &present, example);
            let gone = cautions(&apart, &present, example).into_iter().filter(|hazard| !shown.contains(hazard));
            gone.for_each(|hazard| add(hazard, Some(&example.title)));
        }
        let theirs = offered.find(found.shelf, &found.id).map(|script| named_hazards(offered, &script.text));
        let theirs = theirs.unwrap_or_default();
        let named = named_hazards(world, &found.text).into_iter().filter(|hazard| !theirs.contains(hazard));
        named.for_each(|hazard| add(hazard, None));
        let hazards = world.host().catalogue().hazards();
        let class = |unshown: &Unshown| hazards.get(&unshown.hazard).map_or(Action::Licensed, |known| known.class);
        unshown.sort_by_key(|unshown| std::cmp::Reverse(class(unshown)));
        WeakenedGuards { unshown, ..WeakenedGuards::default() }
    }

    /// Compares a recipe that is there with one that would stand in for it, which was checked already.
    pub(super) fn between(world: &World, found: &Found, offered: &Recipe, checked: &Checked) -> WeakenedGuards {
        let host = world.host();
        let opened = host.open(&found.file(), &found.text).map_err(AppError::from);
        let loaded = opened.and_then(|script| Ok((host.recipe(&script)?, script)));
        let (present, script) = match loaded {
            Ok(loaded) => loaded,
            Err(error) => return WeakenedGuards { unknown: Some(error.to_string()), ..WeakenedGuards::default() },
        };
        let (work, complete) = work_guards(host, &script, &present, Bounds::default());
        let mut weaker = Guards::of(&present, &work).weaker_in(&Guards::of(offered, &checked.guards));
        // Licensed ones first, then dangers; a hazard that nobody knows counts as the gravest.
        let class =
            |weaker: &Weaker| host.catalogue().hazards().get(&weaker.hazard).map_or(Action::Licensed, |h| h.class);
        weaker.sort_by_key(|weaker| std::cmp::Reverse(class(weaker)));
        let unheld = present.unit().holds.iter().filter(|item| !offered.unit().holds.contains(item));
        WeakenedGuards {
            weaker,
            unheld: unheld.cloned().collect(),
            unshown: Vec::new(),
            unknown: None,
            in_part: !complete || checked.coverage.as_ref().is_some_and(|coverage| !coverage.complete),
        }
    }

    /// Whether nothing is guarded less.
    #[must_use]
    pub fn is_none(&self) -> bool {
        self.weaker.is_empty() && self.unheld.is_empty() && self.unshown.is_empty() && self.unknown.is_none()
    }
}
