//! Grades: the tree, its errors, and the shipped catalogue.

#![allow(clippy::unwrap_used, reason = "a test may stop at a value that must be there")]

use crate::market_fixture::tree;
use knockdown::market::{GradeError, GradeTree};

fn entry(id: &str, parent: &str) -> String {
    let parent = if parent.is_empty() { String::new() } else { format!("parent = \"{parent}\"\n") };
    format!("[[grade]]\nid = \"{id}\"\n{parent}name = \"N\"\nlooks = \"L\"\nsource = \"S\"\nstatus = \"T\"\n")
}

#[test]
fn lineage_runs_from_the_grade_to_the_root() {
    let tree = tree();
    let ids: Vec<&str> = tree.lineage("copper-1").map(|grade| grade.id.as_str()).collect();
    assert_eq!(ids, ["copper-1", "copper-2", "copper"]);
    assert_eq!(tree.lineage("unobtainium").count(), 0);
    let below: Vec<&str> = tree.children("board").map(|grade| grade.id.as_str()).collect();
    assert_eq!(below, ["board-mid", "board-high"]);
    assert_eq!(tree.is_metal("copper-1"), Some(true), "inherited from copper");
}

#[test]
fn a_slip_finds_its_grade() {
    let tree = tree();
    assert_eq!(tree.nearest("Coper-2"), Some("copper-2"));
    assert_eq!(tree.nearest("xylophone"), None);
}

#[test]
fn words_find_grades_by_what_they_are_called_first() {
    let text =
        entry("steel-light", "").replace("\"L\"", "\"thin, often beside copper\"") + entry("copper", "").as_str();
    let tree = GradeTree::parse(&text).unwrap();
    let found: Vec<&str> = tree.search("COPPER").into_iter().map(|grade| grade.id.as_str()).collect();
    assert_eq!(found, ["copper", "steel-light"]);
    assert!(tree.search("copper brass").is_empty(), "every word must be found");
    assert!(tree.search("  ").is_empty());
}

#[test]
fn a_bad_list_says_what_is_wrong_with_it() {
    let parse = |text: &str| GradeTree::parse(text).unwrap_err();
    assert_eq!(parse(&(entry("a", "") + entry("a", "").as_str())), GradeError::Duplicate("a".into()));
    assert_eq!(
        parse(&(entry("copper", "") + entry("copper-1", "coper").as_str())).to_string(),
        "grade `copper-1` names `coper` as its parent, which is not in the list; did you mean `copper`?"
    );
    let circle = parse(&[entry("a", "c"), entry("b", "a"), entry("c", "b"), entry("tail", "a")].concat());
    assert_eq!(circle.to_string(), "grades go round in a circle: c → b → a → c");
    assert_eq!(parse(&entry("a", "a")).to_string(), "grades go round in a circle: a → a");
    assert!(matches!(parse(&entry("Copper 1", "")), GradeError::BadId(_)));
    let unknown = parse(&entry("a", "").replace("looks", "colour")).to_string();
    assert!(unknown.contains("colour") && unknown.contains("line 4"), "{unknown}");
}

fn with(entry: String, line: &str) -> String {
    entry + line + "\n"
}

#[test]
fn a_grade_may_have_hazards_in_place_of_those_of_its_parent() {
    let text = [
        with(entry("box", ""), "hazards = [\"fire\"]\nannex_vii = [\"1.3\"]"),
        with(entry("dry", "box"), "hazards = [\"crust\"]\nown_hazards = true"),
        with(entry("dry-small", "dry"), "hazards = [\"swallowed\", \"crust\"]"),
        with(entry("other", "box"), "hazards = [\"crust\"]"),
    ]
    .concat();
    let tree = GradeTree::parse(&text).unwrap();
    assert_eq!(tree.hazards("dry"), ["crust"]);
    assert_eq!(tree.hazards("dry-small"), ["swallowed", "crust"], "nothing comes from above the one that replaces");
    assert_eq!(tree.hazards("other"), ["crust", "fire"], "otherwise they come on top");
    assert_eq!(tree.annex_vii("dry-small"), ["1.3"], "the items stay");
    let none = GradeTree::parse(&with(entry("dry", ""), "own_hazards = true")).unwrap_err();
    assert_eq!(none, GradeError::NoHazards("dry".into()), "nothing in place of something is a slip");
}

#[test]
fn a_change_of_waste_code_needs_the_code_and_its_first_day() {
    let parse = |lines: &str| GradeTree::parse(&with(entry("cell", ""), lines));
    let half = GradeError::HalfWasteCode("cell".into());
    assert_eq!(parse("waste_code_next = \"16 06 07*\"").unwrap_err(), half);
    assert_eq!(parse("waste_code_next_from = \"2026-12-09\"").unwrap_err(), half);
    let wrong = parse("waste_code_next = \"x\"\nwaste_code_next_from = \"next year\"").unwrap_err().to_string();
    assert!(wrong.contains("`next year` is no day") && wrong.contains("line 8"), "{wrong}");
    let tree = parse("waste_code = \"1\"\nwaste_code_next = \"1*\"\nwaste_code_next_from = \"2026-12-09\"").unwrap();
    let cell = tree.get("cell").unwrap();
    assert_eq!(cell.waste_code_on("2026-12-08".parse().unwrap()), Some("1"));
    assert_eq!(cell.waste_code_on("2026-12-09".parse().unwrap()), Some("1*"));
    assert!(cell.is_hazardous_waste(), "by what it becomes");
    let plain = GradeTree::parse(&with(entry("cell", ""), "waste_code = \"1\"")).unwrap();
    assert!(!plain.get("cell").unwrap().is_hazardous_waste());
}

#[test]
fn a_dry_cell_has_dangers_of_its_own_and_a_mixed_box_those_of_lithium_too() {
    let tree = GradeTree::parse(include_str!("../scripts/catalogue/grades.toml")).unwrap();
    assert_eq!(tree.hazards("alkaline-battery"), ["dry-cell"]);
    assert_eq!(tree.hazards("nickel-metal-battery"), ["dry-cell"]);
    assert_eq!(tree.hazards("battery"), ["lithium-sound", "dry-cell"]);
}

#[test]
fn the_shipped_catalogue_is_a_tree() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/scripts/catalogue/grades.toml");
    let tree = GradeTree::parse(&std::fs::read_to_string(path).unwrap()).unwrap();
    assert!(tree.iter().count() > 100);
    for grade in tree.iter() {
        assert!(!grade.source.trim().is_empty() && !grade.status.trim().is_empty(), "{} has no source", grade.id);
        assert_eq!(tree.lineage(&grade.id).last().and_then(|root| root.parent.as_ref()), None);
    }
}
