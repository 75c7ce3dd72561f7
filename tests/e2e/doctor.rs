//! Real faults, planted, and found.

use crate::bench::Bench;

#[test]
fn a_sound_folder() {
    Bench::new().run(&["doctor"]).exits(0).quietly().shows(&["sound  folder home\n", "0 at fault\n"]);
    let bench = Bench::stocked();
    bench.work(&["6 kg", "pause"]).exits(5);
    bench.run(&["quote", "brass", "3", "--yard", "fixed-yard"]).exits(0);
    bench.run(&["doctor"]).exits(0).quietly().shows(&[
        "sound  recipe test-box\n",
        "sound  yard fixed-yard\n",
        "sound  session 2026-11-02-test-box-1\n",
        "0 at fault\n",
    ]);
}

#[test]
fn planted_faults_are_each_named() {
    let bench = Bench::stocked();
    for lines in [&["6 kg", "do", "pause"][..], &["6 kg", "pause"], &["6 kg", "do", "1 kg", "pause"]] {
        bench.work(lines).exits(5);
    }
    bench.run(&["quote", "brass", "3", "--yard", "fixed-yard"]).exits(0);
    bench.run(&["quote", "brass", "4", "--yard", "fixed-yard"]).exits(0);
    bench.write("home/config.toml", "unit = \"stone age\"\n");
    bench.write("home/recipes/x.rhai", "unit(");
    bench.write("home/yards/y.rhai", "yard(\"y\", \"Y\");\n");
    bench.write("home/sessions/diary.txt", "mine");
    let quotes = bench.read("home/quotes.toml");
    bench.write("home/quotes.toml", &quotes.replace("3.00 CAD", "9.00 CAD"));
    let first = bench.read("home/sessions/2026-11-02-test-box-1.toml");
    bench.write("home/sessions/2026-11-02-test-box-1.toml", &first.replace("6000 g", "9000 g"));
    let second = bench.read("home/sessions/2026-11-02-test-box-2.toml");
    bench.write("home/sessions/2026-11-02-test-box-2.toml", &second[..second.len() - 20]);
    let ended = bench.call(&["doctor"]).env("COLUMNS", "400").run().exits(1).quietly();
    ended.shows(&[
        "sound  folder home\n",
        "FAULT  settings: the setting `unit` in config.toml: `stone age` is not a unit of mass",
        "FAULT  quotes: home/quotes.toml: read only up to a damaged place: home/quotes.toml, line ",
        "FAULT  recipe x: home/recipes/x.rhai:1:",
        "FAULT  yard y: ",
        "FAULT  sessions/diary.txt: the program did not put this file there; move it elsewhere\n",
    ]);
    bench.write("home/config.toml", "");
    bench.call(&["doctor"]).env("COLUMNS", "400").run().exits(1).shows(&[
        "sound  settings\n",
        "FAULT  session 2026-11-02-test-box-1: read only up to a damaged place: home/sessions/2026-11-02-test-box-1.toml, line 22: ",
        "FAULT  session 2026-11-02-test-box-2: ",
        "an entry that was never finished is left out\n",
        "sound  session 2026-11-02-test-box-3\n",
    ]);
    // What is damaged is not valued as if it were whole.
    let tally = bench.run(&["tally", "test-box-1"]).exits(1);
    assert!(
        tally.err.starts_with("warning: 2026-11-02-test-box-1: read only up to a damaged place:\n"),
        "{}",
        tally.err
    );
    bench.run(&["resume", "test-box-1"]).exits(1).prints("");
}

#[test]
fn settings_that_cannot_be_read_are_a_fault_and_stop_only_what_needs_them() {
    let bench = Bench::stocked();
    bench.write("home/config.toml", "yard = 3\n");
    let complaint = "error: home/config.toml, line 1: ";
    assert!(bench.run(&["recipes"]).exits(1).prints("").err.starts_with(complaint));
    assert!(bench.run(&["settings", "yard", "fixed"]).exits(1).prints("").err.starts_with(complaint));
    bench
        .run(&["doctor"])
        .exits(1)
        .quietly()
        .shows(&["FAULT  settings: home/config.toml, line 1: ", "sound  recipe test-box\n"]);
    bench.run(&["manual"]).exits(0).quietly();
    bench.run(&["completions", "bash"]).exits(0).quietly();
    bench.write("home/config.toml", "colour = \"always\"\n");
    bench
        .run(&["recipes"])
        .exits(1)
        .complains("error: home/config.toml, line 1: there is no setting \"colour\". Did you mean color?\n");
}

#[test]
fn a_file_where_the_folder_should_be() {
    let bench = Bench::new();
    bench.write("home", "in the way\n");
    let complaint = "error: home is a file, where a folder belongs. Move it away\n";
    for arguments in [
        &["recipes"][..],
        &["bench", "countertop-oven"],
        &["settings", "unit", "kg"],
        &["quote", "copper-2", "3"],
        &["copy", "countertop-oven"],
        &["tally"],
    ] {
        bench.run(arguments).exits(1).prints("").complains(complaint);
    }
    bench.run(&["doctor"]).exits(1).shows(&["FAULT  folder home: home is a file, where a folder belongs."]);
    bench.run(&["manual"]).exits(0);
    assert_eq!(bench.read("home"), "in the way\n");
}

#[test]
fn a_folder_that_cannot_be_written() {
    let bench = Bench::stocked();
    // Permissions do not hold for everybody; a file where a folder belongs does.
    bench.write("home/sessions", "in the way\n");
    let complaint = "error: home/sessions is a file, where a folder belongs. Move it away\n";
    bench.run(&["bench", "test-box"]).exits(1).complains(complaint);
    let bench = Bench::stocked();
    bench.write("home/scripts-seen", "in the way\n");
    bench
        .run(&["bench", "test-box"])
        .exits(1)
        .complains("error: home/scripts-seen is a file, where a folder belongs. Move it away\n");
    let bench = Bench::new();
    bench.run(&["--home", "/proc/knockdown", "settings", "unit", "kg"]).exits(1).prints("");
    bench.run(&["--home", "", "recipes"]).exits(2).prints("");
    let nowhere = bench.call(&["recipes"]).without("KNOCKDOWN_HOME").run();
    assert!(nowhere.err.is_empty() || nowhere.err.contains("--home"), "{}", nowhere.err);
    bench
        .call(&["recipes"])
        .env("KNOCKDOWN_CLOCK", "noon")
        .run()
        .exits(2)
        .complains("error: KNOCKDOWN_CLOCK is \"noon\"; write an instant such as 2026-11-02T10:00:00Z, or unset it\n");
}
