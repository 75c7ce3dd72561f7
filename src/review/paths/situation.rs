//! A situation: what of the past still matters between two steps.

use std::collections::BTreeSet;

use super::PathFacts;
use super::depollution::{Owed, owed};
use super::play::PlayedPath;
use super::spoken::{confirmed, unguarded_hazards, unguarded_items};
use crate::bench::{Fate, RunResult, UnitState};
use crate::recipe::{Recipe, Step};
use crate::review::order::{among, frees, settle};

/// What still matters of one part.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub(super) struct PartNow {
    /// It is out of its host.
    pub out: bool,
    /// It is known not to be in this unit.
    missing: bool,
    /// A step has opened it.
    opened: bool,
    /// Its grade is hazardous, now or once it comes out.
    pub hazardous: bool,
}

/// A step that is still possible.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
struct StepNow {
    place: usize,
    put_off: u32,
    groups: Vec<bool>,
    remembers: Option<String>,
}

/// What of the past still matters. Runs in equal situations continue alike.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(super) struct Situation {
    steps: Vec<StepNow>,
    parts: Vec<PartNow>,
    /// The state of each Annex VII item that the unit holds.
    owed: Vec<Owed>,
    put_off_before: bool,
    /// Hazards that parts still to come may have and no guard has covered so far.
    pub unspoken: BTreeSet<String>,
    /// Set if a memory could not be determined: then no two situations are considered equal.
    unlike: Option<u64>,
}

/// The names of all parts, each once, in recipe order.
pub(super) fn parts(recipe: &Recipe) -> Vec<&str> {
    let mut names: Vec<&str> = Vec::new();
    for freed in recipe.steps().iter().flat_map(|step| &step.frees) {
        if !names.contains(&freed.part.as_str()) {
            names.push(&freed.part);
        }
    }
    names
}

/// What matters of each part in a state, in the order of [`parts`].
pub(super) fn parts_now(recipe: &Recipe, state: &UnitState, is_hazardous: &dyn Fn(&str) -> bool) -> Vec<PartNow> {
    let now = |part: &str| match state.part(part) {
        Some(free) => {
            let hazardous = is_hazardous(free.opened.as_ref().unwrap_or(&free.grade));
            PartNow { out: true, missing: !state.is_at_hand(part), opened: free.opened.is_some(), hazardous }
        }
        None => {
            let missing = state.is_lacking(part);
            PartNow {
                out: false,
                missing,
                opened: false,
                hazardous: !missing && state.regraded(part).is_some_and(is_hazardous),
            }
        }
    };
    parts(recipe).into_iter().map(now).collect()
}

/// Whether each step is still possible: not decided yet, and none of its prerequisites is lost.
fn possible(recipe: &Recipe, state: &UnitState) -> Vec<bool> {
    let done =
        |id: &str| recipe.steps().iter().zip(&state.fates).any(|(step, fate)| step.id == id && *fate == Fate::Done);
    settle(recipe, |place, step, coming| {
        let coming = among(recipe, coming);
        let comes_out = |part: &str| !state.is_lacking(part) && coming.clone().any(|other| frees(other, part));
        let holds =
            |group: &Vec<String>| group.iter().any(|id| done(id) || coming.clone().any(|other| other.id == *id));
        matches!(state.fates[place], Fate::Open | Fate::Later(_))
            && step.opens.as_ref().is_none_or(|part| state.is_at_hand(part) || comes_out(part))
            && step.after.iter().all(holds)
            && !step.frees.iter().any(|freed| state.part(&freed.part).is_some())
    })
}

/// What a step's work remembers: nothing for a step without work. Outer `None` if that cannot be determined.
pub(super) fn remembers(step: &Step, memory: &[Option<String>]) -> Option<String> {
    match step.work {
        None => Some(String::new()),
        Some(number) => memory.get(number).cloned().flatten(),
    }
}

/// A situation, and what else is known about it.
pub(super) struct Standpoint {
    pub situation: Situation,
    /// How much is still to be decided: every decision lowers it.
    pub to_decide: usize,
    /// Which parts can still come out, in the order of [`parts`].
    pub coming: Vec<bool>,
}

