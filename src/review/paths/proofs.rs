//! What must hold on every path: within a step, and at the end.

use super::PathFacts;
use super::depollution::{Owed, owed};
use super::graph::Heaviest;
use super::situation::{PartNow, parts};
use super::spoken::{confirmed, unguarded_hazards, unguarded_items};
use crate::bench::{Ask, Asked, Fate, RunResult, UNIT, UnitState, Weighing};
use crate::quantity::{Mass, MassUnit, Notation};
use crate::recipe::{HazardBook, Mark, Recipe, Step};
use crate::review::annex;
use crate::review::declared::{WayRound, bare};
use crate::review::finding::{Finding, Severity};

fn error(rule: &'static str, mark: Mark, message: String, hint: impl Into<String>) -> Finding {
    Finding::new(Severity::Error, rule, mark, message, hint)
}

/// A step's guards are asked before any of its parts is out, and a finished step has passed all of its own.
pub(super) fn guards_come_first(step: &Step, asked: &[Asked], state: &UnitState, place: usize) -> Vec<Finding> {
    let mut found = Vec::new();
    let own = || asked.iter().filter(|asked| asked.question.step == step.id);
    let mut out: Option<&str> = None;
    for question in own().map(|asked| &asked.question) {
        match &question.ask {
            Ask::Weight { what: Weighing::Part, .. } => out = Some(&question.key),
            Ask::Guard { hazard, .. } => {
                if let Some(part) = out {
                    let message = format!(
                        "the guard `{hazard}` of the step `{}` comes too late: `{part}` is out by then",
                        step.id
                    );
                    found.push(error(
                        "guard-late",
                        step.place("work"),
                        message,
                        "ask bench.guard(…) before bench.weigh(…)",
                    ));
                }
            }
            _ => {}
        }
    }
    let passed = |hazard: &String| confirmed(own()).any(|known| known == hazard);
    if state.fates.get(place) == Some(&Fate::Done) {
        for hazard in step.guards.iter().filter(|hazard| !passed(hazard)) {
            let message = format!("the step `{}` was done without its guard `{hazard}`", step.id);
            found.push(error(
                "guard-missed",
                step.place("guards"),
                message,
                "this is a defect of the program: please report it",
            ));
        }
    }
    found
}

/// A step that takes out a dangerous Annex VII item has passed a guard that covers it on this path: its own, its
/// work's, or an earlier one. If a part is the item, its grade says what the guards must cover: see
/// [`parts_are_spoken_of`]. If parts were to come out and none did, nothing had to be guarded.
pub(super) fn outs_are_guarded(step: &Step, run_result: &RunResult, facts: &PathFacts<'_>) -> Vec<Finding> {
    let state = &run_result.state;
    let is_done = state.minutes.iter().any(|(id, _)| *id == step.id);
    let came_out = step.frees.is_empty() || step.frees.iter().any(|freed| state.is_at_hand(&freed.part));
    // Made-up steps are guarded part by part.
    if !is_done || !came_out || step.made_up {
        return Vec::new();
    }
    let own = state.parts.iter().filter(|free| free.step == step.id);
    let grades: Vec<&str> = own.flat_map(|free| [free.foreseen.as_str(), free.grade.as_str()]).collect();
    let is_item = |grade: &str, item: &str| {
        !(facts.dangers)(grade).is_empty() && (facts.items)(grade).iter().any(|own| own == item)
    };
    let silent = unguarded_items(facts, step, state, confirmed(&run_result.asked));
    let of_no_part = silent.filter(|item| !grades.iter().any(|grade| is_item(grade, item)));
    let findings = of_no_part.map(|item| {
        let what = annex::item(item).unwrap_or_default();
        let message = format!(
            "the step `{}` takes out item {item} ({what}), and no guard on the way to it speaks of that",
            step.id
        );
        let about = facts.hazards.iter().filter(|hazard| hazard.annex_vii.iter().any(|known| known == item));
        let ids: Vec<&str> = about.map(|hazard| hazard.id.as_str()).take(6).collect();
        let hint = format!("add the one that fits to .guards([…]), or ask it in the work: {}", ids.join(", "));
        Finding::new(Severity::Warning, "annex-guard", step.place("removes"), message, hint)
    });
    findings.collect()
}

