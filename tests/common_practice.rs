//! What people of the trade take for granted, held against what is shipped. Each fact is *common practice, no source*: good enough
//! to ask whether the program would surprise somebody who knows it, and never a figure, a price or demo data.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use std::collections::BTreeSet;
use std::path::Path;

use knockdown::market::haul::{Fraction, Haul, Mix};
use knockdown::market::{Book, Tally, Yard};
use knockdown::quantity::{Mass, MassUnit};
use knockdown::sessions::{Change, Demo, Session, play};
use knockdown::store::Home;
use knockdown::world::{FixedClock, World};
use rust_decimal::Decimal;

/// A world without a folder: nothing but what is shipped.
fn world() -> World {
    let clock = FixedClock("2026-11-20T12:00:00Z".parse().unwrap());
    World::new(Home::at("/nonexistent/knockdown-common-practice"), Box::new(clock)).unwrap()
}

fn yards(world: &World) -> Vec<Yard> {
    let files = std::fs::read_dir("scripts/yards").unwrap().map(|entry| entry.unwrap().path());
    let mut ids: Vec<String> = files.map(|path| path.file_stem().unwrap().to_str().unwrap().to_owned()).collect();
    ids.sort();
    assert!(ids.len() >= 5, "{ids:?}");
    ids.iter().map(|id| world.yard(id).unwrap().1).collect()
}

/// What a yard pays for kilograms of grades, in one box or apart; `None` if it does not take all of it.
fn pays(world: &World, yard: &Yard, lots: &[(&str, u32)], in_one_box: bool) -> Option<Decimal> {
    let fraction = |&(grade, kilograms): &(&str, u32)| Fraction {
        part: grade.into(),
        grade: grade.into(),
        net: Some(Mass::of(kilograms.into(), MassUnit::Kilogram).unwrap()),
        pieces: 1,
        regraded_from: None,
        in_mix: in_one_box.then_some(0),
        division: Mass::ZERO,
    };
    let mixes = if in_one_box { vec![Mix { name: "box".into(), net: None }] } else { Vec::new() };
    let haul = Haul { fractions: lots.iter().map(fraction).collect(), mixes, ..Haul::default() };
    let book = Book::new(yard, &[], world.host().catalogue().grades(), yard.as_of());
    let tally = Tally::of(&haul, &book).unwrap();
    let sum = tally.lines.iter().map(|line| line.amount.amount()).sum();
    tally.unsold.is_empty().then_some(sum)
}

/// What a yard pays for ten kilograms of a grade.
fn price(world: &World, yard: &Yard, grade: &str) -> Option<Decimal> {
    pays(world, yard, &[(grade, 10)], false)
}

fn lineage<'w>(world: &'w World, grade: &str) -> Vec<&'w str> {
    let grades = world.host().catalogue().grades();
    assert!(grades.get(grade).is_some(), "no grade {grade}");
    grades.lineage(grade).map(|grade| grade.id.as_str()).collect()
}

/// The test session of the tube display.
const SET: &str = "recipes/tube-display.session.toml";

fn set() -> Demo {
    Demo::parse(Path::new(SET), &std::fs::read_to_string(SET).unwrap()).unwrap()
}

/// Common practice, no source: a set weighs some 60 lb, its heat sinks some 2 lb, its coil cable some 2 lb.
#[test]
fn a_set_of_sixty_pounds_raises_no_doubt() {
    let world = world();
    let recipe = world.recipe("tube-display").unwrap().1;
    let within = |range: [Mass; 2], pounds: u32| {
        let mass = Mass::of(pounds.into(), MassUnit::Pound).unwrap();
        assert!(range[0] <= mass && mass <= range[1], "{pounds} lb is not within {} to {}", range[0], range[1]);
    };
    within([recipe.unit().weighs.low(), recipe.unit().weighs.high()], 60);
    let weights = [("unit/intake", "60 lb"), ("heat-sinks/heat sinks", "2 lb"), ("coil/coil cable", "2 lb")];
    for part in ["heat sinks", "coil cable"] {
        let freed = recipe.steps().iter().flat_map(|step| &step.frees).find(|freed| freed.part == part).unwrap();
        within([freed.expected.low(), freed.expected.high()], 2);
    }
    let demo = set();
    let mut session = Session::rehearse(&world, "tube-display", "thistle-fork", None).unwrap();
    let mut looked_at = BTreeSet::new();
    while let Some(name) = session.question().map(|question| question.name()) {
        let practice = weights.iter().find(|(question, _)| *question == name);
        let known = demo.answers.iter().find(|answer| answer.question == name);
        let typed = practice.map_or_else(|| known.unwrap().text.as_str(), |(_, weight)| weight).to_owned();
        if practice.is_some() {
            assert_eq!(session.doubt(&typed), None, "{name}");
            looked_at.insert(name.clone());
        }
        assert!(matches!(session.answer(&typed, None).unwrap(), Change::Answered(_)), "{name}: {typed}");
    }
    assert_eq!(looked_at.len(), weights.len(), "{looked_at:?}");
}

