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
