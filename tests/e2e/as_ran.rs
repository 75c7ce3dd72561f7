//! A session stays as it ran: no change of a recipe, library or catalogue ends it otherwise or moves what it put into stock.

use crate::bench::Bench;
use crate::stock::BOX;

/// A whole session with the box whose core turns out otherwise.
const SILVER: [&str; 11] = ["6 kg", "do", "1 kg", "2", "do", "yes", "silver", "2 kg", "3", "skip", "difference"];

/// All that is said of the session and of the stock is what it was, without a warning.
fn stands(bench: &Bench, before: &[String]) {
    for (view, before) in VIEWS.iter().zip(before) {
        let now = bench.run(view).exits(0);
        assert_eq!((&now.out, now.err.as_str()), (before, ""), "{view:?}");
    }
}

const VIEWS: [&[&str]; 3] = [&["tally"], &["stock"], &["stock", "--by", "lot", "--format", "json"]];

fn views(bench: &Bench) -> Vec<String> {
    VIEWS.iter().map(|view| bench.run(view).exits(0).quietly().out).collect()
}

#[test]
fn a_journal_keeps_what_a_session_came_to_and_the_stock_reads_that() {
    let bench = Bench::stocked();
    bench.work(&SILVER).exits(0);
    let before = views(&bench);
    assert!(before[1].contains("transformer-aluminium") || before[1].contains("Aluminium"), "{}", before[1]);
    let journal = bench.read("home/sessions/2026-11-02-test-box-1.toml");
    assert_eq!(journal.matches("kind = \"end\"").count(), 1, "{journal}");
    // The recipe is gone, and every copy of it too: the texts are named, the goods stay.
    std::fs::remove_file(bench.path("home/recipes/test-box.rhai")).unwrap();
    stands(&bench, &before);
    std::fs::remove_dir_all(bench.path("home/scripts-seen")).unwrap();
    let stock = bench.run(&["stock"]).exits(0);
    assert_eq!(stock.out, before[1]);
    let said = stock.err.replace("\n  ", " ");
    assert!(said.contains("no copy of the recipe test-box as it was then was kept"), "{said}");
    assert!(said.contains("it counts as its journal says that it ended"), "{said}");
    // Today's text does not take up what has ended under another.
    bench.write("home/recipes/test-box.rhai", &BOX.replace("\"core\"", "\"heart\""));
    let refused = bench.feed(&["resume"], &[""]).err.replace("\n  ", " ");
    assert!(refused.contains("its goods count as its journal keeps them"), "{refused}");
    for command in [&["tally"][..], &["show", "test-box-1"], &["correct", "test-box-1"]] {
        let refused = bench.run(command).exits(2).prints("").err.replace("\n  ", " ");
        assert!(refused.contains("its goods count as its journal keeps them"), "{command:?}: {refused}");
    }
    assert_eq!(bench.run(&["stock"]).out, before[1]);
    std::fs::remove_file(bench.path("home/recipes/test-box.rhai")).unwrap();
    bench.run(&["doctor"]).exits(1).shows(&["no copy of a script that it ran under is\n"]);
}

#[test]
fn the_libraries_of_then_are_kept_with_the_recipe() {
    let bench = Bench::stocked();
    let library =
        "fn colour(bench) { bench.choose(\"winding\", \"What colour is the winding?\", [\"copper\", \"silver\"]) }\n";
    bench.write("home/library/looks.rhai", library);
    let asks = "bench.choose(\"winding\", \"What colour is the winding?\", [\"copper\", \"silver\"])";
    assert!(BOX.contains(asks), "{BOX}");
    let recipe = format!("import \"looks\" as looks;\n{}", BOX.replace(asks, "looks::colour(bench)"));
    bench.write("home/recipes/test-box.rhai", &recipe);
    bench.work(&SILVER).exits(0);
    let before = views(&bench);
    let journal = bench.read("home/sessions/2026-11-02-test-box-1.toml");
    assert!(journal.contains("libraries = \"looks "), "{journal}");
    bench.write("home/library/looks.rhai", &library.replace("silver", "grey"));
    stands(&bench, &before);
    // Played anew it is the same as well, and the doctor finds that what is kept is what the answers come to.
    bench.run(&["replay", "--all"]).exits(0).quietly();
    bench.run(&["doctor"]).exits(0).hides(&["come to something else"]);
}

