//! Sessions played from a file of answers.

use crate::bench::Bench;

const WHOLE: &str = r#"yard = "fixed-yard"
date = "2026-11-02"

[unit]
intake = "6.00 kg"
remainder = "difference"

[lid]
begin = true
lid = "1.00 kg"
minutes = 2

[core]
begin = "do"
"guard.sharp-sheet" = "yes"
winding = 1
core = "2.10 kg"
minutes = 5

[wires]
begin = "do"
wires = 0.2
clips = "none"
minutes = 3
"#;

fn play(bench: &Bench, text: &str) -> crate::bench::Ended {
    bench.write("answers.toml", text);
    // Wide enough for any complaint to stand on one line.
    bench.call(&["bench", "test-box", "--answers", "answers.toml"]).env("COLUMNS", "400").run()
}

#[test]
fn a_file_plays_the_same_session_without_a_terminal() {
    let bench = Bench::stocked();
    // The same weights as in the tally worked out in `commands`.
    play(&bench, WHOLE).exits(0).quietly().shows(&[
        "Session 2026-11-02-test-box-1\n",
        "core/winding = 1\n",
        "Net                                        3.52\n",
    ]);
    bench.write("answers.toml", WHOLE);
    let json = bench
        .run(&["bench", "test-box", "--answers", "answers.toml", "--format", "json", "--no-input"])
        .exits(0)
        .quietly();
    let tally: serde_json::Value = serde_json::from_str(&json.out).unwrap();
    assert_eq!(tally["net"], "3.52");
    bench
        .run(&["bench", "test-box", "--answers", "answers.toml", "--yard", "comma"])
        .exits(0)
        .shows(&["Test box at Komma Hof"]);
    let journal = bench.read("home/sessions/2026-11-02-test-box-1.toml");
    assert!(journal.contains("origin = \"file\""), "{journal}");
}

#[test]
fn a_missing_answer_names_its_key() {
    let bench = Bench::stocked();
    play(&bench, &WHOLE.replace("core = \"2.10 kg\"\n", "")).exits(4).complains(
        "error: answers.toml: no answer to `core/core` (Weigh: core); add under [core]: \"core\" = …; there is core/minutes, unit/remainder, wires/begin, wires/clips, wires/minutes, wires/wires\n",
    );
    play(&bench, &WHOLE.replace("core = \"2.10 kg\"", "cor = \"2.10 kg\"")).exits(4).complains(
        "error: answers.toml: no answer to `core/core` (Weigh: core); add under [core]: \"core\" = …; did you mean `core/cor`?\n",
    );
    // What was answered before is there, and the session can be taken up by hand.
    bench.feed(&["resume"], &["pause"]).exits(5).shows(&["has 7 answers"]);
}

#[test]
fn an_answer_that_is_none_names_line_and_key() {
    let bench = Bench::stocked();
    let wrong = |from: &str, to: &str, complaint: &str| {
        play(&bench, &WHOLE.replace(from, to)).exits(4).complains(complaint);
    };
    wrong(
        "winding = 1",
        "winding = \"gold\"",
        "error: answers.toml:16: `core/winding`: `gold` is none of `copper`, `silver`\n",
    );
    wrong("winding = 1", "winding = 3", "error: answers.toml:16: `core/winding`: `3` is none of `copper`, `silver`\n");
    wrong(
        "wires = 0.2",
        "wires = nan",
        "error: answers.toml, line 22: the answer to wires/wires is \"nan\", which is no decimal number\n",
    );
    wrong(
        "wires = 0.2",
        "wires = [0.2]",
        "error: answers.toml, line 22: the answer to wires/wires is a list. Give one answer: a text in quotes, a number, true or false\n",
    );
    wrong(
        "wires = 0.2",
        "wires = 2026-11-02",
        "error: answers.toml, line 22: the answer to wires/wires is \"2026-11-02\", which is no text. Put it in quotes\n",
    );
    wrong("date = \"2026-11-02\"", "date = \"soon\"", "error: answers.toml:2: `soon` is no date; write 2026-11-02\n");
    wrong(
        "date = \"2026-11-02\"",
        "when = \"2026\"",
        "error: answers.toml:2: `when` belongs to no step; write it in a table [step]\n",
    );
    wrong("minutes = 3", "minutes = 3\nminutes = 4", "error: answers.toml, line 25: duplicate key\n");
    wrong(
        "yard = \"fixed-yard\"",
        "yard = ",
        "error: answers.toml, line 1: string values must be quoted, expected literal string\n",
    );
    assert!(play(&bench, &WHOLE.replace("fixed-yard", "nowhere")).exits(2).err.contains("there is no yard `nowhere`"));
}

#[test]
fn an_answer_that_nothing_asked_for_is_said() {
    let bench = Bench::stocked();
    play(&bench, &format!("{WHOLE}colour = \"red\"\n"))
        .exits(0)
        .complains("warning: answers.toml: nothing asked for `wires/colour`\n");
}

#[test]
fn a_file_that_cannot_be_read() {
    let bench = Bench::stocked();
    let wrong = |name: &str, complaint: &str| {
        drop(bench.run(&["bench", "test-box", "--answers", name]).exits(1).prints("").complains(complaint))
    };
    wrong("none.toml", "error: there is no file none.toml\n");
    wrong("home", "error: home is a folder, where a file belongs. Move it away\n");
    bench.write("empty.toml", "");
    assert!(
        bench
            .run(&["bench", "test-box", "--answers", "empty.toml"])
            .exits(4)
            .err
            .contains("no answer to `unit/intake`")
    );
    std::fs::write(bench.path("bytes.toml"), b"[unit]\nintake = \"\xff\"\n").unwrap();
    wrong("bytes.toml", "error: bytes.toml, line 2: the bytes there are not UTF-8 text. Save the file as\n  UTF-8\n");
    bench.write("huge.toml", &"#".repeat(2 * 1024 * 1024));
    wrong("huge.toml", "error: huge.toml is larger than 1048576 bytes, the most that is read of such a\n  file\n");
}

#[test]
fn control_characters_in_a_file_of_answers_are_shown_and_not_obeyed() {
    let bench = Bench::stocked();
    play(&bench, &WHOLE.replace("winding = 1", "winding = \"\\u001b[2Jsilver\"")).exits(4).inertly();
    play(&bench, &WHOLE.replace("clips = ", "\"\\u001b]0;x\\u0007\" = \"1\"\nclips = ")).exits(0).inertly();
    bench.write("answers.toml", &WHOLE.replace("winding = 1", "winding = \"\u{1b}[2J\""));
    bench.run(&["bench", "test-box", "--answers", "answers.toml"]).exits(4).inertly();
}
