//! Pins: a text taken over from somebody else that was changed since is reported when it is used.

use super::{Bench, SAMOVAR, SAMOVAR_SESSION, text};

fn taken() -> Bench {
    let bench = Bench::new();
    bench.write("recipes/samovar.rhai", SAMOVAR);
    bench.write("recipes/samovar.session.toml", SAMOVAR_SESSION);
    let (path, digest) = bench.bundle("samovar");
    std::fs::remove_dir_all(bench.home()).expect("removed");
    let ran = bench.run(&["adopt", text(&path), "--digest", &digest]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(bench.read("pinned.toml").contains(&digest));
    bench
}

#[test]
fn a_change_is_told_once_with_what_changed_and_the_text_is_used() {
    let bench = taken();
    assert_eq!(bench.run(&["show", "samovar"]).err, "", "unchanged: nothing to say");
    bench.write("recipes/samovar.rhai", &SAMOVAR.replace("[\"sharp-sheet\"]", "[]"));
    let ran = bench.run(&["bench", "samovar", "--answers", "missing.toml"]);
    assert_eq!(ran.code, 1, "{}", ran.err);
    let ran = bench.run(&["show", "samovar"]);
    assert_eq!(ran.code, 0);
    assert!(!ran.out.contains("note:") && ran.out.contains("Electric samovar"), "{}", ran.out);
    assert_eq!(
        ran.err.matches("note: the recipe samovar was changed after it was taken in on 2026-11-02").count(),
        1,
        "{}",
        ran.err
    );
    assert!(ran.err.contains("(1 line gone, 1 new)"), "{}", ran.err);
    assert!(
        ran.err.contains(
            "- step(\"jug\", \"Part jug and heater\").after(\"base\").minutes(1, 2, 3).guards([\"sharp-sheet\"])"
        ),
        "{}",
        ran.err
    );
    assert!(
        ran.err.contains("+ step(\"jug\", \"Part jug and heater\").after(\"base\").minutes(1, 2, 3).guards([])"),
        "{}",
        ran.err
    );
    let in_shell = bench.run_with(&[], "show samovar\nshow samovar\nquit\n");
    assert_eq!(in_shell.err.matches("note:").count(), 1, "once a run: {}", in_shell.err);
}

#[test]
fn json_stays_json_beside_a_note() {
    let bench = taken();
    bench.write("recipes/samovar.rhai", &SAMOVAR.replace("jug and heater", "jug from heater"));
    bench.write("a.toml", SAMOVAR_SESSION);
    let answers = bench.home().join("a.toml");
    let ran = bench.run(&["bench", "samovar", "--answers", text(&answers), "--format", "json"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    serde_json::from_str::<serde_json::Value>(&ran.out).unwrap();
    assert!(ran.err.contains("note: the recipe samovar was changed"), "{}", ran.err);
}

#[test]
fn taking_the_pin_out_or_the_change_back_ends_the_note() {
    let bench = taken();
    bench.write("recipes/samovar.rhai", &SAMOVAR.replace("jug and", "jug or"));
    assert!(bench.run(&["show", "samovar"]).err.contains("note:"));
    bench.write("recipes/samovar.rhai", SAMOVAR);
    assert_eq!(bench.run(&["show", "samovar"]).err, "");
    bench.write("recipes/samovar.rhai", &SAMOVAR.replace("jug and", "jug or"));
    let pins = bench.read("pinned.toml");
    bench.write("pinned.toml", &pins[..pins.find("[recipes.samovar]").unwrap()]);
    assert_eq!(bench.run(&["show", "samovar"]).err, "");
}

#[test]
fn a_kept_copy_that_is_gone_and_pins_that_cannot_be_read_are_said() {
    let bench = taken();
    bench.write("recipes/samovar.rhai", &SAMOVAR.replace("jug and", "jug or"));
    std::fs::remove_dir_all(bench.home().join("scripts-seen")).unwrap();
    let ran = bench.run(&["show", "samovar"]);
    assert!(ran.code == 0 && ran.err.contains("the kept copy is gone"), "{}", ran.err);
    bench.write("pinned.toml", "format = 1");
    let ran = bench.run(&["show", "samovar"]);
    assert!(
        ran.code == 0 && ran.err.contains("what was pinned cannot be told") && ran.err.contains("line 1"),
        "{}",
        ran.err
    );
    let doctor = bench.run(&["doctor"]);
    assert!(doctor.code == 1 && doctor.out.contains("FAULT  pins"), "{}", doctor.out);
}