/// The guards on this path covered what the catalogue knows about each part that came out of a step, and the part's
/// Annex VII items are among those the unit is said to hold.
pub(super) fn parts_are_spoken_of(
    recipe: &Recipe,
    step: &Step,
    run_result: &RunResult,
    facts: &PathFacts<'_>,
) -> Vec<Finding> {
    let state = &run_result.state;
    let mut found = Vec::new();
    for free in state.parts.iter().filter(|free| free.step == step.id && state.is_at_hand(&free.part)) {
        let mark = step.frees.iter().find(|freed| freed.part == free.part).map_or(step.mark, |freed| freed.mark);
        let (part, grade) = (&free.part, &free.grade);
        let silent = unguarded_hazards(facts, grade, confirmed(&run_result.asked));
        if !silent.is_empty() {
            let message = format!(
                "`{part}` comes out as `{grade}`, and no guard on the way to it speaks of {}",
                silent.join(", ")
            );
            let quoted: Vec<String> = silent.iter().map(|hazard| format!("{hazard:?}")).collect();
            let hint = format!("add {} to the .guards([…]) of the step, or ask it in its work", quoted.join(", "));
            found.push(Finding::new(Severity::Warning, "part-guard", mark, message, hint));
        }
        let known = |item: &String| recipe.unit().holds.contains(item) || step.removes.contains(item);
        for item in (facts.items)(grade).into_iter().filter(|item| !known(item)) {
            let what = annex::item(&item).unwrap_or_default();
            let message =
                format!("`{part}` comes out as `{grade}`, item {item} ({what}), which the unit is not said to hold");
            let hint = format!("add {item:?} to the unit's .holds([…]), and to .removes([…]) of the step");
            found.push(Finding::new(Severity::Warning, "annex-grade", mark, message, hint));
        }
    }
    found
}