/// Common practice, no source: thin, coated or glued copper from windings is No. 2, never No. 1.
#[test]
fn winding_copper_is_number_two() {
    let world = world();
    let of_windings = lineage(&world, "copper-winding");
    assert!(of_windings.contains(&"copper-2") && !of_windings.contains(&"copper-1"), "{of_windings:?}");
    let mut compared = 0;
    for yard in yards(&world) {
        let (winding, first) = (price(&world, &yard, "copper-winding"), price(&world, &yard, "copper-1"));
        assert!(winding.unwrap() < first.unwrap(), "{}: {winding:?}, {first:?}", yard.id());
        compared += 1;
    }
    assert!(compared >= 5);
    let mut windings = 0;
    for entry in std::fs::read_dir("recipes").unwrap().map(|entry| entry.unwrap().path()) {
        if entry.extension().is_none_or(|ending| ending != "rhai") {
            continue;
        }
        let recipe = world.recipe(entry.file_stem().unwrap().to_str().unwrap()).unwrap().1;
        for freed in recipe.steps().iter().flat_map(|step| &step.frees).filter(|freed| freed.part.contains("winding")) {
            assert!(!lineage(&world, &freed.grade).contains(&"copper-1"), "{}: {}", recipe.unit().id, freed.part);
            windings += 1;
        }
    }
    assert!(windings >= 3, "{windings}");
}

/// Common practice, no source: heavy coil cable brings more than appliance cord, and that more than thin signal cord.
#[test]
fn insulated_wire_ranks_by_its_copper() {
    let world = world();
    let recipe = world.recipe("tube-display").unwrap().1;
    let freed = |part: &str| {
        let mut freed = recipe.steps().iter().flat_map(|step| &step.frees);
        freed.find(|freed| freed.part == part).unwrap().grade.clone()
    };
    let grades = [freed("coil cable"), freed("mains cord"), freed("signal cable")];
    let mut ranked = 0;
    for yard in yards(&world).iter().filter(|yard| yard.offer(&grades[1]).is_some()) {
        let [Some(heavy), Some(cord), Some(thin)] = [0, 1, 2].map(|at| price(&world, yard, &grades[at])) else {
            continue;
        };
        assert!(heavy > cord && cord > thin, "{}: {heavy}, {cord}, {thin}", yard.id());
        ranked += 1;
    }
    assert!(ranked >= 3, "{ranked}");
}

/// Common practice, no source: aluminium that is found in a copper lot costs dearly. A tenth of it takes at least a tenth off
/// what the two would bring apart, and no share of it pays.
#[test]
fn aluminium_in_copper_costs_dearly() {
    let world = world();
    let mut judged = 0;
    for yard in yards(&world).iter().filter(|yard| yard.mixed_rule().is_some()) {
        for (copper, aluminium) in [("copper-2", "aluminium"), ("copper-winding", "aluminium-winding")] {
            for (share, kept) in [(2, Decimal::ONE), (10, "0.9".parse().unwrap()), (30, "0.9".parse().unwrap())] {
                let lots = [(copper, 100 - share), (aluminium, share)];
                let Some(apart) = pays(&world, yard, &lots, false) else { continue };
                // A yard that turns the box away costs more still.
                let mixed = pays(&world, yard, &lots, true).unwrap_or_default();
                assert!(mixed < apart * kept, "{}: {share} % {aluminium} in {copper}: {mixed} of {apart}", yard.id());
                judged += 1;
            }
        }
    }
    assert!(judged >= 20, "{judged}");
}

/// Common practice, no source: some yards have one price for every board, others grade them.
#[test]
fn boards_have_one_price_here_and_grades_there() {
    let world = world();
    let prices = |yard: &Yard| -> BTreeSet<Decimal> {
        ["board-low", "board-mid", "board-high"].iter().filter_map(|grade| price(&world, yard, grade)).collect()
    };
    let counts: Vec<usize> = yards(&world).iter().map(|yard| prices(yard).len()).collect();
    assert!(counts.contains(&1) && counts.iter().any(|count| *count > 1), "{counts:?}");
}

/// Common practice, no source: small transformers are a class of their own.
#[test]
fn small_transformers_stand_apart() {
    let world = world();
    let of_small = lineage(&world, "transformer-small");
    assert!(!of_small.contains(&"transformer-copper") && !of_small.contains(&"transformer-aluminium"), "{of_small:?}");
    let apart = |yard: &&Yard| {
        let small = yard.offer("transformer-small").is_some().then(|| price(&world, yard, "transformer-small"));
        small.is_some_and(|small| {
            small != price(&world, yard, "transformer") && small != price(&world, yard, "transformer-copper")
        })
    };
    assert!(yards(&world).iter().filter(apart).count() >= 2);
}

/// Common practice, no source: the contacts of relays can be kept apart; no yard may take them as relays.
#[test]
fn relay_contacts_can_be_kept_apart() {
    let world = world();
    let of_contacts = lineage(&world, "relay-contacts");
    assert!(!of_contacts.contains(&"relay"), "{of_contacts:?}");
    let mut buy_relays = 0;
    for yard in yards(&world).iter().filter(|yard| yard.offer("relay").is_some()) {
        let relays = price(&world, yard, "relay");
        assert!(price(&world, yard, "relay-contacts").is_none_or(|contacts| Some(contacts) > relays), "{}", yard.id());
        buy_relays += 1;
    }
    assert!(buy_relays >= 3, "{buy_relays}");
}

/// Common practice, no source: a set that was opened and closed again still sells whole, at what a set brings that nobody opened.
#[test]
fn a_closed_set_still_sells_whole() {
    let world = world();
    let mut session = Session::rehearse(&world, "tube-display", "thistle-fork", None).unwrap();
    play(&mut session, &set(), Path::new(SET), |_, _| {}).unwrap();
    assert!(!session.skipped().iter().any(|step| ["cover", "coil", "close"].contains(step)), "{:?}", session.skipped());
    let tally = session.tally().unwrap();
    let whole = tally.lines.iter().find(|line| line.is_remainder()).unwrap();
    assert_eq!(whole.grades(), [session.recipe().unit().whole_grade.as_str()]);
    assert_eq!(Ok(whole.amount), tally.whole.value);
}
