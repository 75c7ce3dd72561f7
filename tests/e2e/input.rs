//! Bad input at the bench: one clear sentence and the same question again, never a panic and never a wrong answer.

use crate::bench::Bench;

#[test]
fn weights_that_are_none_are_asked_again() {
    let bench = Bench::stocked();
    let wrong = [
        "",
        "   ",
        "-3 kg",
        "-0.0001",
        "0",
        "0 kg",
        "NaN",
        "nan kg",
        "inf",
        "infinity",
        "1e3 kg",
        "0x10",
        "1.2.3",
        "1,234 kg",
        "six",
        "6 kgs lb",
        "6 kg 3 kg",
        "1/0",
        "1 - 2",
        "6 kg;",
        "6 x",
        "x 6",
        "..",
        "٣ kg",
        "6\u{a0}k\u{200b}g",
        "\u{202e}6 kg",
        "99999999999999999999999999999999999999999999999999999999",
        "0.00000000000000000000000000000000000000000001",
        "12.4 - bucket",
    ];
    for typed in wrong {
        let ended = bench.work(&[typed, "pause"]).exits(5);
        let ended = ended.inertly();
        assert!(ended.out.contains("Not taken: "), "{typed:?} was taken:\n{}", ended.out);
        assert_eq!(ended.out.matches("What does the whole unit weigh").count(), 2, "{typed:?}:\n{}", ended.out);
    }
    bench.run(&["show", "sessions"]).exits(0).hides(&["lid"]);
}

#[test]
fn lines_may_end_as_on_other_systems() {
    let bench = Bench::stocked();
    let call = bench.call(&["bench", "test-box", "--yard", "fixed-yard", "--plain"]);
    let ended = call.input(b"6.25 kg\r\ndo\r\n1 kg\r\n2\r\npause\r\n").run().exits(5).inertly();
    assert!(!ended.out.contains("Not taken"), "{}", ended.out);
    bench.run(&["show", "test-box-1"]).exits(0).shows(&["unit/intake = 6.25 kg\nlid/begin = do\nlid/lid = 1 kg\n"]);
}

#[test]
fn nothing_typed_is_marked_nowhere() {
    let bench = Bench::stocked();
    bench.work(&["", "pause"]).exits(5).shows(&["> \nNot taken: no weight was written"]);
    bench.work(&["6 kg 3 kg", "pause"]).exits(5).shows(&["  6 kg 3 kg\n  "]);
    // Nor where the mark would stand in another line than what it marks.
    let long = format!("6 kg {}", "x".repeat(90));
    let ended = bench.call(&["bench", "test-box", "--yard", "fixed-yard"]).lines(&[&long, "pause"]).run().exits(5);
    assert!(!ended.out.contains('^'), "{}", ended.out);
}

#[test]
fn what_was_understood_is_said_where_it_says_more_than_what_was_typed() {
    let bench = Bench::stocked();
    bench.work(&["6 kg", "do", "too light", "1 h 30 min", "do", "yes", "2", "none", "3", "pause"]).exits(5).shows(&[
        "> too light\n  = there, too light for the scale\n",
        "> 1 h 30 min\n  = 90 min\n",
        "> 2\n  = silver\n",
        "> none\n  = not in this unit\n",
        "> 3\nStep 3 of 3",
    ]);
}

#[test]
fn a_weight_of_a_million_tonnes_is_questioned() {
    let bench = Bench::stocked();
    bench.work(&["999999 t", "no", "pause"]).exits(5).shows(&["Check: 999999000 kg is far outside"]);
}

#[test]
fn an_ambiguous_number_is_refused_with_both_readings() {
    let bench = Bench::stocked();
    bench
        .work(&["1,234 kg", "pause"])
        .exits(5)
        .shows(&["Not taken: `1,234` can be read as 1234 or as 1.234; write the one you mean\n"]);
    bench
        .feed(&["bench", "test-box", "--yard", "comma-yard"], &["1.234 kg", "6,5", "pause"])
        .exits(5)
        .shows(&["`1.234` can be read as 1234 or as 1,234", "> 6,5\n  = 6,5 kg"]);
}

