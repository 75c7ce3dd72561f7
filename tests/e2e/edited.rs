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
    // Put back, the recipe changes nothing of how the session ended; replayed under today's text, it finds its answer again.
    bench.write("home/recipes/test-box.rhai", BOX);
    bench.run(&["tally"]).exits(0).shows(&["Copper transformers"]).hides(&["transformer-aluminium"]);
    let now = bench.run(&["replay", "test-box-1", "--recipe-revision", "now", "--format", "json"]).exits(0);
    now.shows(&["test-box-1"]).hides(&["core/winding"]);
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
    bench.run(&["tally"]).exits(0).shows(&["Test box at Fixed Yard"]).complains("");
}

#[test]
fn an_edit_of_a_recipe_changes_nothing_of_a_session_that_ran_under_another_text() {
    let bench = Bench::stocked();
    bench.work(&[&UNTIL[..], &["2 kg", "3", "stop here"]].concat()).exits(0);
    let views = [
        &["tally"][..],
        &["tally", "--format", "json"],
        &["stock"],
        &["show", "test-box-1"],
        &["show", "sessions"],
        &["replay", "all", "--format", "json"],
        &["report", "all"],
    ];
    let before: Vec<String> = views.iter().map(|view| bench.run(view).exits(0).out).collect();
    let step =
        "step(\"lamp\", \"Take out the lamp\").minutes(1, 2, 3).frees(\"lamp\", (1.g..9.g).usually(3.g), \"glass\");\n";
    let edits = [
        BOX.replace("Test box", "Box of tests"),
        format!("{BOX}\n{step}"),
        BOX.replace("\"transformer-aluminium\"", "\"steel-light\""),
        BOX.replace("\"core\"", "\"heart\""),
        "unit(".to_owned(),
        BOX.replace("\"brass\"", "\"brasss\""),
    ];
    for edited in edits {
        assert_ne!(edited, BOX);
        bench.write("home/recipes/test-box.rhai", &edited);
        for (view, before) in views.iter().zip(&before) {
            let now = bench.run(view).exits(0);
            assert_eq!((&now.out, now.err.as_str()), (before, ""), "{view:?}");
        }
    }
    // A kept text that is missing is said, and today's is read in its place.
    bench.write("home/recipes/test-box.rhai", BOX);
    std::fs::remove_dir_all(bench.path("home/scripts-seen")).unwrap();
    let missing = bench.run(&["tally"]).exits(0).err.replace("\n  ", " ");
    assert!(missing.contains("no copy of the recipe test-box as it was then was kept"), "{missing}");
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
