//! Guards of all three classes: there is no way around one, and refusing ends safely.

use crate::bench::Bench;

/// A unit with a guard of its own class in its only step.
fn guarded(hazard: &str) -> Bench {
    let bench = Bench::stocked();
    let recipe = format!(
        r#"unit("risky", "Risky unit").weighs((4.kg..8.kg).usually(6.kg)).sold_whole_as("appliance-light");
step("lid", "Lid").minutes(1, 2, 3).frees("lid", (0.5.kg..1.5.kg).usually(1.kg), "steel-light");
step("open", "Open it").after("lid").minutes(1, 2, 3).guards(["{hazard}"])
    .frees("core", (1.kg..3.kg).usually(2.kg), "transformer-copper");
"#
    );
    bench.write("home/recipes/risky.rhai", &recipe);
    bench
}

const UNTIL: [&str; 5] = ["6 kg", "do", "1 kg", "2", "do"];

fn work(bench: &Bench, lines: &[&str]) -> crate::bench::Ended {
    bench.feed(&["bench", "risky", "--yard", "fixed-yard", "--plain"], &[&UNTIL[..], lines].concat())
}

#[test]
fn a_caution_is_confirmed_by_yes_and_nothing_else() {
    let bench = guarded("sharp-sheet");
    work(&bench, &["", "do", "skip it", "later", "1", "YES!", "yes", "pause"]).exits(5).shows(&[
        "CAUTION  Sharp sheet edges\n",
        "How it hurts: ",
        "Usual cautions, reviewed by no qualified person",
        "> \nNot taken: an answer is missing: `yes`, `no`\n",
        "> do\nNot taken: ",
        "> skip it\nNot taken: ",
        "> later\nNot taken: ",
        "> 1\nNot taken: ",
        "> YES!\nNot taken: ",
        "> yes\n",
        "Weigh: core",
    ]);
}

#[test]
fn a_danger_wants_the_word_shown() {
    let bench = guarded("stored-charge-hv");
    work(&bench, &["yes", "discharged", "DISCHARGE", "", "=yes", "DISCHARGED", "pause"]).exits(5).shows(&[
        "DANGER  ",
        "type DISCHARGED once it is done; no: end safely\n",
        "> yes\nNot taken: type DISCHARGED in capitals, exactly",
        "> discharged\nNot taken: type DISCHARGED",
        "> DISCHARGE\nNot taken: type DISCHARGED",
        "> \nNot taken: type DISCHARGED",
        "> =yes\nNot taken: type DISCHARGED",
        "> DISCHARGED\n",
        "Weigh: core",
    ]);
}

#[test]
fn how_a_step_is_done_stands_before_its_guards_and_again_before_the_work() {
    let bench = guarded("stored-charge-hv");
    let recipe = bench.read("home/recipes/risky.rhai");
    let told =
        recipe.replace(".guards(", ".tools([\"bleed resistor\"]).says(\"Bleed it through the resistor.\").guards(");
    bench.write("home/recipes/risky.rhai", &told);
    work(&bench, &["DISCHARGED", "pause"]).exits(5).shows(&[
        "Step 2 of 2  Open it\n",
        "  DANGER: High-voltage stored charge\n",
        "  Tools: bleed resistor\n  Bleed it through the resistor.\n[2/2] Open it?\n",
        "> do\nDANGER  High-voltage stored charge\nHow it hurts: ",
        "  1. ",
        "type DISCHARGED once it is done; no: end safely\n> DISCHARGED\n  Bleed it through the resistor.\n[2/2] Weigh: core\n",
    ]);
    // Taken up again behind the guard, it is said once.
    let ended = bench.feed(&["resume", "--plain"], &["pause"]).exits(5);
    assert_eq!(ended.out.matches("Bleed it through").count(), 1, "{}", ended.out);
}