#[test]
fn escape_sequences_typed_are_shown_and_not_obeyed() {
    let bench = Bench::stocked();
    let lines = [
        "\u{1b}[2J6 kg",
        "6 kg\u{7}",
        "note \u{1b}]0;title\u{7}",
        "yard \u{1b}[31m",
        "quote \u{1b}[0m 1",
        "mix \u{1b}, \u{9b}2J",
        "6 kg",
        "\u{1b}[A",
        "\u{0}",
        "do",
        "pause",
    ];
    bench.work(&lines).exits(5).inertly();
    bench
        .call(&["bench", "test-box", "--plain"])
        .input(b"\xff\xfe\x1b[2J\n6 \xc3\x28 kg\npause\n")
        .run()
        .exits(5)
        .inertly()
        .shows(&["Not taken: "]);
    bench.run(&["show", "\u{1b}[2J"]).exits(2).inertly();
    bench.run(&["\u{1b}[2Jnope"]).exits(2).inertly();
    bench.run(&["bench", "test-box", "--yard", "\u{1b}[2J"]).exits(2).inertly();
    bench.run(&["tally", "--date", "\u{1b}[2J"]).exits(2).inertly();
    bench.feed(&[], &["\u{1b}[2Jx", "show \u{1b}[2J"]).exits(0).inertly();
}

#[test]
fn an_overlong_line_is_one_line_and_is_not_cut_in_silence() {
    let bench = Bench::stocked();
    // The tail of the line would be a good answer, were it taken for a line of its own.
    let long = format!("{}6 kg", "x".repeat(70_000));
    let note = format!("note {}", "y".repeat(5_000));
    let ended = bench.work(&[&long, &note, "6 kg", "pause"]).exits(5);
    assert_eq!(ended.out.matches("Not taken: ").count(), 2, "{}", ended.out);
    assert!(ended.out.len() < 20_000, "the line is not shown in full");
    bench.run(&["show", "test-box-1"]).exits(0).shows(&["unit/intake = 6 kg\n"]).hides(&["yyy"]);
    // Without an end of line, too.
    bench
        .call(&["bench", "test-box", "--plain"])
        .input("z".repeat(100_000).as_bytes())
        .run()
        .exits(5)
        .shows(&["Not taken: ", "Input has ended."]);
}

#[test]
fn words_that_are_no_answer() {
    let bench = Bench::stocked();
    bench
        .work(&["6 kg", "dont", "doo", "YES", "1 kg", "yesterday", "-1", "0", "2 h 5 min", "undo", "1:30", "pause"])
        .exits(5)
        .shows(&[
            "> dont\nNot taken: `dont` is none of `do`, `skip`, `later`\n",
            "> doo\nNot taken: `doo` is none of `do`, `skip`, `later`; did you mean `do`?\n",
            "> YES\n",
            "> yesterday\nNot taken: ",
            "> -1\nNot taken: ",
        ]);
}

#[test]
fn a_number_asked_by_a_recipe() {
    let bench = Bench::stocked();
    bench.write(
        "home/recipes/asks.rhai",
        r#"unit("asks", "Asks").weighs((4.kg..8.kg).usually(6.kg)).sold_whole_as("appliance-light");
step("look", "Look").minutes(1, 2, 3).work(|bench| {
    let volts = bench.number("volts", "How many volts?", "V");
    bench.say(`${volts} V`);
    let screws = bench.count("screws", "How many screws?");
    bench.say(`${screws} screws`);
    bench.note("said", "What did you see?");
});
"#,
    );
    let lines = [
        "6 kg",
        "do",
        "",
        "NaN",
        "1e9",
        "1,234",
        "99999999999999999999999999999999999",
        "-1.250",
        "-1",
        "1.5",
        "4294967296",
        "many",
        "0",
        "",
        &"long ".repeat(200),
        "a\u{7}b",
        "fine",
        "2",
        "difference",
    ];
    let ended = bench.feed(&["bench", "asks", "--yard", "fixed-yard", "--plain"], &lines).exits(0).inertly();
    assert_eq!(ended.out.matches("Not taken: ").count(), 12, "{}", ended.out);
    ended.shows(&["-1.25 V\n", "write a whole number from 0\n", "0 screws\n", "Done. Every open step"]);
    bench.run(&["show", "asks-1"]).exits(0).shows(&[
        "look/volts = -1.250\n",
        "look/screws = 0\n",
        "look/said = fine\n",
    ]);
}

#[test]
fn nothing_may_be_asked() {
    let bench = Bench::stocked();
    bench.run(&["bench", "test-box", "--no-input"]).exits(4).prints("").complains(
        "error: a session of `test-box` asks questions, and --no-input forbids that; give\n  --answers FILE\n",
    );
    assert!(!bench.has("home/sessions"), "no session is left behind that nobody can answer");
}
