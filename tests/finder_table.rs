//! The shipped table of the grade finder: whole, in step with the catalogue, and true to its own candidates.

#![allow(clippy::unwrap_used, reason = "a test may fail by panicking")]

use knockdown::finder::{Finder, GradeCandidate, Measured, SeenSigns};
use knockdown::market::GradeTree;
use knockdown::recipe::HazardBook;
use knockdown::store::Home;
use knockdown::tool::{TableCell, Tables};
use knockdown::world::{FixedClock, World};

const TABLE: &str = include_str!("../scripts/catalogue/finder.toml");

fn finder() -> Finder {
    Finder::parse(TABLE).unwrap()
}

/// The candidates of the table, in its order.
fn candidates() -> Vec<GradeCandidate> {
    let mut table: toml::Table = TABLE.parse().unwrap();
    table.remove("candidate").unwrap().try_into().unwrap()
}

#[test]
fn every_grade_and_hazard_that_it_names_is_in_the_catalogue() {
    let finder = finder();
    let grades = GradeTree::parse(include_str!("../scripts/catalogue/grades.toml")).unwrap();
    let hazards = HazardBook::parse(include_str!("../scripts/catalogue/hazards.toml")).unwrap();
    assert!(candidates().len() >= 35 && finder.tests().len() >= 8);
    for candidate in candidates() {
        assert!(grades.get(&candidate.grade).is_some(), "{}", candidate.grade);
        assert!(candidate.hazards.iter().all(|hazard| hazards.get(hazard).is_some()), "{}", candidate.grade);
        assert!(!candidate.source.is_empty() && !candidate.status.is_empty(), "{}", candidate.grade);
    }
    for test in finder.tests() {
        let named = test.guards.iter().chain(test.shows.values());
        assert!(named.clone().all(|hazard| hazards.get(hazard).is_some()), "{}", test.id);
        assert!(test.shows.keys().all(|answer| test.answers.contains(answer)), "{}", test.id);
        assert!(test.not_while.iter().all(|grade| grades.get(grade).is_some()), "{}", test.id);
    }
}

/// What each candidate shows most, and the middle of its density, must lead to its own grade: else nothing could.
#[test]
fn each_candidate_that_shows_what_it_mostly_shows_is_found() {
    let finder = finder();
    for candidate in candidates() {
        let mut seen: Vec<SeenSigns> = Vec::new();
        for (place, test) in finder.tests().iter().enumerate() {
            let Some(answers) = candidate.seen.get(&test.id) else { continue };
            let (most, _) = answers.iter().max_by(|a, b| a.1.total_cmp(b.1)).unwrap();
            let answer = test.answers.iter().position(|answer| answer == most).unwrap();
            seen.push(SeenSigns::Answer(place, answer));
        }
        if let Some([low, high]) = candidate.density {
            let density = f64::midpoint(low, high);
            seen.push(SeenSigns::Density(Measured { density, sd: 0.01 * density }));
        }
        let ranked = finder.ranked(&seen);
        let place = ranked.iter().position(|ranked| ranked.grade == candidate.grade).unwrap();
        // Copper with solder and tarnish shows no one thing most; it must be among the first three.
        assert!(place < if candidate.grade == "copper-2" { 3 } else { 1 }, "{}: {:?}", candidate.grade, &ranked[..3]);
    }
}

/// The densities are those of the table of densities: a candidate's range must meet that of the material that it is made of.
#[test]
fn densities_meet_those_of_the_published_table() {
    let tables = Tables::parse([("densities", include_str!("../scripts/catalogue/tables/densities.toml"))]).unwrap();
    let table = tables.get("densities").unwrap();
    let candidates = candidates();
    for (grade, material) in [
        ("copper-1", "copper-pure"),
        ("brass-yellow", "brass-c36000-free-cutting"),
        ("copper-beryllium", "beryllium-copper-c17200"),
        ("aluminium-cast", "aluminium-die-cast-a380"),
        ("wire-copper-clad-aluminium", "copper-clad-aluminium-wire-15-cu-by-volume"),
        ("stainless-304", "stainless-304"),
        ("iron-cast", "grey-cast-iron"),
        ("lead-soft", "lead"),
        ("solder-tin-lead", "solder-sn60pb40"),
        ("zinc-diecast", "zinc-die-cast-zamak-3-5"),
        ("magnesium", "magnesium-die-cast-az91d"),
        ("silver-solid", "silver"),
        ("magnet-ferrite", "ferrite-sr-ba-permanent-magnet"),
        ("mercury-switch", "mercury"),
    ] {
        let row = table.row(material).unwrap_or_else(|| panic!("{material}"));
        let number = |name: &str| match &row.cells[name] {
            TableCell::Number(number) => number.to_string().parse::<f64>().unwrap(),
            cell => panic!("{material}: {name} is {cell:?}"),
        };
        let candidate = candidates.iter().find(|candidate| candidate.grade == grade).unwrap();
        let [low, high] = candidate.density.unwrap();
        assert!(low <= number("high") && number("low") <= high, "{grade}: {low} to {high}, {material}");
    }
}

