//! A yard that is gone, and one that almost goes by its name.

use crate::bench::Bench;
use crate::stock::FIXED_YARD;

#[test]
fn a_session_is_never_valued_at_another_yard_in_silence() {
    let bench = Bench::stocked();
    bench.write("home/yards/fixed.rhai", &FIXED_YARD.replace("fixed-yard", "fixed").replace("Fixed Yard", "Fixed"));
    bench.feed(&["bench", "test-box", "--yard", "fixed"], &["6 kg", "pause"]).exits(5);
    std::fs::remove_file(bench.path("home/yards/fixed.rhai")).unwrap();
    // `fixed` is a part of the name of `fixed-yard`, which pays its own prices.
    let ended = bench.run(&["tally"]).exits(2).prints("");
    assert!(ended.err.starts_with("error: there is no yard `fixed`; "), "{}", ended.err);
    bench.run(&["tally", "--yard", "fixed-yard"]).exits(0).shows(&["Test box at Fixed Yard"]);
    let ended = bench.feed(&["resume"], &["pause"]).exits(2);
    assert!(ended.err.starts_with("error: there is no yard `fixed`; "), "{}", ended.err);
    bench.feed(&["resume", "--yard", "fixed-yard"], &["pause"]).exits(5).shows(&["has 1 answer."]);
    bench.feed(&["resume"], &["tally", "pause"]).exits(5).shows(&["Test box at Fixed Yard"]);
}

#[test]
fn the_yard_of_the_settings_that_is_gone() {
    let bench = Bench::stocked();
    bench.write("home/config.toml", "yard = \"fixd-yard\"\n");
    bench
        .run(&["bench", "test-box"])
        .exits(2)
        .complains("error: there is no yard `fixd-yard`; did you mean `fixed-yard`?\n");
    bench.run(&["doctor"]).exits(1).shows(&["FAULT  settings: there is no yard `fixd-yard`"]);
}

#[test]
fn a_folder_without_a_chosen_yard_keeps_that_of_its_last_session() {
    let bench = Bench::stocked();
    let in_use = |yard: &str| bench.run(&["yards"]).exits(0).shows(&[&format!("* {yard}  ")]);
    let works = |day: &str, at: &[&str], lines: &[&str]| {
        let arguments = [&["bench", "test-box", "--plain"], at].concat();
        bench.call(&arguments).env("KNOCKDOWN_CLOCK", &format!("{day}T10:00:00Z")).lines(lines).run().exits(5)
    };
    in_use("bluegum-siding");
    works("2026-11-02", &["--yard", "fixed-yard"], &["6 kg", "pause"]);
    in_use("fixed-yard");
    works("2026-11-03", &[], &["6 kg", "pause"]).shows(&["No yard is chosen: valued at Fixed Yard."]);
    works("2026-11-04", &["--yard", "hollow-lane"], &["6 kg", "yard komma", "pause"]);
    in_use("comma-yard");
    bench.run(&["plan", "test-box"]).exits(0).shows(&["Komma Hof"]);
    // What is chosen comes first, and one that is gone is nobody's.
    bench.run(&["settings", "yard", "saltmarsh-row"]).exits(0);
    in_use("saltmarsh-row");
    bench.run(&["settings", "yard", "--remove"]).exits(0);
    in_use("comma-yard");
    std::fs::remove_file(bench.path("home/yards/comma-yard.rhai")).unwrap();
    in_use("bluegum-siding");
}
