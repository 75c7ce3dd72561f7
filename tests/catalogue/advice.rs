//! What two readings of the safety texts found and a machine can hold: order, guards, tools, choices, readings. Each case names
//! what went wrong once; recipes/SAFETY.md tells it in full.

use std::collections::BTreeSet;

use knockdown::recipe::Recipe;

use super::{recipes, world};
use crate::bench::Bench;

/// The text of each step of a recipe: from its `step(` to the next.
fn steps(text: &str) -> impl Iterator<Item = (&str, &str)> {
    text.split("\nstep(\"").skip(1).map(|step| (step.split('"').next().unwrap(), step))
}

/// Whether a step cannot be begun before another is done: one of the alternatives that it waits for is that one alone, or waits
/// for it whichever is taken.
fn waits_for(recipe: &Recipe, step: &str, earlier: &str) -> bool {
    let known = recipe.steps().iter().find(|known| known.id == step).unwrap_or_else(|| panic!("no step {step}"));
    let needs = |before: &String| before == earlier || waits_for(recipe, before, earlier);
    known.after.iter().any(|alternatives| !alternatives.is_empty() && alternatives.iter().all(needs))
}

/// With the earlier step left out, somebody met charge, a cell, a force or gas that nobody had looked at.
#[test]
fn what_makes_safe_is_done_before_what_needs_it() {
    let order = [
        ("inkjet-printer", "motors", "supply"),
        ("inkjet-printer", "pad", "supply"),
        ("server", "cards", "cells"),
        ("server", "memory", "cells"),
        ("server", "processors", "cells"),
        ("treadmill", "hood", "strut"),
        ("storage-water-heater", "cord", "empty"),
        ("storage-water-heater", "jacket-wool", "empty"),
        ("tumble-dryer", "motor", "capacitor"),
        ("countertop-oven", "magnetron", "discharge"),
        ("unfamiliar-unit", "open", "look"),
        ("unfamiliar-unit", "battery", "measure"),
        ("unfamiliar-unit", "next", "coil"),
        ("network-box", "open-by-clips", "cord"),
    ];
    let recipes = recipes(&world());
    for (id, step, earlier) in order {
        assert!(waits_for(&recipes[id].0, step, earlier), "{id}: {step} can be begun before {earlier}");
    }
}

/// Gloves wind in at a drill, and a confirmation about burning wire is no caution for a disc.
#[test]
fn a_power_tool_or_a_saw_brings_its_own_guard() {
    let mut met = BTreeSet::new();
    for (id, (_, text)) in recipes(&world()) {
        for (step, source) in steps(&text) {
            let tools = source.split(".tools([").nth(1).map_or("", |rest| rest.split("])").next().unwrap());
            for (tool, hazard) in [("drill", "drilling"), ("cutting disc", "cutting-disc"), ("saw", "hand-saw")] {
                if tools.contains(tool) {
                    met.insert(hazard);
                    assert!(source.contains(&format!("\"{hazard}\"")), "{id}/{step}: {tool} without {hazard}");
                }
            }
            assert!(!(tools.contains("drill") && tools.contains("glove")), "{id}/{step}: gloves at a drill: {tools}");
        }
    }
    assert_eq!(met.len(), 3, "{met:?}");
}

/// The word that says that a capacitor was tested is not typed before anybody looked whether it may hold PCB.
#[test]
fn an_oil_capacitor_is_looked_at_before_its_word_is_typed() {
    let mut looked = 0;
    for (id, (_, text)) in recipes(&world()) {
        for (step, source) in steps(&text).filter(|(_, source)| source.contains("checks::oil_capacitor(")) {
            looked += 1;
            let declared = source.split(".guards([").nth(1).map_or("", |rest| rest.split("])").next().unwrap());
            for word in ["capacitor-motor-run", "stored-charge-hv", "stored-charge-mains"] {
                assert!(!declared.contains(word), "{id}/{step}: {word} is typed before the look");
            }
        }
    }
    assert!(looked >= 8, "{looked}");
}

/// Doubt has an answer of its own in every shared check of what can hurt, and it is not the harmless one.
#[test]
fn whoever_cannot_tell_meets_the_guard() {
    let library = include_str!("../../scripts/library/checks.rhai");
    for check in ["oil_capacitor", "ceramic", "casting", "lithium_cell", "platter"] {
        let body = library.split(&format!("\nfn {check}(")).nth(1).unwrap().split("\n}").next().unwrap();
        let options = body.split("[\"").nth(1).unwrap().split("]);").next().unwrap();
        let doubt = options.split("\",").position(|option| option.contains("cannot tell"));
        assert!(doubt.is_some(), "{check}: {options}");
        if check != "casting" {
            assert!(
                !options.rsplit("\",").next().unwrap().contains("cannot tell"),
                "{check}: doubt is last: {options}"
            );
        }
        assert!(body.contains("bench.guard("), "{check}");
    }
}

