//! A recipe edited while a session runs under it: answers stay, those that no longer fit are said.

use crate::bench::Bench;
use crate::stock::BOX;

const UNTIL: [&str; 7] = ["6 kg", "do", "1 kg", "2", "do", "yes", "silver"];

#[test]
fn reread_keeps_the_answers() {
    let bench = Bench::stocked();
    let mut running = bench.call(&["bench", "test-box", "--yard", "fixed-yard", "--plain"]).start();
    for line in UNTIL {
        running.waits_for("> ");
        running.types(line);
    }
    running.waits_for("Weigh: core");
    running.types("reread");
    running.waits_for("The recipe has not changed.");
    bench
        .write("home/recipes/test-box.rhai", &BOX.replace("Pull the core", "Lift the core out").replace("\"Weigh", ""));
    running.types("reread");
    running.waits_for("The recipe was read again; your answers stand.");
    running.waits_for("Lift the core out");
    running.types("undo");
    running.waits_for("Taken back: core/winding = silver");
    // A script that is at fault is said, and the session goes on under the text that it had.
    bench.write("home/recipes/test-box.rhai", "unit(");
    running.waits_for("> ");
    running.types("reread");
    running.waits_for("> ");
    running.types("copper");
    running.waits_for("Weigh: core");
    running.types("pause");
    running.waits_for("Laid aside");
    bench.write("home/recipes/test-box.rhai", BOX);
    bench.run(&["show", "test-box-1"]).exits(0).shows(&["core/winding = copper\n"]);
}

#[test]
fn an_answer_that_no_longer_fits_is_said_where_it_is_asked_again() {
    let bench = Bench::stocked();
    bench.work(&[&UNTIL[..], &["pause"]].concat()).exits(5);
    bench.write("home/recipes/test-box.rhai", &BOX.replace("[\"copper\", \"silver\"]", "[\"copper\", \"grey\"]"));
    bench.feed(&["resume"], &["grey", "2 kg", "3", "skip", "difference"]).exits(0).shows(&[
        "has 6 answers.\n",
        "The recipe has changed since",
        "Answer not used: core/winding = silver: `silver` is no longer one of",
        "What colour is the winding?",
        "> grey\n",
        "Done. Every open step",
    ]);
}

#[test]
fn an_answer_that_nothing_asks_for_any_more_is_listed_at_the_end() {
    let bench = Bench::stocked();
    bench.work(&[&UNTIL[..], &["2 kg", "3", "pause"]].concat()).exits(5);
    let start = BOX.find("    .work(").unwrap();
    let end = BOX.find("step(\"wires\"").unwrap();
    let shorter = format!("{};\n\n{}", BOX[..start].trim_end(), &BOX[end..]);
    bench.write("home/recipes/test-box.rhai", &shorter);
    bench.feed(&["resume"], &["skip", "difference"]).exits(0).shows(&[
        "has 8 answers.\n",
        "The recipe has changed since; answers that no longer fit are kept and listed at\n  the end.\n",
        "Answer not used: core/winding = silver: nothing asks for it any more\n",
        // No longer regraded: 2 kg × 1.50.
        "Copper transformers",
        "3.00",
    ]);
    // Put back, the recipe finds its answer again.
    bench.write("home/recipes/test-box.rhai", BOX);
    bench.run(&["tally"]).exits(0).shows(&["transformer-aluminium"]).hides(&["Answer not used"]);
}

#[test]
fn a_recipe_that_is_gone_is_replaced_by_the_copy_kept() {
    let bench = Bench::stocked();
    bench.work(&[&UNTIL[..], &["pause"]].concat()).exits(5);
    std::fs::remove_file(bench.path("home/recipes/test-box.rhai")).unwrap();
    bench
        .feed(&["resume"], &["2 kg", "pause"])
        .exits(5)
        .shows(&["The recipe is gone; the copy that the session ran under is used.", "Weigh: core"]);
    bench.run(&["tally"]).exits(0).shows(&["Test box at Fixed Yard"]).complains(
        "warning: 2026-11-02-test-box-1: the recipe test-box is gone; the session is read\n  under the copy that it ran under\n",
    );
}

#[test]
fn every_view_says_that_it_reads_a_session_under_another_text() {
    let bench = Bench::stocked();
    bench.work(&[&UNTIL[..], &["2 kg", "3", "stop here"]].concat()).exits(0);
    bench.write("home/recipes/test-box.rhai", &BOX.replace("Test box", "Box of tests"));
    let changed = "warning: 2026-11-02-test-box-1: the recipe has changed since the session ran; it\n  is read under today's text\n";
    bench.run(&["tally"]).exits(0).shows(&["Box of tests at Fixed Yard"]).complains(changed);
    bench.run(&["show", "test-box-1"]).exits(0).shows(&["the recipe has changed since the session ran"]);

    bench.write("home/recipes/test-box.rhai", &BOX.replace("\"brass\"", "\"brasss\""));
    let fault = "the recipe test-box is at fault today";
    let copy = "read under the copy that it ran under";
    for arguments in [&["tally"][..], &["tally", "--format", "json"], &["stock"]] {
        let ended = bench.run(arguments).exits(0);
        let err = ended.err.replace("\n  ", " ");
        assert!(err.contains(fault) && err.contains("no grade `brasss`") && err.contains(copy), "{arguments:?}: {err}");
    }
    for arguments in [&["show", "test-box-1"][..], &["show", "sessions"]] {
        let ended = bench.run(arguments).exits(0);
        let out = ended.out.replace("\n  ", " ").replace("\n    ", " ");
        assert!(out.contains(fault) && out.contains("no grade `brasss`"), "{arguments:?}: {out}");
    }
    bench.run(&["doctor"]).exits(1).shows(&[
        "FAULT  recipe test-box: ",
        "note   session 2026-11-02-test-box-1: the recipe test-box is at fault today",
    ]);
}

#[test]
fn a_copied_recipe_takes_the_place_of_the_shipped_one() {
    let bench = Bench::new();
    bench.feed(&["bench", "corded-tool"], &["pause"]).exits(5);
    bench.run(&["copy", "corded-tool"]).exits(0);
    bench.feed(&["resume"], &["pause"]).exits(5).hides(&["The recipe has changed"]);
    let text = bench.read("home/recipes/corded-tool.rhai");
    bench.write("home/recipes/corded-tool.rhai", &format!("{text}\n// A remark of one's own.\n"));
    bench.feed(&["resume"], &["pause"]).exits(5).shows(&["The recipe has changed since"]);
    // Said once: the session now runs under the new text.
    bench.feed(&["resume"], &["pause"]).exits(5).hides(&["The recipe has changed"]);
}
