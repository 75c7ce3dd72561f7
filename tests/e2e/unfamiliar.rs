//! A unit that no recipe describes: steps made up at the bench, and the recipe that is drafted from them.

use crate::bench::Bench;

const ANY: &str = r#"unit("any-box", "Any box")
    .weighs((1.kg..9.kg).usually(5.kg))
    .figures_from("estimate, low confidence")
    .sold_whole_as("appliance-light")
    .holds(["1.3", "1.4"])
    .author("Tests").licence("CC0-1.0").revision(1).needs_api(1);

step("look", "Look it over")
    .minutes(1, 2, 3)
    .work(|bench| {
        bench.unit_is(bench.note("name", "What is it?"));
        bench.sells_whole_as(bench.grade("whole", "What would a yard buy it as?"));
        bench.guard("mains-plugged");
        if !bench.yes("cells", "Any battery in it?") {
            bench.holds_no("1.3");
        }
    });

step("open", "Open it").after("look").minutes(1, 2, 3).tools(["screwdriver"]).guards(["sharp-sheet"]);

step("next", "Go on with steps of your own").after("open").minutes(1, 2, 9).removes(["1.4"]).made_up();
"#;

/// Answers up to the first step of one's own.
const BEFORE: [&str; 13] = [
    "6 kg",
    "do",
    "Egg boiler",
    "appliance-light",
    "UNPLUGGED",
    "no",
    "1",
    "do",
    "yes",
    "2",
    "do",
    "Take the coil out",
    "none",
];

fn bench() -> Bench {
    let bench = Bench::stocked();
    bench.write("home/recipes/any-box.rhai", ANY);
    bench
}

fn work(bench: &Bench, lines: &[&str]) -> crate::bench::Ended {
    bench.feed(&["bench", "any-box", "--plain"], lines)
}

#[test]
fn a_grade_is_found_by_what_it_looks_like_and_chosen_by_number() {
    let bench = bench();
    let lines = [&BEFORE[..], &["coil", "thick bare copper", "1", "1.2 kg", "pause"]].concat();
    work(&bench, &lines).exits(5).shows(&[
        "What will you do first?",
        "a few words; finished: nothing more",
        "What can hurt in this step?",
        "What comes out? Name it before you loosen it.",
        "> coil\n",
        "`coil`: what is it, or what does it look like?",
        "> thick bare copper\n`thick bare copper` may be",
        "  1 copper-bright  Bare bright copper wire\n",
        "> 1\n",
        "Weigh: coil",
        "  = 1.2 kg (2.646 lb)",
        "What else comes out?",
    ]);
    // What is kept is the grade itself, not the number.
    bench.run(&["show", "any-box-1"]).exits(0).shows(&["next-1/grade-1 = copper-bright\n", "next-1/coil = 1.2 kg\n"]);
}

#[test]
fn words_that_fit_nothing_are_refused() {
    let bench = bench();
    let lines = [&BEFORE[..], &["coil", "zzzz", "pause"]].concat();
    work(&bench, &lines).exits(5).shows(&["> zzzz\nNot taken: no grade fits `zzzz`; try other words"]);
}

#[test]
fn a_hazard_is_found_by_words_and_its_guard_stands_before_the_work() {
    let bench = bench();
    let before = &BEFORE[..BEFORE.len() - 1];
    let lines = [before, &["jump belt tensioners", "1", "no"]].concat();
    work(&bench, &lines).exits(0).shows(&[
        "What can hurt in this step?",
        "> jump belt tensioners\n`jump belt tensioners` may be this hazard; answer 1",
        "  1 springs  Springs under tension\n",
        "> 1\n",
        "CAUTION  Springs under tension",
        "> no\n",
    ]);
}

#[test]
fn a_grade_that_can_hurt_asks_its_guard_before_the_part_is_weighed() {
    let bench = bench();
    let lines = [&BEFORE[..], &["pack", "lithium-battery", "INSPECTED", "200 g", "none", "pause"]].concat();
    work(&bench, &lines).exits(5).shows(&[
        "`pack`: what is it, or what does it look like?",
        "DANGER  Lithium-ion cell or pack, sound",
        "type INSPECTED once it is done",
        "> INSPECTED\n",
        "Weigh: pack",
    ]);
}