/// Whoever answers by number meets the graver answer under 1 at every question of yes or no: a number typed by habit is no harmless one.
#[test]
fn the_graver_of_two_answers_comes_first() {
    let mut met = 0;
    for (id, (_, text)) in recipes(&world()) {
        for wrong in
            ["[\"no\", \"yes, or cannot tell", "[\"surely not\", \"yes", "[\"hardly\", \"yes", "[\"none of these\", "]
        {
            assert!(!text.contains(wrong), "{id}: {wrong}");
        }
        met += text.matches("[\"yes, or cannot tell\", \"no\"]").count();
    }
    assert!(met > 40, "{met}");
}

/// A reading says its range and is worth nothing without a proof; one limit for each kind of store.
#[test]
fn a_reading_names_its_range_its_proof_and_its_limit() {
    let library = include_str!("../../scripts/library/checks.rhai");
    let reading = library.split("\nfn is_gone(").nth(1).unwrap();
    for words in ["DC volts", "proved at a battery", "Just before and just after", "no, or not tried"] {
        assert!(reading.contains(words), "{words}");
    }
    assert!(
        library.contains("comes_under(bench, key, place, 34)") && library.contains("comes_under(bench, key, place, 1)")
    );
    for (id, (_, text)) in recipes(&world()) {
        for pins in text.lines().filter(|line| line.contains("plug pins") && line.contains("34 V")) {
            assert!(pins.contains("DC") && pins.contains("battery"), "{id}: {pins}");
        }
        for wrong in ["lowest published touch limit", "after 1986\"", "up to 1986", "larger than a fingertip"] {
            assert!(!text.contains(wrong), "{id}: {wrong}");
        }
    }
}

/// One answer of a test session changed: the unit goes on whole, and the reason is said.
#[test]
fn what_may_hurt_is_handed_on() {
    let cases = [
        ("unfamiliar-unit", "tube-found = \"no\"", "tube-found = \"yes, or cannot tell\"", "a tube came to light"),
        (
            "unfamiliar-unit",
            "fed = \"a cord with a plug\"",
            "fed = \"its own battery alone\"\nown-battery = \"cannot tell, or the case over it bulges, gapes or is warm\"",
            "nobody can tell how its battery is",
        ),
        (
            "unfamiliar-unit",
            "pressure = \"none of these\"",
            "pressure = \"cannot tell\"",
            "nobody can tell what is in it",
        ),
        (
            "treadmill",
            "state = \"slack, rod all the way out\"",
            "state = \"pushes or pulls, is a spring, rod not all the way out, or cannot tell\"",
            "its strut is under force",
        ),
    ];
    for (id, was, becomes, reason) in cases {
        let bench = Bench::new();
        let session = std::fs::read_to_string(format!("recipes/{id}.session.toml")).unwrap();
        assert_eq!(session.matches(&format!("\n{was}\n")).count(), 1, "{id}: {was}");
        bench.write("answers.toml", &session.replace(was, becomes));
        let file = bench.path("answers.toml");
        let out = bench.call(&["bench", id, "--answers", file.to_str().unwrap()]).run().exits(0).out;
        let out = out.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(out.contains(&format!("Handed on whole: {reason}")), "{id}: {out}");
    }
}

/// A charged part shows 0 V to a meter on AC or with a blown fuse: three readings that nobody proved, and the unit goes on whole.
#[test]
fn a_reading_that_nobody_proved_counts_for_nothing() {
    let bench = Bench::new();
    let session = std::fs::read_to_string("recipes/unfamiliar-unit.session.toml").unwrap();
    let (proved, mut unproved) = ("reading = 3\nreading-proof = \"yes, both times\"\n", String::new());
    for time in ["", "-2", "-3"] {
        unproved.push_str(&format!("reading{time} = 0\nreading{time}-proof = \"no, or not tried\"\n"));
    }
    assert_eq!(session.matches(proved).count(), 1);
    bench.write("answers.toml", &session.replace(proved, &unproved));
    let file = bench.path("answers.toml");
    let out = bench.call(&["bench", "unfamiliar-unit", "--answers", file.to_str().unwrap()]).run().exits(0).out;
    let out = out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(out.contains("Handed on whole: its stored charge is not proved gone"), "{out}");
}
