//! What a replacement script guards less: for recipes, compared by their declarations and what their work asks; for
//! tools, by the cautions both show over the same answers.

use super::super::check::{Bounds, Checked, work_guards};
use super::super::rehearsal::{cautions, named_hazards};
use crate::recipe::{Action, Recipe};
use crate::review::guards::{Guards, Weaker};
use crate::world::{AppError, FoundScript, World};

/// What an offered recipe guards less than the one it would replace.
#[derive(Debug, Default)]
pub struct WeakenedGuards {
    /// Weaker guards: licensed ones first, then dangers, each with the gravest losses first.
    pub weaker: Vec<Weaker>,
    /// WEEE Annex VII items that the unit is no longer said to contain, so that nobody would miss them.
    pub unheld: Vec<String>,
    /// Cautions that a tool no longer shows, gravest first.
    pub unshown: Vec<Unshown>,
    /// Why the guards could not be compared at all.
    pub unknown: Option<String>,
    /// Whether some paths were not explored, so that a guard asked in work may have been missed.
    pub in_part: bool,
}

/// A caution that the existing tool shows or names, and its replacement does not.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unshown {
    /// The hazard.
    pub hazard: String,
    /// The existing tool's example that shows it; `None` if only its code names it.
    pub example: Option<String>,
}

impl WeakenedGuards {
    /// Compares an existing tool with its replacement: what each shows over the answers of the existing one's examples,
    /// and which hazards the code of each names. `offered` is the world in which the offer stands.
    pub(super) fn of_tool(world: &World, offered: &World, found: &FoundScript, checked: &Checked) -> WeakenedGuards {
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
        // A tool that check rejects cannot be adopted and need not be run again.
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

    /// Compares an existing recipe with its replacement, which was checked already.
    pub(super) fn between(world: &World, found: &FoundScript, offered: &Recipe, checked: &Checked) -> WeakenedGuards {
        let host = world.host();
        let opened = host.open(&found.file(), &found.text).map_err(AppError::from);
        let loaded = opened.and_then(|script| Ok((host.recipe(&script)?, script)));
        let (present, script) = match loaded {
            Ok(loaded) => loaded,
            Err(error) => return WeakenedGuards { unknown: Some(error.to_string()), ..WeakenedGuards::default() },
        };
        let (work, complete) = work_guards(host, &script, &present, Bounds::default());
        let mut weaker = Guards::of(&present, &work).weaker_in(&Guards::of(offered, &checked.guards));
        // Licensed ones first, then dangers; an unknown hazard counts as the gravest.
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
