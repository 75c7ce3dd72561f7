//! What a recipe's declarations alone reveal.

use std::collections::{BTreeMap, BTreeSet};

use super::annex;
use super::finding::{Finding, Severity};
use super::order::{certainly_before, circular_alternatives, frees};
use crate::naming::suggest;
use crate::recipe::{Action, Freed, HazardBook, Recipe, Step};

/// All findings from the declarations, unordered.
pub fn review(recipe: &Recipe, hazards: &HazardBook) -> Vec<Finding> {
    let mut found = Vec::new();
    imprint(recipe, &mut found);
    figures(recipe, &mut found);
    annex_items(recipe, &mut found);
    // What a step's work asks is only known from running it: see `proofs::none_goes_round`.
    found.extend(ways_round(recipe, hazards).iter().filter(|way| way.step.work.is_none()).map(WayRound::finding));
    names(recipe, &mut found);
    circles(recipe, &mut found);
    opened(recipe, &mut found);
    idle(recipe, &mut found);
    found
}

fn imprint(recipe: &Recipe, found: &mut Vec<Finding>) {
    let unit = recipe.unit();
    let missing = [
        ("author", unit.author.is_empty(), "nobody can be asked about it"),
        ("licence", unit.licence.is_empty(), "nobody may pass it on"),
    ];
    for (word, _, why) in missing.into_iter().filter(|(_, missing, _)| *missing) {
        let hint = format!("add .{word}(\"…\")");
        found.push(Finding::new(
            Severity::Note,
            "imprint",
            unit.mark,
            format!("the recipe names no {word}: {why}"),
            hint,
        ));
    }
}

/// Weights without a source, and weights and times without a range.
fn figures(recipe: &Recipe, found: &mut Vec<Finding>) {
    let unit = recipe.unit();
    let mut unsourced = |what: &str, mark| {
        let message = format!("the weight of {what} has no source");
        found.push(Finding::new(
            Severity::Warning,
            "source",
            mark,
            message,
            "add .figures_from(\"where it comes from\"), or \"estimate\"",
        ));
    };
    if unit.figures_from.trim().is_empty() {
        unsourced("the unit", unit.place("weighs"));
    }
    for freed in recipe.steps().iter().flat_map(|step| &step.frees).filter(|freed| freed.figures_from.trim().is_empty())
    {
        unsourced(&format!("`{}`", freed.part), freed.mark);
    }
    let mut exact = |what: String, mark| {
        let message = format!("{what} has no range: it claims to be exact");
        found.push(Finding::new(Severity::Note, "range", mark, message, "give a low, a usual and a high value"));
    };
    if unit.weighs.low() == unit.weighs.high() {
        exact("the weight of the unit".into(), unit.place("weighs"));
    }
    for step in recipe.steps() {
        if step.minutes.low() == step.minutes.high() {
            exact(format!("the time of `{}`", step.id), step.place("minutes"));
        }
        for freed in step.frees.iter().filter(|freed| freed.expected.low() == freed.expected.high()) {
            exact(format!("the weight of `{}`", freed.part), freed.mark);
        }
    }
}

/// Annex VII items: known numbers only, and those removed must also be held.
fn annex_items(recipe: &Recipe, found: &mut Vec<Finding>) {
    let unit = recipe.unit();
    let held = unit.holds.iter().map(|item| (item, unit.place("holds")));
    let removed = recipe.steps().iter().flat_map(|step| step.removes.iter().map(|item| (item, step.place("removes"))));
    for (item, mark) in held.chain(removed).filter(|(item, _)| annex::item(item).is_none()) {
        let message = format!("WEEE Annex VII has no item `{}`", crate::naming::one_line(item, 20));
        found.push(Finding::new(Severity::Error, "annex-item", mark, message, suggest(item, annex::numbers())));
    }
    for step in recipe.steps() {
        let stray = |item: &&String| annex::item(item).is_some() && !unit.holds.contains(item);
        for item in step.removes.iter().filter(stray) {
            let what = annex::item(item).unwrap_or_default();
            let message =
                format!("the step `{}` removes item {item} ({what}), which the unit is not said to hold", step.id);
            let hint =
                format!("add {item:?} to the unit's .holds([…]): only then is it missed when the step is skipped");
            found.push(Finding::new(Severity::Warning, "annex-unheld", step.place("removes"), message, hint));
        }
    }
}

/// For each step, the guards certain to be confirmed before its work: the unit's, its own, and those of the steps
/// certain to be done before it.
fn passed(recipe: &Recipe) -> Vec<BTreeSet<&str>> {
    let guards = |(place, before): (usize, BTreeSet<usize>)| {
        let steps = before.into_iter().chain([place]).filter_map(|at| recipe.steps().get(at));
        recipe.unit().guards.iter().chain(steps.flat_map(|step| &step.guards)).map(String::as_str).collect()
    };
    certainly_before(recipe).into_iter().enumerate().map(guards).collect()
}

