//! The shipped catalogue and recipes against published facts, and against each other.
//!
//! `tests/reference/weee_annex_vii.csv`: the items of Directive 2012/19/EU (WEEE), Annex VII; its last column says how each was
//! read. `tests/reference/unit_masses.csv`: masses of whole units from Babbitt and others 2020 (Scientific Data 7:251), European
//! studies and Statistics Netherlands, with source and status a row; a `category mean` may hold other kinds of unit as well.
//! `tests/reference/part_masses.csv`: masses of parts, in the same way.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on fails")]

mod advice;
mod cards;
mod emergencies;
mod part_masses;
mod waste_codes;

use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

use knockdown::quantity::{Mass, MassUnit};
use knockdown::recipe::Recipe;
use knockdown::store::Home;
use knockdown::world::{FixedClock, World};

fn world() -> World {
    let clock = FixedClock("2026-11-20T12:00:00Z".parse().unwrap());
    World::new(Home::at("/nonexistent/knockdown-catalogue"), Box::new(clock)).unwrap()
}

fn recipes(world: &World) -> BTreeMap<String, (Rc<Recipe>, String)> {
    let files = std::fs::read_dir("recipes").unwrap().map(|entry| entry.unwrap().path());
    let scripts = files.filter(|path| path.extension().is_some_and(|ending| ending == "rhai"));
    scripts
        .map(|path| {
            let id = path.file_stem().unwrap().to_str().unwrap().to_owned();
            let (_, recipe) = world.recipe(&id).unwrap();
            (id, (recipe, std::fs::read_to_string(&path).unwrap()))
        })
        .collect()
}

/// The rows of a table of comma-separated values with quoted fields.
fn rows(text: &str) -> Vec<Vec<String>> {
    let mut reader = text.lines();
    reader.next();
    reader
        .map(|line| {
            let (mut fields, mut quoted) = (vec![String::new()], false);
            for c in line.chars() {
                match c {
                    '"' => quoted = !quoted,
                    ',' if !quoted => fields.push(String::new()),
                    c => fields.last_mut().unwrap().push(c),
                }
            }
            fields
        })
        .collect()
}

fn grams(text: &str) -> Mass {
    Mass::of(text.parse().unwrap(), MassUnit::Gram).unwrap()
}

#[test]
fn the_catalogue_is_as_wide_as_promised_and_every_row_says_where_it_comes_from() {
    let world = world();
    let (grades, hazards) = (world.host().catalogue().grades(), world.host().catalogue().hazards());
    assert!(hazards.iter().count() >= 80 && grades.iter().count() >= 90);
    assert!(grades.iter().filter(|grade| grade.code_word.is_some()).count() >= 40);
    assert!(grades.iter().filter(|grade| grade.waste_code.is_some()).count() >= 90);
    for grade in grades.iter() {
        assert!(!grade.source.trim().is_empty() && !grade.status.trim().is_empty(), "{}", grade.id);
        for hazard in &grade.hazards {
            assert!(hazards.get(hazard).is_some(), "{} names the hazard {hazard}", grade.id);
        }
    }
    for hazard in hazards.iter() {
        assert!(!hazard.source.trim().is_empty() && !hazard.status.trim().is_empty(), "{}", hazard.id);
        assert!(!hazard.cautions.is_empty() && !hazard.protection.is_empty(), "{}", hazard.id);
        assert!(!hazard.stop.trim().is_empty() && !hazard.disposal.trim().is_empty(), "{}", hazard.id);
    }
}

#[test]
fn every_item_of_annex_vii_has_a_hazard_a_grade_and_a_recipe() {
    let world = world();
    let (grades, hazards) = (world.host().catalogue().grades(), world.host().catalogue().hazards());
    let recipes = recipes(&world);
    let table = rows(include_str!("../reference/weee_annex_vii.csv"));
    let items: BTreeSet<&str> = table.iter().map(|row| row[0].as_str()).filter(|item| *item != "3").collect();
    assert_eq!(items.len(), 18, "fifteen items, and three that say how some are treated");
    for item in &items {
        assert!(hazards.iter().any(|hazard| hazard.annex_vii.iter().any(|known| known == item)), "{item}: no hazard");
        if !item.starts_with("1.") {
            continue;
        }
        assert!(grades.iter().any(|grade| grade.annex_vii.iter().any(|known| known == item)), "{item}: no grade");
        let holds = |recipe: &Recipe| recipe.unit().holds.iter().any(|known| known == item);
        assert!(recipes.values().any(|(recipe, _)| holds(recipe)), "{item}: held by no recipe");
    }
    // And nothing names an item that the annex does not have.
    let of_hazards = hazards.iter().flat_map(|hazard| &hazard.annex_vii);
    let of_grades = grades.iter().flat_map(|grade| &grade.annex_vii);
    let of_recipes = recipes.values().flat_map(|(recipe, _)| &recipe.unit().holds);
    for item in of_hazards.chain(of_grades).chain(of_recipes) {
        assert!(items.contains(item.as_str()), "{item}");
    }
}