impl Situation {
    /// The situation in which a run waits. `touches` is what is known about how steps touch parts. `fresh` is a number
    /// that no other situation has.
    pub fn of(
        recipe: &Recipe,
        played: &PlayedPath,
        facts: &PathFacts<'_>,
        touches: &Touches,
        put_off_before: bool,
        fresh: u64,
    ) -> Standpoint {
        let state = &played.run_result.state;
        let possible = possible(recipe, state);
        let done = |id: &String| {
            recipe.steps().iter().zip(&state.fates).any(|(step, fate)| step.id == *id && *fate == Fate::Done)
        };
        let now = |(place, step): (usize, &Step)| StepNow {
            place,
            put_off: if let Fate::Later(times) = state.fates[place] { times } else { 0 },
            groups: step.after.iter().map(|group| group.iter().any(done)).collect(),
            remembers: remembers(step, &played.memory),
        };
        let steps: Vec<StepNow> =
            recipe.steps().iter().enumerate().filter(|(place, _)| possible[*place]).map(now).collect();
        let coming = |part: &str| among(recipe, &possible).any(|step| frees(step, part));
        let worked_on = |part: &str| among(recipe, &possible).any(|step| step.opens.as_deref() == Some(part));
        let masked =
            |(part, now): (&str, PartNow)| match coming(part) || worked_on(part) || touches.watched.contains(part) {
                true => now,
                // A hazard that was found and stays inside matters until the end; everything else about such a part is
                // past.
                false => PartNow { hazardous: now.hazardous && !now.out, ..PartNow::default() },
            };
        let names = parts(recipe);
        let coming = names.iter().map(|part| coming(part)).collect();
        let parts = names.into_iter().zip(parts_now(recipe, state, facts.is_hazardous)).map(masked).collect();
        let unlike = steps.iter().any(|step| step.remembers.is_none()).then_some(fresh);
        let to_decide = steps.iter().map(|step| if step.put_off == 0 { 2 } else { 1 }).sum();
        let unspoken = touches.unspoken(recipe, &played.run_result, facts, |place| possible[place]);
        let owed = owed(recipe, state);
        let situation = Situation { parts, owed, put_off_before, unspoken, unlike, steps };
        Standpoint { situation, to_decide, coming }
    }
}

/// What the work of steps does to parts. Learned from runs; learning something late restarts the walk.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct Touches {
    /// Which step touches which part freed by another step.
    pub by_step: BTreeSet<(usize, String)>,
    /// Parts touched when they can no longer come out: where those are matters until the end.
    pub watched: BTreeSet<String>,
    /// Grades with hazards of their own that are assigned to parts.
    pub graded: BTreeSet<(String, String)>,
}

impl Touches {
    /// Hazards that parts may have from the steps that `counts`, and Annex VII items these steps take out, covered
    /// neither by a guard so far nor by one that the step declares.
    pub fn unspoken(
        &self,
        recipe: &Recipe,
        run_result: &RunResult,
        facts: &PathFacts<'_>,
        counts: impl Fn(usize) -> bool,
    ) -> BTreeSet<String> {
        let state = &run_result.state;
        let is_inside = |part: &str| state.part(part).is_none() && !state.is_lacking(part);
        let mut found = BTreeSet::new();
        for (_, step) in recipe.steps().iter().enumerate().filter(|(place, _)| counts(*place)) {
            let guards = confirmed(&run_result.asked).chain(step.guards.iter().map(String::as_str));
            for freed in step.frees.iter().filter(|freed| is_inside(&freed.part)) {
                let now = state.regraded(&freed.part).unwrap_or(&freed.grade);
                let later = self.graded.iter().filter(|(part, _)| *part == freed.part).map(|(_, grade)| grade.as_str());
                found.extend(later.chain([now]).flat_map(|grade| unguarded_hazards(facts, grade, guards.clone())));
            }
            found.extend(unguarded_items(facts, step, state, guards).map(str::to_owned));
        }
        found
    }
}
