//! The emergency cards: short, whole on a screen, known hazards, a source behind every line, nothing promised.

use std::collections::{BTreeMap, BTreeSet};

use knockdown::recipe::{Action, Emergency, EmergencyBook, EmergencyCard, HazardBook};
use knockdown::shell::emergency;

const CARDS: &str = include_str!("../../scripts/catalogue/emergencies.toml");
const HAZARDS: &str = include_str!("../../scripts/catalogue/hazards.toml");

fn book() -> EmergencyBook {
    EmergencyBook::parse(CARDS).unwrap()
}

fn lines(card: &Emergency) -> impl Iterator<Item = &EmergencyCard> {
    std::iter::once(&card.first).chain(&card.lines)
}

#[test]
fn every_card_is_short_calls_first_and_says_who_has_reviewed_it() {
    let book = book();
    assert!(book.numbered().count() >= 14);
    for (number, card) in book.numbered() {
        let id = &card.id;
        assert!(card.lines.len() <= 5, "{id}");
        assert!(card.first.says.contains("your emergency number"), "{id} does not call first");
        let reviewed = if card.reviewed_by.is_empty() { "nobody qualified" } else { card.reviewed_by.as_str() };
        assert_eq!(
            card.disclaimer(),
            format!("Reviewed by {reviewed}. No substitute for first-aid training and your local emergency services.")
        );
        assert!(!card.status.is_empty(), "{id}");
        for line in lines(card) {
            let text = &line.says;
            assert!((6..=110).contains(&text.chars().count()), "{id}: {text}");
            assert!(
                !text.chars().any(|c| c.is_ascii_digit()),
                "{id} names a number, of a telephone or of minutes: {text}"
            );
        }
        let page = emergency::card((number, card));
        for (columns, most) in [(80, 14), (40, 24)] {
            let wrapped = page.wrapped(columns);
            assert!(wrapped.lines().len() <= most, "{id} takes {} lines of {columns}", wrapped.lines().len());
        }
        let shown: String = page.lines().iter().flatten().map(|span| span.text()).collect::<Vec<_>>().join(" ");
        for part in lines(card).map(|line| line.says.clone()).chain([card.name.clone(), card.disclaimer()]) {
            assert!(shown.contains(&part), "{id} leaves out {part:?}");
        }
    }
}

#[test]
fn every_line_rests_on_an_issuer_or_on_two_reports_or_says_no_more_than_to_ask() {
    let book = book();
    let asks = ["ask", "call", "they say", "poison centre", "hospital"];
    let mut used = BTreeSet::new();
    for (_, card) in book.numbered() {
        for line in lines(card) {
            let place = format!("{}: {}", card.id, line.says);
            let mut grades: BTreeMap<&str, usize> = BTreeMap::new();
            for mark in &line.on {
                match mark.as_str() {
                    "call" => assert!(
                        asks.iter().any(|word| line.says.contains(word) || line.says.contains("Call")),
                        "{place}"
                    ),
                    "card" => assert!(line.says.contains("the card "), "{place}"),
                    key => {
                        let source = book.sources().get(key).unwrap_or_else(|| panic!("{place}: no source {key}"));
                        *grades.entry(&source.grade).or_default() += 1;
                        used.insert(key);
                    }
                }
            }
            let of = |grade: &str| grades.get(grade).copied().unwrap_or_default();
            let alone = line.on.iter().any(|mark| mark == "call" || mark == "card");
            assert!(of("A") >= 1 || of("B") >= 2 || (alone && grades.is_empty()), "{place} rests on {:?}", line.on);
        }
    }
    for (key, source) in book.sources() {
        assert!(["A", "B"].contains(&source.grade.as_str()), "{key}: {}", source.grade);
        assert!(used.contains(key.as_str()), "nothing rests on {key}");
        assert!(!source.at.is_empty(), "{key}");
    }
}

#[test]
fn every_hazard_is_known_and_none_that_can_kill_is_without_a_card() {
    let (book, hazards) = (book(), HazardBook::parse(HAZARDS).unwrap());
    for (_, card) in book.numbered() {
        let known: BTreeSet<&String> = card.hazards.iter().collect();
        assert_eq!(known.len(), card.hazards.len(), "{} names a hazard twice", card.id);
        for id in &card.hazards {
            assert!(hazards.get(id).is_some(), "{} names the hazard {id}, which is not in the catalogue", card.id);
        }
    }
    let grave = hazards.iter().filter(|hazard| hazard.class != Action::Caution);
    let bare: Vec<&str> = grave.map(|hazard| hazard.id.as_str()).filter(|id| book.at_hand([*id]).is_empty()).collect();
    assert_eq!(bare, Vec::<&str>::new(), "no emergency card is for these");
}

#[test]
fn a_card_that_another_points_to_is_at_hand_with_it() {
    let book = book();
    let mut pointers = 0;
    for (_, card) in book.numbered() {
        for says in card.lines.iter().map(|line| &line.says) {
            for (_, meant) in book.numbered() {
                let name = meant.name.split_whitespace().next().unwrap();
                if says.contains(&format!("the card {name}")) {
                    pointers += 1;
                    let missing = card.hazards.iter().filter(|id| !meant.hazards.contains(id));
                    assert_eq!(
                        missing.collect::<Vec<_>>(),
                        Vec::<&String>::new(),
                        "{} points to {}",
                        card.id,
                        meant.id
                    );
                }
            }
        }
    }
    assert!(pointers >= 6, "pointers were found: {pointers}");
}

#[test]
fn a_card_is_found_by_number_id_and_what_people_say() {
    let book = book();
    let first = |what: &str| book.find(what).first().map(|(_, card)| card.id.clone());
    for (what, id) in [
        ("1", "shock"),
        ("burn", "burn"),
        ("BURN", "burn"),
        ("bleeding", "cut"),
        ("burnt hand", "burn"),
        ("battery acid", "acid"),
        ("swallowed", "button-cell"),
        ("fridge", "refrigerant"),
    ] {
        assert_eq!(first(what).as_deref(), Some(id), "{what}");
    }
    for what in ["0", "99", "", "zebra"] {
        assert_eq!(first(what), None, "{what}");
    }
    let fire: Vec<&str> = book.find("fire").into_iter().map(|(_, card)| card.id.as_str()).collect();
    assert!(fire.contains(&"cell-fire") && fire.contains(&"burn"), "{fire:?}");
}