/// What is neither iron nor steel has no business at a wheel: it makes dust of beryllium, cadmium, lead and magnesium, breaks
/// magnets, and clogs with the rest until it bursts. With nothing seen, and with what speaks for one of them, it is not offered.
#[test]
fn the_spark_test_waits_until_the_dangerous_are_ruled_out() {
    let finder = finder();
    let spark = finder.test("spark").unwrap();
    let offered = |seen: &[SeenSigns]| finder.next(seen, &[]).iter().any(|next| next.test == spark);
    assert!(!offered(&[]));
    let answer = |test: &str, answer: &str| {
        let place = finder.test(test).unwrap();
        SeenSigns::Answer(place, finder.tests()[place].answers.iter().position(|known| known == answer).unwrap())
    };
    assert!(!offered(&[answer("colour", "pale gold")]));
    assert!(!offered(&[answer("form", "casting with parting lines")]));
    let steel = [answer("magnet", "holds"), answer("colour", "grey"), answer("hardness", "a file bites")];
    assert!(!offered(&steel), "iron may still be on something else");
    assert!(offered(&[&steel[..], &[answer("attached", "nothing"), answer("form", "sheet")]].concat()));
    let iron = ["steel-light", "steel-lamination", "iron-cast", "stainless-304", "stainless-430"];
    for candidate in candidates() {
        let kept_off = finder.tests()[spark].not_while.contains(&candidate.grade);
        assert_eq!(kept_off, !iron.contains(&candidate.grade.as_str()), "{}", candidate.grade);
    }
}

#[test]
fn what_it_names_first_after_one_look_is_what_somebody_would_who_knows() {
    let finder = finder();
    let first = |seen: &[(&str, &str)]| {
        let seen: Vec<SeenSigns> = seen
            .iter()
            .map(|(test, answer)| {
                let place = finder.test(test).unwrap();
                let answers = &finder.tests()[place].answers;
                SeenSigns::Answer(place, answers.iter().position(|known| known == answer).unwrap())
            })
            .collect();
        finder.ranked(&seen)[0].grade.clone()
    };
    assert_eq!(first(&[("colour", "yellow"), ("magnet", "no")]), "brass-yellow");
    assert_eq!(first(&[("magnet", "holds"), ("form", "stack of thin sheets")]), "steel-lamination");
    assert_eq!(first(&[("coating", "a copper skin over silver")]), "wire-copper-clad-aluminium");
    assert_eq!(first(&[("coating", "varnish or enamel"), ("colour", "silver-white")]), "aluminium-winding");
    assert_eq!(first(&[("hardness", "a thumbnail marks it"), ("colour", "grey")]), "lead-soft");
    assert_eq!(first(&[("form", "tip or rivet on a spring"), ("colour", "silver-white")]), "relay-contacts");
    assert_eq!(first(&[("form", "a liquid")]), "mercury-switch");
}

/// No test takes a file or a wheel to what becomes dust that harms, or breaks; where a blade is spoken of, the text says on what not.
#[test]
fn no_test_makes_dust_of_what_harms() {
    let finder = finder();
    let dusty = ["beryllium-copper", "cadmium", "magnesium-chips", "mercury-switch", "strong-magnet"];
    let mut held = 0;
    for test in finder.tests() {
        let words = format!("{} {} {}", test.question, test.says, test.answers.join(" "));
        let is_made = |tool: &str| words.contains(&format!("a {tool} ")) || words.contains(&format!("the {tool} "));
        if !["file", "wheel"].into_iter().any(is_made) {
            assert!(!words.contains("knife") || words.contains("Never scratch"), "{}: {words}", test.id);
            continue;
        }
        held += 1;
        for candidate in candidates().iter().filter(|one| one.hazards.iter().any(|id| dusty.contains(&id.as_str()))) {
            assert!(test.not_while.contains(&candidate.grade), "{}: {}", test.id, candidate.grade);
        }
    }
    assert_eq!(held, 2, "hardness and spark");
    // The next test is named by its question alone where one stands: it carries what protects.
    let spark = &finder.tests()[finder.test("spark").unwrap()];
    assert_eq!(spark.guards, ["cutting-disc"]);
    assert!(["Face shield on", "gloves off", "guard on"].iter().all(|word| spark.question.contains(word)));
}