#[test]
fn refusing_ends_safely_with_what_is_out() {
    for (hazard, name) in [("sharp-sheet", "Sharp sheet edges"), ("stored-charge-hv", "High-voltage stored charge")] {
        let bench = guarded(hazard);
        // 1 kg of light iron 0.20, what is left 5 kg at 0.10 = 0.50: net 0.70.
        work(&bench, &["no"]).exits(0).shows(&[
            &format!("Ended at a guard: {name}\nThe hazard is still in the unit. Work no further on it; tell whoever takes it.\n"),
            "Stop: ",
            "Where it goes: ",
            "Net                                     0.70\n",
        ]);
        bench.run(&["show", "sessions"]).exits(0).shows(&["ended  estimated net 0.70 CAD"]);
    }
}

#[test]
fn licensed_work_is_recorded_or_handed_on() {
    let bench = guarded("pcb-capacitor");
    work(&bench, &["yes", "by", "by ", "hand it on", "By J. Doe, licence 12", "pause"]).exits(5).shows(&[
        "by NAME, LICENCE: a licensed person did it; hand on: pass the unit on whole;\n    no: end safely\n",
        "> yes\nNot taken: write `by` and who did it",
        "> by\nNot taken: ",
        "> by \nNot taken: ",
        "> hand it on\nNot taken: ",
        "> By J. Doe, licence 12\n",
        "Weigh: core",
    ]);
    bench.run(&["show", "risky-1"]).exits(0).shows(&["open/guard.pcb-capacitor = By J. Doe, licence 12\n"]);

    let bench = guarded("pcb-capacitor");
    // Only the lid is sold: 1 kg × 0.20. What is left goes to somebody licensed and counts for nothing.
    work(&bench, &["hand on"]).exits(0).shows(&[
        "Handed on whole: ",
        "What is left of the unit goes to a licensed person and is not valued.\n",
        "Handed on to somebody licensed: pcb-capacitor.\n",
        "Net                                      0.20\n",
    ]);
    let bench = guarded("pcb-capacitor");
    work(&bench, &["no"]).exits(0).shows(&["Ended at a guard: "]);
}

#[test]
fn no_order_and_no_file_leads_around_a_guard() {
    let bench = guarded("stored-charge-hv");
    work(&bench, &["redo", "tally", "why", "pause"]).exits(5).hides(&["Weigh: core"]);
    bench.feed(&["resume", "risky"], &["core", "2 kg", "pause"]).exits(5).hides(&["Weigh: core"]);
    bench.write(
        "answers.toml",
        "[unit]\nintake = \"6 kg\"\nremainder = \"difference\"\n[lid]\nbegin = \"do\"\nlid = \"1 kg\"\nminutes = 2\n\
         [open]\nbegin = \"do\"\ncore = \"2 kg\"\nminutes = 3\n",
    );
    bench.run(&["bench", "risky", "--answers", "answers.toml"]).exits(4).complains(
        "error: answers.toml: no answer to `open/guard.stored-charge-hv` (High-voltage\n  stored charge); \
         add under [open]: \"guard.stored-charge-hv\" = …; there is\n  open/core, open/minutes, unit/remainder\n",
    );
}

#[test]
fn a_guard_found_at_work_stands_like_any_other() {
    let bench = Bench::stocked();
    bench.write(
        "home/recipes/found.rhai",
        r#"unit("found", "Found").weighs((4.kg..8.kg).usually(6.kg)).sold_whole_as("appliance-light");
step("look", "Look").minutes(1, 2, 3).work(|bench| {
    if bench.yes("bulging", "Does it bulge?") { bench.guard("electrolyte"); }
    bench.note("said", "What did you see?");
});
"#,
    );
    bench
        .feed(&["bench", "found", "--yard", "fixed-yard"], &["6 kg", "do", "yes", "no"])
        .exits(0)
        .shows(&["Ended at a guard: "])
        .hides(&["What did you see?"]);
    bench.feed(&["bench", "found", "--yard", "fixed-yard"], &["6 kg", "do", "no", "=undo", "pause"]).exits(5).shows(&[
        "What did you see?",
        "> =undo\n",
        "How long",
    ]);
    bench.run(&["show", "found-2"]).exits(0).shows(&["look/said = undo\n"]);
}
