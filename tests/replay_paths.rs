//! A session whose recipe needs no script at the bench is replayed without running it: by chance and in every detail as with it.

#![allow(clippy::unwrap_used, reason = "a test may fail by panicking")]

use std::fmt::Write;
use std::rc::Rc;

use knockdown::bench::{CurrentAnswers, Entry, Kind};
use knockdown::script::{Catalogue, Host, Library};

const GRADES: &str = include_str!("../scripts/catalogue/grades.toml");
const HAZARDS: &str = include_str!("../scripts/catalogue/hazards.toml");

/// Numbers by chance, the same in every run (splitmix64).
struct Dice(u64);

impl Dice {
    fn roll(&mut self, below: u64) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mixed = (self.0 ^ self.0 >> 30).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let mixed = (mixed ^ mixed >> 27).wrapping_mul(0x94d0_49bb_1331_11eb);
        (mixed ^ mixed >> 31) % below
    }

    fn one_in(&mut self, of: u64) -> bool {
        self.roll(of) == 0
    }

    fn pick<'t>(&mut self, from: &[&'t str]) -> &'t str {
        from[self.roll(from.len() as u64) as usize]
    }
}

const SOME_GRADES: [&str; 5] = ["copper-2", "steel-light", "board-mid", "aluminium-cast", "plastic-mixed"];
const SOME_GUARDS: [&str; 3] = ["sharp-sheet", "mains-plugged", "refrigerant"];

/// A recipe without work of its own: steps after steps, two ways to one part, parts opened, guards, remainders, Annex VII, costs.
fn recipe(dice: &mut Dice) -> (String, u64) {
    let steps = 1 + dice.roll(9);
    let mut text = "unit(\"by-chance\", \"Unit by chance\").weighs((5.kg..60.kg).usually(20.kg))\
                    .sold_whole_as(\"appliance\")"
        .to_owned();
    if dice.one_in(3) {
        write!(text, ".guards([\"{}\"])", dice.pick(&SOME_GUARDS)).unwrap();
    }
    text.push_str(".holds([\"1.5\"]).figures_from(\"estimate\");\n");
    for step in 0..steps {
        write!(text, "step(\"s{step}\", \"Step {step}\").minutes(1, 2, 4)").unwrap();
        if step > 0 {
            let earlier = dice.roll(step);
            match dice.roll(5) {
                0 => write!(text, ".after(\"s{earlier}\")").unwrap(),
                1 => write!(text, ".after_any([\"s{earlier}\", \"s{}\"])", dice.roll(step)).unwrap(),
                2 => write!(text, ".opens(\"p{earlier}\").after(\"s{earlier}\")").unwrap(),
                _ => {}
            }
        }
        if dice.one_in(4) {
            write!(text, ".guards([\"{}\"])", dice.pick(&SOME_GUARDS)).unwrap();
        }
        write!(text, ".frees(\"p{step}\", (0.1.kg..2.kg).usually(1.kg), \"{}\")", dice.pick(&SOME_GRADES)).unwrap();
        text.push_str(".figures_from(\"estimate\")");
        if dice.one_in(4) {
            text.push_str(".frees(\"shared\", (0.1.kg..2.kg).usually(1.kg), \"copper-2\").figures_from(\"estimate\")");
        }
        if dice.one_in(5) {
            text.push_str(".removes([\"1.5\"])");
        }
        if dice.one_in(5) {
            write!(text, ".spoils(\"{}\")", dice.pick(&SOME_GRADES)).unwrap();
        }
        text.push_str(";\n");
    }
    (text, steps)
}