/// A step that frees a part without the grave guard under which another step frees it.
pub(super) struct WayRound<'a> {
    pub step: &'a Step,
    pub freed: &'a Freed,
    pub hazard: &'a str,
    other: &'a Step,
}

impl WayRound<'_> {
    pub fn finding(&self) -> Finding {
        let WayRound { step, freed, hazard, other } = self;
        let message = format!(
            "`{}` frees `{}` behind the guard `{hazard}`; `{}` frees it without",
            other.id, freed.part, step.id
        );
        let hint =
            format!("add {hazard:?} to the guards of `{}`, or name the part otherwise if it is another", step.id);
        Finding::new(Severity::Warning, "guard-round", freed.mark, message, hint)
    }
}

/// Where two steps free the same part: which grave guards of one the other's declarations lack.
pub(super) fn ways_round<'a>(recipe: &'a Recipe, hazards: &HazardBook) -> Vec<WayRound<'a>> {
    let grave = |id: &&str| hazards.get(id).is_none_or(|hazard| hazard.class != Action::Caution);
    let passed = passed(recipe);
    let mut ways = Vec::new();
    for (step, guards) in recipe.steps().iter().zip(&passed) {
        for freed in &step.frees {
            let others = recipe.steps().iter().zip(&passed);
            for (other, theirs) in others.filter(|(other, _)| other.id != step.id && frees(other, &freed.part)) {
                let lacking = theirs.difference(guards).copied().filter(grave);
                ways.extend(lacking.map(|hazard| WayRound { step, freed, hazard, other }));
            }
        }
    }
    ways
}

/// Names that differ only in capitals and blanks, and steps with similar titles.
fn names(recipe: &Recipe, found: &mut Vec<Finding>) {
    let mut parts: BTreeMap<String, &str> = BTreeMap::new();
    for freed in recipe.steps().iter().flat_map(|step| &step.frees) {
        let twin = *parts.entry(bare(&freed.part)).or_insert(&freed.part);
        if twin != freed.part {
            let message = format!("the parts `{twin}` and `{}` are hard to tell apart", freed.part);
            found.push(Finding::new(
                Severity::Warning,
                "names",
                freed.mark,
                message,
                "name one part always alike, and two parts unlike",
            ));
        }
    }
    let mut titles: BTreeMap<String, &str> = BTreeMap::new();
    for step in recipe.steps() {
        let twin = *titles.entry(bare(&step.title)).or_insert(&step.id);
        if twin != step.id {
            let message = format!("the steps `{twin}` and `{}` are titled alike", step.id);
            found.push(Finding::new(
                Severity::Warning,
                "names",
                step.mark,
                message,
                "say in each title what it does unlike the other",
            ));
        }
    }
}

/// A name without what people overlook: capitals, blanks, hyphens.
pub(super) fn bare(name: &str) -> String {
    name.to_lowercase().replace(['-', '_', ' '], "")
}

fn circles(recipe: &Recipe, found: &mut Vec<Finding>) {
    for (place, member) in circular_alternatives(recipe) {
        let step = &recipe.steps()[place];
        let message = format!("`{member}` is no way to `{}`: it can itself only be done after it", step.id);
        found.push(Finding::new(
            Severity::Error,
            "circle",
            step.place("after_any"),
            message,
            format!("take `{member}` out of after_any([…])"),
        ));
    }
}

/// A part that is opened and partly emptied no longer sells as what it was.
fn opened(recipe: &Recipe, found: &mut Vec<Finding>) {
    for step in recipe.steps().iter().filter(|step| !step.frees.is_empty() && step.rest.is_none()) {
        if let Some(part) = &step.opens {
            let grade =
                recipe.steps().iter().flat_map(|s| &s.frees).find(|freed| freed.part == *part).map_or("", |f| &f.grade);
            let message = format!(
                "`{part}` loses parts in the step `{}`, and what is left of it still counts as `{grade}`",
                step.id
            );
            let hint = format!("say what is left: .leaves({part:?}, \"grade\")");
            found.push(Finding::new(Severity::Warning, "leaves", step.place("opens"), message, hint));
        }
    }
}

/// A step without any effect.
fn idle(recipe: &Recipe, found: &mut Vec<Finding>) {
    for step in recipe.steps() {
        let leads_on = recipe.steps().iter().any(|other| other.after.iter().flatten().any(|id| *id == step.id));
        let does = !step.frees.is_empty()
            || !step.removes.is_empty()
            || step.rest.is_some()
            || step.work.is_some()
            || leads_on;
        if !does {
            let message =
                format!("nothing comes of the step `{}`: it frees nothing, and no step waits for it", step.id);
            found.push(Finding::new(
                Severity::Note,
                "idle",
                step.mark,
                message,
                "add what it frees or changes, or take it out",
            ));
        }
    }
}