#[test]
fn units_weigh_what_was_published_of_them() {
    let world = world();
    let recipes = recipes(&world);
    let mut published: BTreeMap<String, Vec<(Mass, Mass)>> = BTreeMap::new();
    for row in rows(include_str!("../reference/unit_masses.csv")) {
        let (low, high) = (grams(&row[3]), grams(&row[4]));
        let weighs = recipes[&row[0]].0.unit().weighs;
        if row[2] == "units" {
            assert!(weighs.low() <= low && high <= weighs.high(), "{}: {} to {} of {}", row[0], low, high, row[1]);
        }
        published.entry(row[0].clone()).or_default().push((low, high));
    }
    assert!(published.len() >= 25, "{}", published.len());
    for (id, ranges) in published {
        // Both categories hold other tools, and other gear for exercise, than the recipe is about; the recipes say so.
        if matches!(id.as_str(), "cordless-tool" | "treadmill") {
            continue;
        }
        let usual = recipes[&id].0.unit().weighs.usual();
        // Recipes round to three digits.
        let least = ranges.iter().map(|(low, _)| low.times("0.99".parse().unwrap()).unwrap()).min().unwrap();
        let most = ranges.iter().map(|(_, high)| high.times("1.01".parse().unwrap()).unwrap()).max().unwrap();
        assert!(least <= usual && usual <= most, "{id}: {usual} is not within {least} to {most}");
    }
}

/// The kinds of unit that the library is to cover.
const KINDS: [&str; 31] = [
    "all-in-one-computer",
    "ballast-luminaire",
    "ceiling-fan",
    "computer-power-supply",
    "corded-tool",
    "cordless-tool",
    "countertop-oven",
    "desktop-computer",
    "disc-player",
    "dishwasher",
    "game-console",
    "hard-disk",
    "induction-motor",
    "inkjet-printer",
    "kettle",
    "laser-printer",
    "lcd-with-lamps",
    "led-panel-display",
    "network-box",
    "notebook-computer",
    "plasma-television",
    "refrigerator",
    "server",
    "storage-water-heater",
    "treadmill",
    "tube-display",
    "tumble-dryer",
    "ups-sealed-lead",
    "vacuum-cleaner",
    "washing-machine",
    "window-air-conditioner",
];

#[test]
fn every_kind_has_a_recipe_whose_figures_say_where_they_come_from() {
    let world = world();
    let recipes = recipes(&world);
    for kind in KINDS {
        let (recipe, text) = recipes.get(kind).unwrap_or_else(|| panic!("no recipe {kind}"));
        assert!(std::path::Path::new(&format!("recipes/{kind}.session.toml")).exists(), "{kind}: no test session");
        assert!(recipe.steps().len() >= 5, "{kind}");
        assert!(recipe.steps().iter().any(|step| !step.tools.is_empty()), "{kind}: no tool");
        assert!(recipe.steps().iter().any(|step| !step.after.is_empty()), "{kind}: no order");
        assert!(recipe.steps().iter().any(|step| step.work.is_some()), "{kind}: tells nothing apart");
        assert!(text.contains("No qualified person has reviewed the safety texts"), "{kind}");
        assert!(text.contains("Safety texts read and mended on"), "{kind}: not looked at by another than its writer");
        let freed = || recipe.steps().iter().flat_map(|step| &step.frees);
        for figures in freed().map(|freed| &freed.figures_from).chain([&recipe.unit().figures_from]) {
            let said = ["estimate", "read", "derived", "transcribed"];
            assert!(
                said.iter().any(|word| figures.contains(word)),
                "{kind}: {figures:?} says neither source nor estimate"
            );
        }
        for step in recipe.steps() {
            assert!(step.minutes.low() < step.minutes.high(), "{kind}/{}: minutes without a range", step.id);
        }
    }
}

/// A casing without a mark counts as flame-retarded, so whatever asks for the mark stands behind that guard, and the item (1.6) is
/// among what the unit holds and what the step, or one after it, removes.
#[test]
fn no_recipe_sorts_plastic_without_its_guard() {
    for (id, (recipe, text)) in recipes(&world()) {
        let steps: Vec<&str> = text.split("\nstep(").skip(1).collect();
        let sorts = |step: &&&str| step.contains("checks::plastic(") || step.contains("_kind(bench)))");
        for step in steps.iter().filter(sorts) {
            assert!(step.contains("\"flame-retardant-plastic\""), "{id}: {}", step.lines().next().unwrap());
            assert!(recipe.unit().holds.iter().any(|item| item == "1.6"), "{id} does not say that it holds 1.6");
            assert!(
                recipe.steps().iter().any(|step| step.removes.iter().any(|item| item == "1.6")),
                "{id} removes no 1.6"
            );
        }
    }
}

/// A voltage that does not come down, and a condition that does not come to be, end the work: no recipe throws the result away.
#[test]
fn no_recipe_goes_on_with_charge_that_did_not_go() {
    for (id, (_, text)) in recipes(&world()) {
        for check in ["checks::voltage_gone(", "checks::bank_gone(", "checks::only_once("] {
            for (at, _) in text.match_indices(check) {
                let before = text[..at].trim_end();
                assert!(before.ends_with('!'), "{id}: {}", text[at..].lines().next().unwrap());
                let after = &text[at..at + text[at..].find("\n    }").unwrap_or(text.len() - at)];
                assert!(after.contains("bench.hand_on(") || after.contains("bench.guard("), "{id}: {after}");
            }
        }
    }
}