#[test]
fn what_was_undone_keeps_no_end_and_ends_anew() {
    let bench = Bench::stocked();
    bench.work(&SILVER).exits(0);
    bench.feed(&["resume"], &["undo", "pause"]).exits(5);
    bench.run(&["stock"]).exits(0).shows(&["Nothing is in stock"]);
    bench.feed(&["resume"], &["1 kg"]).exits(0);
    let stock = bench.run(&["stock", "--by", "lot", "--format", "json"]).exits(0).out;
    assert!(stock.contains("remainder of the unit"), "{stock}");
    assert_eq!(bench.read("home/sessions/2026-11-02-test-box-1.toml").matches("kind = \"end\"").count(), 2);
}

#[test]
fn an_ended_session_is_taken_up_under_its_own_text() {
    let bench = Bench::stocked();
    bench.work(&SILVER).exits(0);
    let step =
        "step(\"lamp\", \"Take out the lamp\").minutes(1, 2, 3).frees(\"lamp\", (1.g..9.g).usually(3.g), \"glass\");\n";
    bench.write("home/recipes/test-box.rhai", &format!("{BOX}\n{step}"));
    bench.feed(&["resume"], &[""]).exits(0).hides(&["Take out the lamp", "The recipe has changed"]);
}

#[test]
fn an_answer_of_an_ended_session_is_corrected_under_its_own_text() {
    let bench = Bench::stocked();
    bench.work(&SILVER).exits(0);
    bench.write("home/recipes/test-box.rhai", &BOX.replace("\"transformer-aluminium\"", "\"steel-light\""));
    bench
        .run(&["correct", "test-box-1"])
        .exits(0)
        .shows(&["core/winding = silver", "correct 2026-11-02-test-box-1 NAME"]);
    let done = bench.run(&["correct", "test-box-1", "core/core", "1.5 kg"]).exits(0);
    done.shows(&["core/core = 1.5 kg (was 2 kg)", "Estimated net: "]);
    bench.run(&["show", "test-box-1"]).exits(0).shows(&["core/core = 1.5 kg  (corrected on 2026-11-02)"]);
    let lots = bench.run(&["stock", "--by", "lot", "--format", "json"]).exits(0).out;
    assert!(lots.contains("transformer-aluminium") && lots.contains("\"1500"), "{lots}");
    // Asked at a prompt, Enter leaves it so.
    bench.feed(&["correct", "test-box-1", "core/core"], &[""]).exits(0).shows(&["It says 1.5 kg.", "Left as it was."]);
    bench
        .feed(&["correct", "test-box-1", "core/core"], &["1.8 kg"])
        .exits(0)
        .shows(&["core/core = 1.8 kg (was 1.5 kg)"]);
    for (wrong, why) in [
        (&["correct", "test-box-1", "core/cor", "1 kg"][..], "has no answer `core/cor`"),
        (&["correct", "test-box-1", "core/core", "heavy"], "core/core"),
        (&["correct", "test-box-9", "core/core", "1 kg"], "there is no session"),
    ] {
        let refused = bench.run(wrong);
        assert!(refused.err.contains(why), "{wrong:?}: {}", refused.err);
    }
}

#[test]
fn a_session_that_goes_on_is_not_corrected_but_resumed() {
    let bench = Bench::stocked();
    bench.work(&["6 kg", "do", "1 kg", "pause"]).exits(5);
    let refused = bench.run(&["correct", "test-box-1", "unit/intake", "7 kg"]);
    assert!(refused.err.contains("has not ended"), "{}", refused.err);
    bench.run(&["discard", "test-box-1"]).exits(0);
    for command in [&["correct", "test-box-1", "unit/intake", "7 kg"][..], &["draft", "test-box-1"]] {
        let refused = bench.run(command);
        assert!(refused.err.contains("is set aside and counts nowhere"), "{command:?}: {}", refused.err);
    }
}