/// A step with work frees no part without a grave guard under which another step frees it: on this path its work asked
/// that guard, or an Annex VII item of the hazard was proved absent.
pub(super) fn none_goes_round(
    ways: &[WayRound<'_>],
    step: &Step,
    asked: &[Asked],
    state: &UnitState,
    hazards: &HazardBook,
) -> Vec<Finding> {
    let work_asked = |hazard: &str| {
        confirmed(asked.iter().filter(|asked| asked.question.step == step.id)).any(|known| known == hazard)
    };
    let absent = |hazard: &str| {
        let items = hazards.get(hazard).map(|hazard| hazard.annex_vii.as_slice()).unwrap_or_default();
        items.iter().any(|item| state.not_held.contains(item))
    };
    let open = ways.iter().filter(|way| way.step.id == step.id && step.work.is_some());
    let came_out = |part: &str| state.is_at_hand(part) && state.part(part).is_some_and(|free| free.step == step.id);
    let bare = open.filter(|way| came_out(&way.freed.part) && !work_asked(way.hazard) && !absent(way.hazard));
    bare.map(WayRound::finding).collect()
}

/// What makes an opened part hazardous stays marked: its remainder, or a part that came out of it, is hazardous too.
pub(super) fn hazards_stay_marked(
    recipe: &Recipe,
    step: &Step,
    before: &[PartNow],
    state: &UnitState,
    is_hazardous: &dyn Fn(&str) -> bool,
) -> Option<Finding> {
    let host = step.opens.as_deref()?;
    let was = parts(recipe).iter().position(|part| *part == host).and_then(|at| before.get(at))?;
    let free = state.part(host)?;
    let left = free.opened.as_deref()?;
    let inside = state.parts.iter().any(|part| part.host.as_deref() == Some(host) && is_hazardous(&part.grade));
    if !was.hazardous || is_hazardous(left) || inside {
        return None;
    }
    let message = format!(
        "`{host}` is `{}` here, and once opened it is `{left}`: what made it hazardous is marked nowhere",
        free.grade
    );
    let hint = "keep the hazardous grade for what is left, free the hazardous part, or guard the step so that it is not opened";
    let mark = step.rest.as_ref().map_or(step.mark, |rest| rest.mark);
    Some(error("hazard-unmarked", mark, message, hint))
}

/// At a complete end, what the law demands is out, and nothing found hazardous stays inside unmarked.
pub(super) fn ends_clean(recipe: &Recipe, state: &UnitState, is_hazardous: &dyn Fn(&str) -> bool) -> Vec<Finding> {
    let unit = recipe.unit();
    let mut found = Vec::new();
    for (item, owed) in unit.holds.iter().zip(owed(recipe, state)) {
        let Some(what) = annex::item(item).filter(|_| owed == Owed::Inside) else { continue };
        let message =
            format!("item {item} ({what}) is still in the unit at the end, though no step was skipped that removes it");
        let hint = format!("add .removes([{item:?}]) to the step that takes it out, on every way that leads there");
        found.push(error("depollution", unit.place("holds"), message, hint));
    }
    for part in parts(recipe).into_iter().filter(|part| state.part(part).is_none() && !state.is_lacking(part)) {
        let Some(grade) = state.regraded(part).filter(|grade| is_hazardous(grade)) else { continue };
        let freeing = || recipe.steps().iter().filter(|step| step.frees.iter().any(|freed| freed.part == part));
        if freeing().any(|step| step.removes.iter().any(|item| unit.holds.contains(item))) {
            continue;
        }
        let mark = freeing()
            .flat_map(|step| &step.frees)
            .find(|freed| freed.part == part)
            .map_or(unit.mark, |freed| freed.mark);
        let message =
            format!("`{part}` was found to be `{grade}` and stays in the unit, which is sold as `{}`", state.grade);
        let hint = "add the item of WEEE Annex VII to .holds([…]) and to .removes([…]) of the step that frees it, or ask a licensed guard";
        found.push(error("hazard-unmarked", mark, message, hint));
    }
    found
}

/// What usually comes out of one host fits into it.
pub(super) fn fits(recipe: &Recipe, heaviest: &Heaviest) -> Option<Finding> {
    let unit = recipe.unit();
    let all = recipe.steps().iter().flat_map(|step| &step.frees);
    let freed = |part: &String| all.clone().filter(|freed| freed.part == *part).collect::<Vec<_>>();
    let (name, usual, high, mark) = match &heaviest.host {
        None => ("the unit".to_owned(), unit.weighs.usual(), unit.weighs.high(), unit.place("weighs")),
        Some(part) => {
            let usual = freed(part).iter().map(|freed| freed.expected.usual()).max()?;
            let high = freed(part).iter().map(|freed| freed.expected.high()).max()?;
            (format!("`{part}`"), usual, high, freed(part).first()?.mark)
        }
    };
    let severity = match heaviest.mass {
        mass if mass > high => Severity::Error,
        mass if mass > usual => Severity::Warning,
        _ => return None,
    };
    let show = |mass: Mass| mass.show_friendly(MassUnit::Kilogram, Notation::Point);
    let message = format!(
        "what usually comes out of {name} weighs {} together, but {name} usually weighs {} and at most {}",
        show(heaviest.mass),
        show(usual),
        show(high)
    );
    let mut finding = Finding::new(
        severity,
        "masses",
        mark,
        message,
        "lower the usual weights of the parts, or raise that of what holds them",
    );
    finding.answers.clone_from(&heaviest.answers);
    Some(finding)
}

/// Question keys of one step that differ only in capitals and blanks from each other or from a part of the step.
pub(super) fn keys_differ(recipe: &Recipe, asked: &[Asked]) -> Vec<Finding> {
    let mut found = Vec::new();
    for (at, one) in asked.iter().enumerate().filter(|(_, asked)| asked.question.step != UNIT) {
        let (step, key) = (&one.question.step, &one.question.key);
        let twin = asked[..at]
            .iter()
            .map(|other| &other.question)
            .find(|other| other.step == *step && other.key != *key && bare(&other.key) == bare(key));
        if let (Some(twin), Some(step)) = (twin, recipe.step(step)) {
            let message =
                format!("the questions `{}` and `{key}` of the step `{}` are hard to tell apart", twin.key, step.id);
            found.push(Finding::new(Severity::Warning, "names", step.place("work"), message, "give them unlike keys"));
        }
    }
    found
}