/// Why a candidate without a hazard has none. One that is in neither list has not been thought about.
const SOLID_METAL: &[&str] = &[
    "copper-bright",
    "copper-1",
    "copper-2",
    "copper-winding",
    "copper-tinned",
    "copper-hair-wire",
    "copper-light",
    "copper-bearing",
    "brass-yellow",
    "brass-red",
    "bronze",
    "brass-with-iron",
    "nickel-silver",
    "aluminium-extrusion-clean",
    "aluminium-heatsink",
    "aluminium-sheet",
    "aluminium-sheet-painted",
    "aluminium-cast",
    "aluminium-wire",
    "aluminium-winding",
    "wire-copper-clad-aluminium",
    "aluminium-breakage",
    "stainless-304",
    "stainless-430",
    "steel-light",
    "steel-lamination",
    "iron-cast",
    "zinc-diecast",
];

/// Every candidate has the hazards of the grade that it sells under, and whoever finds it is shown them all.
#[test]
fn a_candidate_that_is_found_brings_the_cautions_of_what_it_is() {
    let folder = tempfile::tempdir().unwrap();
    let clock = FixedClock("2026-11-02T10:00:00Z".parse().unwrap());
    let world = World::new(Home::at(folder.path()), Box::new(clock)).unwrap();
    let finder = finder();
    for candidate in candidates() {
        let grade = &candidate.grade;
        let of_grade = world.host().catalogue().grades().hazards(grade);
        assert!(of_grade.iter().all(|id| candidate.hazards.iter().any(|own| own == id)), "{grade}: {of_grade:?}");
        assert_eq!(candidate.hazards.is_empty(), SOLID_METAL.contains(&grade.as_str()), "{grade}");

        let mut play = world.grade_finder(None).unwrap();
        for (place, test) in finder.tests().iter().enumerate() {
            if let Some(answers) = candidate.seen.get(&test.id) {
                let (most, _) = answers.iter().max_by(|a, b| a.1.total_cmp(b.1)).unwrap();
                play.answer(place, most).unwrap();
            }
        }
        if let Some([low, high]) = candidate.density {
            let weight = format!("{:.1} g", f64::midpoint(low, high) * 100.0);
            play.measure(finder.test("density").unwrap(), &weight, "100.0 ml").unwrap();
        }
        let shown = play.hazards();
        assert!(candidate.hazards.iter().all(|id| shown.contains(id)), "{grade}: {shown:?}");
        if candidate.hazards.is_empty() {
            assert!(play.ranked()[0].grade != *grade || play.ranked()[0].hazards.is_empty(), "{grade}");
        }
    }
}

/// What an answer shows by itself is shown whatever else is answered: doubt is not talked away by the next test.
#[test]
fn no_later_answer_takes_back_what_one_has_shown() {
    let folder = tempfile::tempdir().unwrap();
    let clock = FixedClock("2026-11-02T10:00:00Z".parse().unwrap());
    let world = World::new(Home::at(folder.path()), Box::new(clock)).unwrap();
    let finder = finder();
    let place = |id: &str| finder.test(id).unwrap();
    let mut seen = 0;
    for (test, answer, hazard) in finder
        .tests()
        .iter()
        .flat_map(|test| test.shows.iter().map(move |(answer, hazard)| (test.id.as_str(), answer.as_str(), hazard)))
    {
        let mut play = world.grade_finder(None).unwrap();
        play.answer(place(test), answer).unwrap();
        // All that speaks for painted steel.
        for (other, answer) in
            [("form", "sheet"), ("colour", "grey"), ("magnet", "holds"), ("attached", "nothing"), ("mark", "nothing")]
        {
            if other != test {
                play.answer(place(other), answer).unwrap();
            }
        }
        assert!(play.hazards().contains(hazard), "{test} = {answer}: {:?}", play.hazards());
        seen += 1;
    }
    assert_eq!(seen, 8);
    for (test, answer) in [("form", "tip"), ("hardness", "a thumbnail"), ("mark", "BeCu"), ("magnet", "it is a magnet")]
    {
        let mut play = world.grade_finder(None).unwrap();
        play.answer(place(test), answer).unwrap();
        assert!(!play.hazards().is_empty(), "{test} = {answer}");
    }
}