#[test]
fn what_is_put_right_later_is_valued_as_the_session_was() {
    let bench = Bench::stocked();
    bench.work(&SILVER).exits(0);
    let before = views(&bench);
    let net = |text: &str| {
        text.lines().find(|line| line.starts_with("Net ")).unwrap().split_whitespace().last().unwrap().to_owned()
    };
    let was = net(&before[0]);
    let yard = bench.read("home/yards/fixed-yard.rhai");
    bench.write("home/yards/fixed-yard.rhai", &yard.replace("\"Light iron\", 0.20", "\"Light iron\", 0.90"));
    // Minutes move no money: the net is what it was, whatever the yard pays today.
    bench.run(&["correct", "test-box-1", "lid/minutes", "4"]).exits(0).shows(&[&format!("Estimated net: {was}")]);
    assert_eq!(net(&bench.run(&["tally"]).exits(0).out), was);
    let shown = bench.feed(&["resume"], &[""]).exits(0).out;
    assert_eq!(net(&shown), was);
    bench.feed(&["resume"], &["undo"]).exits(0).shows(&["Taken back: lid/minutes = 4"]);
    assert_eq!(bench.run(&["tally"]).exits(0).out, before[0]);
}

#[test]
fn a_correction_that_takes_goods_away_is_asked() {
    let bench = Bench::stocked();
    bench.work(&SILVER).exits(0);
    let before = views(&bench);
    let skips = ["correct", "test-box-1", "core/begin", "skip"];
    let refused = bench.run(&[&skips[..], &["--no-input"]].concat()).exits(2).prints("").err.replace("\n  ", " ");
    assert!(refused.contains("these no longer came out: core"), "{refused}");
    bench.feed(&skips, &[""]).exits(0).shows(&["these no longer came out: core", "Left as it was."]);
    assert_eq!(views(&bench), before);
    bench.feed(&skips, &["yes"]).exits(0).shows(&["core/begin = skip"]);
    assert!(!bench.run(&["stock", "--by", "lot", "--format", "json"]).out.contains("test-box-1/core"));
}

/// A slip of the hand gets no quieter way in through a correction than at the bench.
#[test]
fn a_corrected_weight_that_looks_like_a_slip_is_asked() {
    let bench = Bench::stocked();
    bench.work(&SILVER).exits(0);
    let before = views(&bench);
    let tenfold = ["correct", "test-box-1", "core/core", "20 kg"];
    bench.feed(&tenfold, &[""]).exits(0).shows(&["Is it meant so?", "Left as it was."]);
    assert_eq!(views(&bench), before);
    let warned = bench.run(&[&tenfold[..], &["--no-input"]].concat()).exits(0);
    assert!(warned.err.starts_with("warning: 20 kg is far outside"), "{}", warned.err);
}

#[test]
fn an_empty_word_names_no_session() {
    let bench = Bench::stocked();
    bench.work(&SILVER).exits(0);
    for command in [&["discard", ""][..], &["correct", ""], &["note", "", "hello"], &["draft", ""], &["resume", ""]] {
        bench.run(command).exits(2).prints("");
    }
    bench.run(&["show", "sessions"]).exits(0).shows(&["ended"]);
}

#[test]
fn export_says_what_is_missing() {
    let bench = Bench::stocked();
    bench.work(&SILVER).exits(0);
    std::fs::remove_dir_all(bench.path("home/scripts-seen")).unwrap();
    let said = bench.run(&["export", "all", "--out", "tables"]).exits(0).err.replace("\n  ", " ");
    assert!(said.contains("no copy of the recipe test-box as it was then was kept"), "{said}");
    bench.write("home/recipes/test-box.rhai", &BOX.replace("\"core\"", "\"heart\""));
    let said = bench.run(&["export", "all", "--out", "tables"]).exits(1).err.replace("\n  ", " ");
    assert!(said.contains("is left out: no copy of the recipe test-box"), "{said}");
}