/// Answers by chance to all that such a recipe may ask, some of them no answers, some missing, some to what nobody asks.
fn answers(dice: &mut Dice, steps: u64) -> Vec<Entry> {
    let mut entries: Vec<Entry> = Vec::new();
    let mut say = |kind: Kind, question: Option<String>, text: &str| {
        let (seq, at) = (entries.len() as u64 + 1, "2026-11-02T10:00:00Z".to_owned());
        let text = Some(text.to_owned());
        entries.push(Entry { seq, at, kind, question, typed: text.clone(), understood: text, origin: None });
    };
    let weight = |dice: &mut Dice| match dice.roll(9) {
        0 => "none".to_owned(),
        1 => "too light".to_owned(),
        2 => "a lot".to_owned(),
        _ => format!("{} g, {} pcs, to 1 g", 100 + dice.roll(1900), 1 + dice.roll(3)),
    };
    say(
        Kind::Answer,
        Some("unit/intake".into()),
        dice.pick(&["unknown", "21000 g, 1 pcs, to 10 g", "900 g, 1 pcs, to 1 g"]),
    );
    for hazard in SOME_GUARDS {
        let text = dice.pick(&["yes", "yes", "UNPLUGGED", "by A. Person", "hand on", "no"]);
        say(Kind::Answer, Some(format!("unit/guard.{hazard}")), text);
    }
    for step in 0..steps {
        if dice.one_in(20) {
            continue;
        }
        for key in ["begin", "begin-2", "begin-3"] {
            say(
                Kind::Answer,
                Some(format!("s{step}/{key}")),
                dice.pick(&["do", "do", "do", "skip", "later", "perhaps"]),
            );
        }
        for hazard in SOME_GUARDS {
            let text = dice.pick(&["yes", "yes", "UNPLUGGED", "UNPLUGGED", "by A. Person", "no"]);
            say(Kind::Answer, Some(format!("s{step}/guard.{hazard}")), text);
        }
        let (first, second) = (weight(dice), weight(dice));
        say(Kind::Answer, Some(format!("s{step}/p{step}")), &first);
        say(Kind::Answer, Some(format!("s{step}/shared")), &second);
        say(Kind::Answer, Some(format!("s{step}/minutes")), dice.pick(&["2 min", "7 min", "20 s", "soon"]));
        match dice.roll(12) {
            0 => say(Kind::Undo, None, ""),
            1 => say(Kind::Redo, None, ""),
            2 => say(Kind::Stop, None, ""),
            3 => say(Kind::Mix, None, "p0 + shared"),
            4 => say(Kind::Note, None, "a #tag"),
            5 => say(Kind::Answer, Some("nobody/asks".into()), "this"),
            _ => {}
        }
    }
    let rest = ["difference", "9000 g, 1 pcs, to 10 g"];
    say(Kind::Answer, Some("unit/remainder".into()), dice.pick(&rest));
    entries
}

#[test]
fn walking_the_steps_alone_comes_to_what_running_the_script_comes_to() {
    let host = Host::new(Rc::new(Catalogue::new(GRADES, HAZARDS)), Library::new([]));
    let mut dice = Dice(20_261_128);
    let (mut ends, mut unfit) = (std::collections::BTreeSet::new(), 0);
    for round in 0..300 {
        let (text, steps) = recipe(&mut dice);
        let script = host.open("by-chance.rhai", &text).unwrap_or_else(|error| panic!("{error}\n{text}"));
        let Ok(recipe) = host.recipe(&script) else { continue };
        for _ in 0..10 {
            let standing = Rc::new(CurrentAnswers::of(answers(&mut dice, steps)));
            let full = host.run(&script, standing.clone()).unwrap();
            let short = host.run_declared(&script, &recipe, standing).unwrap();
            assert_eq!(format!("{short:?}"), format!("{full:?}"), "round {round}:\n{text}");
            ends.insert(format!("{:?}", full.end).chars().take_while(|c| c.is_alphabetic()).collect::<String>());
            unfit += full.unfit.len();
        }
    }
    // The chance reached every way to end, and answers that did not fit.
    assert_eq!(
        ends.iter().map(String::as_str).collect::<Vec<_>>(),
        ["Complete", "HandedOn", "Refused", "Stopped", "Waits"]
    );
    assert!(unfit > 1000, "{unfit}");
}

/// Work of its own is still done: the answer of a closure regrades the part.
#[test]
fn a_recipe_with_work_of_its_own_is_run_whole() {
    let host = Host::new(Rc::new(Catalogue::new(GRADES, HAZARDS)), Library::new([]));
    let text = "unit(\"worked\", \"Worked\").weighs((5.kg..60.kg).usually(20.kg)).sold_whole_as(\"appliance\");\n\
                step(\"s\", \"S\").minutes(1, 2, 4).frees(\"p\", (0.1.kg..2.kg).usually(1.kg), \"copper-2\")\n\
                .work(|bench| if bench.yes(\"steel\", \"Steel?\") { bench.regrade(\"p\", \"steel-light\"); });";
    let script = host.open("worked.rhai", text).unwrap_or_else(|error| panic!("{error}"));
    let recipe = host.recipe(&script).unwrap();
    let given = [
        ("unit/intake", "unknown"),
        ("s/begin", "do"),
        ("s/steel", "yes"),
        ("s/p", "500 g, 1 pcs, to 1 g"),
        ("s/minutes", "2 min"),
    ];
    let run = host.run_declared(&script, &recipe, Rc::new(CurrentAnswers::supposed(given))).unwrap();
    assert_eq!(run.state.parts[0].grade, "steel-light");
}
