//! What a machine can hold of the hazard cards. Whether a caution is right, no test can say.

use std::collections::BTreeSet;

use knockdown::recipe::{Action, Hazard};

use super::world;

/// Cards of stored charge, and the voltage under which such a charge counts as gone.
const CHARGE: [(&str, &str); 8] = [
    ("stored-charge-mains", "34"),
    ("stored-charge-hv", "34"),
    ("stored-charge-low-voltage", "1"),
    ("photoflash", "34"),
    ("capacitor-motor-run", "34"),
    ("ups-live", "34"),
    ("plug-pin-charge", "34"),
    ("crt-charge", "34"),
];

fn all_text(hazard: &Hazard) -> String {
    let parts = [&hazard.name, &hazard.met_in, &hazard.hurts, &hazard.stop, &hazard.disposal, &hazard.source];
    let listed = hazard.cautions.iter().chain(&hazard.protection);
    parts.into_iter().chain(listed).map(String::as_str).collect::<Vec<_>>().join("\n")
}

/// The numbers in `under 34 V`.
fn limits(text: &str) -> BTreeSet<&str> {
    let after = text.match_indices("under ").map(|(at, word)| &text[at + word.len()..]);
    after
        .filter_map(|rest| rest.split_once(" V"))
        .map(|(number, _)| number)
        .filter(|n| n.parse::<f64>().is_ok())
        .collect()
}

#[test]
fn a_reading_of_stored_charge_is_on_dc_proved_before_and_after_and_has_one_limit() {
    let world = world();
    let hazards = world.host().catalogue().hazards();
    for (id, limit) in CHARGE {
        let hazard = hazards.get(id).unwrap_or_else(|| panic!("no card {id}"));
        let says = |words: &[&str]| hazard.cautions.iter().any(|c| words.iter().all(|word| c.contains(word)));
        assert!(says(&["easure", "DC volts"]) || says(&["Check", "DC volts"]), "{id} does not name the range");
        assert!(
            says(&["ust before and just after", "same meter, range and leads", "battery", "counts for nothing"]),
            "{id}: the meter is not proved"
        );
        assert!(says(&["go on only under"]) || says(&["Go on only under"]) || id == "ups-live", "{id} has no limit");
        // What a backup supply puts out alternates: 24 V of that peaks at 34 V.
        let text = all_text(hazard).replace("24 V on AC", "").replace("24 V ac", "");
        assert_eq!(limits(&text), BTreeSet::from([limit]), "{id}");
    }
    let named: BTreeSet<&str> = CHARGE.into_iter().map(|(id, _)| id).collect();
    for hazard in hazards.iter() {
        let text = all_text(hazard);
        assert!(limits(&text).is_empty() || named.contains(hazard.id.as_str()), "{} has a limit too", hazard.id);
        assert!(!text.contains("lowest published touch limit"), "{}: lower ones are published", hazard.id);
    }
}

/// Gloves wind in at whatever turns: a card that has one work with such a tool lists none.
#[test]
fn no_card_of_a_turning_tool_lists_gloves() {
    let world = world();
    let mut found = BTreeSet::new();
    for hazard in world.host().catalogue().hazards().iter() {
        let sentences = hazard.cautions.iter().chain([&hazard.met_in]).map(|text| text.to_lowercase());
        let works_with = |sentence: &String| {
            let turns = ["drill", "grinder", "the disc", "chuck"].iter().any(|tool| sentence.contains(tool));
            turns && !["not ", "never ", "no "].iter().any(|against| sentence.contains(against))
        };
        if !sentences.into_iter().any(|sentence| works_with(&sentence)) {
            continue;
        }
        found.insert(hazard.id.clone());
        for line in hazard.protection.iter().map(|line| line.to_lowercase()).filter(|line| line.contains("glove")) {
            assert!(line.contains("no gloves"), "{}: {line}", hazard.id);
        }
    }
    assert!(["drilling", "cutting-disc"].iter().all(|id| found.contains(*id)), "{found:?}");
}

#[test]
fn the_cards_of_tools_stores_and_finds_are_there() {
    let cards = [
        ("cutting-disc", Action::Danger, "GUARDED"),
        ("drilling", Action::Danger, "CLAMPED"),
        ("hand-saw", Action::Caution, ""),
        ("home-refining", Action::Licensed, ""),
        ("home-melting", Action::Licensed, ""),
        ("battery-store", Action::Danger, "SPACED"),
        ("water-heater-hydrogen", Action::Danger, "AIRED"),
        ("vermin-mould", Action::Caution, ""),
        ("hidden-needle", Action::Danger, "LOOKED"),
        ("noise", Action::Caution, ""),
        ("glass-wool", Action::Caution, ""),
        ("dry-cell", Action::Caution, ""),
    ];
    let world = world();
    for (id, class, word) in cards {
        let hazard = world.host().catalogue().hazards().get(id).unwrap_or_else(|| panic!("no card {id}"));
        assert_eq!((hazard.class, hazard.word.as_deref().unwrap_or_default()), (class, word), "{id}");
        assert!(!hazard.stop.is_empty() && !hazard.source.is_empty() && !hazard.status.is_empty(), "{id}");
    }
}

/// Where the source says so much, the card must not say less: words that were wrong once.
#[test]
fn cards_say_what_is_still_loaded() {
    let world = world();
    // In the cautions and the stop, which are what is shown at the bench.
    let text = |id: &str| {
        let hazard = world.host().catalogue().hazards().get(id).unwrap();
        hazard.cautions.iter().chain([&hazard.stop]).map(String::as_str).collect::<Vec<_>>().join("\n")
    };
    for (id, words) in [
        ("recoil-spring", "Cord in is not unwound"),
        ("recoil-spring", "leave plug and reel whole"),
        ("gas-strut", "never down or folded in"),
        ("gas-strut", "Rod out is not empty"),
        ("pressure-vessel", "Accumulators and expansion vessels keep gas"),
        ("pressure-vessel", "not a vented one"),
        ("glass-platter", "Every platter counts as glass until shown otherwise"),
        ("pcb-capacitor", "a date after 1995"),
        ("asbestos", "No date clears fibre"),
        ("wire-burning", "I shall not burn"),
        ("unknown-fluid", "it may go down the drain"),
        ("stored-charge-mains", "Reckon 450 V"),
    ] {
        assert!(text(id).contains(words), "{id} does not say: {words}");
    }
}
