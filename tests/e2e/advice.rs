//! What the head of a step advises: all that pays from here, leave it, stop and why. Advice follows what was weighed and how long
//! it took; every step stays on offer, whatever it says. All figures are invented.

use crate::bench::{Bench, Ended};

/// A lamp that the law wants out and that brings nothing; a core worth taking out; a lid before both.
const RELIC: &str = r#"unit("relic", "Relic").weighs((4.kg..8.kg).usually(6.kg)).figures_from("invented")
    .sold_whole_as("appliance-light").holds(["1.10"]);
step("lid", "Take off the lid").minutes(1, 2, 4)
    .frees("lid", (0.5.kg..1.5.kg).usually(1.kg), "steel-light").figures_from("invented");
step("core", "Pull the core").after("lid").minutes(2, 4, 8)
    .frees("core", (1.kg..3.kg).usually(2.kg), "transformer-copper").figures_from("invented");
step("lamp", "Take out the lamp").after("lid").minutes(2, 3, 5)
    .frees("lamp", (50.g..150.g).usually(100.g), "glass").figures_from("invented").removes(["1.10"]);
"#;

/// A relic without a lamp: nothing that the law wants out.
fn plain_relic() -> String {
    let end = RELIC.find("step(\"lamp\"").unwrap();
    RELIC[..end].replace(".holds([\"1.10\"])", "")
}

fn bench(recipe: &str, floor: Option<&str>) -> Bench {
    let bench = Bench::stocked();
    bench.write("home/recipes/relic.rhai", recipe);
    if let Some(floor) = floor {
        bench.run(&["settings", "floor_per_hour", floor]).exits(0);
    }
    bench
}

fn work(bench: &Bench, lines: &[&str]) -> Ended {
    bench.call(&["bench", "relic", "--yard", "fixed-yard"]).env("COLUMNS", "200").lines(lines).run()
}

#[test]
fn a_step_that_pays_says_what_all_that_pays_adds_and_what_to_do_first() {
    let bench = bench(RELIC, None);
    work(&bench, &["6 kg", "pause"]).exits(5).shows(&[
        "Step 1 of 3  Take off the lid",
        // The lid 0.10, the core 2.80; the lamp takes 0.01 off what is left.
        "all that pays from here: +2.89 CAD in 9 min, +19.27 CAD an hour",
        "most per hour next: Take off the lid; Pull the core, +29.00 CAD an hour",
        "Take off the lid?",
    ]);
}

#[test]
fn a_unit_is_left_whole_where_an_hour_has_to_bring_more() {
    let law = bench(RELIC, Some("200"));
    work(&law, &["6 kg", "pause"]).exits(5).shows(&[
        "leave it whole, or hand it on: opening it, with what the law wants out, adds +0.09 CAD",
        "counted with your hour at 200.00 CAD",
        "Take off the lid?",
    ]);
    let plain = bench(&plain_relic(), Some("200"));
    work(&plain, &["6 kg", "pause"]).exits(5).shows(&[
        "leave it whole, or hand it on: no work on it brings what your hour has to bring",
        "Take off the lid?",
    ]);
    // Nothing pays even with free time: the core brings no more than what it is taken out of.
    let idle =
        bench(&plain_relic().replace("transformer-copper", "appliance").replace("steel-light", "appliance"), None);
    work(&idle, &["6 kg", "pause"])
        .exits(5)
        .shows(&["leave it whole, or hand it on: no work on it brings more than it takes", "Take off the lid?"]);
}

#[test]
fn an_open_unit_is_stopped_at_and_the_best_of_what_is_left_is_named() {
    let bench = bench(&plain_relic(), Some("40"));
    // An hour and a half for the lid: the core would take 5 times its usual 4 minutes, at 2.80.
    work(&bench, &["6 kg", "do", "1 kg", "90", "pause"]).exits(5).shows(&[
        "Step 2 of 2  Pull the core",
        "stop here: nothing further brings what your hour has to bring, at the weights so far",
        "the best of it, Pull the core would add +2.80 CAD in 20 min, +8.40 CAD an hour",
        "counted with times at your pace so far, 5 times the usual and your hour at 40.00 CAD",
        "Pull the core?",
    ]);
    // At the usual pace it pays: 42 an hour.
    work(&bench, &["6 kg", "do", "1 kg", "2", "pause"])
        .exits(5)
        .shows(&["Step 2 of 2  Pull the core", "all that pays from here: +2.80 CAD in 4 min, +42.00 CAD an hour"]);
}

#[test]
fn what_the_law_wants_out_is_still_to_be_done_where_to_stop() {
    let bench = bench(RELIC, Some("200"));
    let ended = work(&bench, &["6 kg", "do", "1 kg", "2", "skip", "pause"]).exits(5).shows(&[
        "Step 2 of 3  Pull the core",
        "stop after what the law wants out: Take out the lamp",
        "nothing further brings what your hour has to bring, at the weights so far",
        "Step 3 of 3  Take out the lamp",
        "stop after what the law wants out: Take out the lamp",
        "Take out the lamp?",
    ]);
    assert!(!ended.out.contains("stop here"), "{}", ended.out);
}

#[test]
fn an_unusual_weight_changes_what_lies_ahead() {
    let bench = bench(&plain_relic(), None);
    // 5.5 kg of a 6 kg unit are out: half a kilogram is left for a core that usually weighs two.
    let lines = ["6 kg", "do", "5.5 kg", "yes", "2", "pause"];
    let ended = work(&bench, &lines).exits(5);
    let ahead = ended.out.rsplit("Step 2 of 2").next().unwrap();
    assert!(ahead.contains("all that pays from here: +0.70 CAD in 4 min, +10.50 CAD an hour"), "{}", ended.out);
}

#[test]
fn a_step_that_later_work_makes_worthless_says_so() {
    // The door brings 0.40 as steel. Once the shell is clean, all of it sells as steel, the door in it or not.
    let recipe = r#"unit("relic", "Relic").weighs((9.kg..11.kg).usually(10.kg)).figures_from("invented")
    .sold_whole_as("appliance-light");
step("door", "Lift off the door").minutes(1, 1, 1)
    .frees("door", (3.kg..5.kg).usually(4.kg), "steel-light").figures_from("invented");
step("shell", "Strip the shell").minutes(5, 5, 5).cleans("steel-light");
"#;
    work(&bench(recipe, None), &["10 kg", "pause"]).exits(5).shows(&[
        "Step 1 of 2  Lift off the door",
        "all that pays from here: +1.00 CAD in 5 min, +12.00 CAD an hour",
        "this step is not part of it: it pays by itself; with all of that done it adds less than it takes",
        "Lift off the door?",
    ]);
    // One that brings nothing either way.
    let idle = recipe.replace("5.kg).usually(4.kg), \"steel-light\"", "5.kg).usually(4.kg), \"glass\"");
    work(&bench(&idle, None), &["10 kg", "pause"]).exits(5).shows(&[
        "all that pays from here: +1.00 CAD in 5 min, +12.00 CAD an hour",
        "this step is not part of it: it brings less than it takes",
    ]);
}