#[test]
fn undo_back_and_resume_go_through_made_up_steps_as_through_all_others() {
    let bench = bench();
    let lines = [
        &BEFORE[..],
        &["coil", "copper-bright", "1.2 kg", "undo", "1.1 kg", "coil", "lid", "undo", "back", "", "pause"],
    ]
    .concat();
    work(&bench, &lines).exits(5).shows(&[
        "> undo\nTaken back: next-1/coil = 1.2 kg\n",
        "> 1.1 kg\n",
        // A name that is out already would not tell the two apart.
        "> coil\nNot taken: `coil` is out already; say how this one differs",
        "> lid\n",
        "> undo\nTaken back: next-1/part-2 = lid\n",
        "> back\nBack at next-1/coil. Enter keeps the old answer.\n",
        "> \n  = 1.1 kg (2.425 lb)",
    ]);
    let lines =
        ["none", "3", "Open the coil", "coil", "none", "none", "steel-light", "1", "finished", "same", "difference"];
    bench.feed(&["resume", "--plain"], &lines).exits(0).shows(&[
        "Take the coil out",
        "What else comes out?",
        "Done. How long did it take?",
        "What will you do next?",
        "What do you work on?",
        "  1 the unit itself\n  2 coil\n",
        "What is left of `coil`: under which grade does it sell?",
        "> finished\n",
        "What is left of the unit",
        "Done. Every open step is done or left out.",
        "Egg boiler at",
    ]);
    // The same answers give the same tally, whoever asks and whenever.
    let first = bench.run(&["tally", "any-box-1"]).exits(0).out;
    assert!(first.contains("what is left of coil (computed)"), "{first}");
    assert_eq!(bench.run(&["tally", "any-box-1"]).exits(0).out, first);
    bench.run(&["replay", "any-box-1"]).exits(0).shows(&["any-box-1"]);
}

/// A session of the shipped triage, played from its test session, and what is drafted from it.
#[test]
fn a_draft_of_the_shipped_triage_is_sound_and_keeps_its_guards_in_their_places() {
    let bench = Bench::stocked();
    let answers = include_str!("../../recipes/unfamiliar-unit.session.toml");
    bench.write("answers.toml", answers);
    bench.run(&["bench", "unfamiliar-unit", "--answers", "answers.toml"]).exits(0).shows(&["Bread maker at"]);
    bench.run(&["draft"]).exits(0).shows(&[
        "Written: ",
        "bread-maker.rhai",
        "sound   recipe bread-maker: 2 notes",
        "every way: ",
        "its test session answers 53 questions",
        "To fill in:",
        "each rests on 1",
        "what becomes of WEEE Annex VII 1.6",
    ]);
    bench.run(&["test", "bread-maker"]).exits(0).shows(&["bread-maker: plays"]);
    let script = bench.read("home/recipes/bread-maker.rhai");
    let place = |text: &str| script.find(text).unwrap_or_else(|| panic!("{text} is missing:\n{script}"));
    // The plug before the first step; charge after the cover and before the motor with its capacitor.
    assert!(place("\"mains-plugged\"") < place("step(\"cord\""));
    assert!(place("step(\"open\"") < place("\"capacitor-motor-run\""));
    assert!(place("checks::voltage_gone") < place("\"Undo the motor from below\""));
    assert!(place("checks::oil_capacitor") < place("\"Lift the control board out\""));
    assert!(script.contains("(695.g..1488.g).usually(35.oz), \"motor-small\""), "{script}");
    assert!(script.contains("1 session, weighed 35.oz; range guessed"), "{script}");
    // A second draft of the same name overwrites nothing.
    bench.run(&["draft"]).exits(2);
    bench.run(&["draft", "--id", "bread-maker-b"]).exits(0);
}

#[test]
fn a_draft_needs_a_step_that_was_done_and_a_name_that_makes_an_id() {
    let bench = bench();
    work(&bench, &["6 kg", "do", "!!!", "pause"]).exits(5);
    let unnamed = bench.run(&["draft"]).exits(4);
    assert!(unnamed.err.contains("give one with --id"), "{}", unnamed.err);
    let empty = bench.run(&["draft", "--id", "odd-box"]).exits(2);
    assert!(empty.err.contains("no step of that session was finished"), "{}", empty.err);
}

#[test]
fn a_part_that_nobody_foresaw_has_no_figure_to_expect_but_what_is_left() {
    let weighed = bench();
    let lines = [&BEFORE[..], &["coil", "thick bare copper", "1", "1.2 kg", "lid", "steel-light", "pause"]].concat();
    work(&weighed, &lines).exits(5).shows(&[
        "no figure to expect, and at\n    most the 6 kg that is left of the whole unit; or none, or too light",
        "  out of the whole unit so far: 1.2 kg of 6 kg; 4.8 kg is left\n",
        "no figure to expect, and at\n    most the 4.8 kg that is left of the whole unit; or none, or too light",
    ]);
    // Nothing is known to be left of a unit that was not weighed.
    let unweighed = [&["unknown"], &BEFORE[1..], &["coil", "thick bare copper", "1", "pause"]].concat();
    work(&bench(), &unweighed).exits(5).shows(&["no figure to expect; or none,\n    or too light"]);
}
