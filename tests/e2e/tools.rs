//! Bench tools as commands, the person's own among them, and the grade finder.

use crate::bench::Bench;
use crate::stock::WHOLE;

const BAG: &str = r#"tool("bag", "What a bag holds")
    .says("Shake it dry.").figures_from("an invented example");
input("lot", "What does the bag weigh?").weight().such_as("2 kg").between(1.g, 50.kg);
input("wet", "Is it wet?").yes_no().usually("no");
input("water", "How much of that is water?").number("%").usually("10 %").when("wet", true);
works_out(|sheet| {
    let dry = if sheet.wet { sheet.lot * (1 - sheet.water / 100) } else { sheet.lot };
    if dry > 40.kg { sheet.refuse("lot", "no bag holds that"); }
    sheet.gives("dry", "Dry", dry);
    sheet.verdict("weigh it again");
});
example("a wet bag", #{ lot: "2 kg", wet: true, water: "25 %" }, #{ dry: "1500 g", verdict: "weigh it again" });
example("a bag too full", #{ lot: "45 kg" }, #{ refused: "lot" });
"#;

fn with_bag() -> Bench {
    let bench = Bench::stocked();
    bench.write("home/tools/bag.rhai", BAG);
    bench
}

#[test]
fn a_tool_of_ones_own_is_a_command_with_options_help_json_and_tests() {
    let bench = with_bag();
    bench
        .run(&["bag", "--lot", "2 kg"])
        .exits(0)
        .prints("\nDry: 2 kg\n→ weigh it again\nRests on: an invented example\n");
    bench.run(&["tools"]).exits(0).shows(&["bag  What a bag holds  (yours)", "wire  Wire: copper in a cable"]);
    bench.run(&["bag", "--help"]).exits(0).shows(&[
        "Shake it dry.",
        "[possible values: yes, no]",
        "--water <NUMBER>",
        "bag --lot '2 kg' --wet yes --water '25 %'   # a wet bag",
    ]);
    bench.run(&["help"]).exits(0).shows(&["What a bag holds"]);
    bench.run(&["completions", "bash"]).exits(0).shows(&["--water"]);
    bench.run(&["test", "bag"]).exits(0).prints("bag: as expected (2 examples)\n");
    bench.run(&["check", "bag"]).exits(0).shows(&["sound   tool bag"]);
    let json = bench.run(&["bag", "--lot", "2 kg", "--wet", "yes", "--format", "json"]).exits(0);
    let json: serde_json::Value = serde_json::from_str(&json.out).unwrap();
    assert_eq!((&json["format"], &json["version"]), (&"knockdown-tool".into(), &1.into()));
    assert_eq!(json["inputs"], serde_json::json!({ "lot": "2000 g", "wet": "yes", "water": "10 %" }));
    assert_eq!(json["results"], serde_json::json!([{ "key": "dry", "label": "Dry", "value": "1800", "unit": "g" }]));
    assert_eq!(json["verdicts"], serde_json::json!(["weigh it again"]));
}

#[test]
fn a_tool_asks_one_question_at_a_time_and_what_hangs_on_an_answer_only_then() {
    let bench = with_bag();
    bench.feed(&["bag"], &["2 kg", "no"]).exits(0).prints(
        "What a bag holds\nShake it dry.\n\nWhat does the bag weigh?\n  a weight, such as 2 kg\n> 2 kg\n  = 2 kg (4.409 lb)\n\n\
         Is it wet?\n  yes | no\n[no] > no\n  = no\n\nDry: 2 kg\n→ weigh it again\nRests on: an invented example\n",
    );
    bench.feed(&["bag"], &["2 kg", "y", "25"]).exits(0).shows(&["How much of that is water?", "= 25 %", "Dry: 1.5 kg"]);
}

#[test]
fn what_is_wrong_with_an_answer_is_told_with_its_option() {
    let bench = with_bag();
    bench
        .run(&["bag", "--no-input"])
        .exits(4)
        .complains("error: `lot` needs an answer: --lot (a weight, such as 2 kg)\n");
    bench.run(&["bag", "--lot", "2 tons"]).exits(4).complains_of(&["--lot \"2 tons\"", "can mean a tonne"]);
    bench.run(&["bag", "--lot", "60 kg"]).exits(4).complains_of(&["is outside", "check the unit and the decimal mark"]);
    bench.run(&["bag", "--lot", "45 kg"]).exits(4).complains("error: `lot`: no bag holds that\n");
    bench
        .run(&["bag", "--lot", "2 kg", "--water", "3 %"])
        .exits(4)
        .complains("error: --water \"3 %\" has no bearing after the answers before it\n");
    bench.run(&["bag", "--watr", "2 %"]).exits(2).complains_of(&["'--water'"]);
    bench.run(&["bagg"]).exits(2).complains_of(&["unrecognized subcommand 'bagg'", "'bag'"]);
}

#[test]
fn a_tool_takes_the_place_of_a_shipped_one_but_never_that_of_a_command() {
    let bench = Bench::stocked();
    bench.write("home/tools/wire.rhai", &BAG.replace("\"bag\"", "\"wire\""));
    bench.run(&["wire", "--lot", "2 kg"]).exits(0).shows(&["Dry: 2 kg"]);
    bench.write("home/tools/tally.rhai", &BAG.replace("\"bag\"", "\"tally\""));
    bench.run(&["tools"]).exits(0).shows(&["tally", "is a command of the program's own"]);
    bench.run(&["tally", "--lot", "2 kg"]).exits(2);
    bench.write("home/tools/broken.rhai", "tool(\"broken\", \"Broken\")");
    bench.run(&["tools"]).exits(0).shows(&["broken", "cannot be used"]);
    bench.run(&["yards"]).exits(0);
}

#[test]
fn an_example_that_no_longer_holds_is_told_by_test_and_by_check() {
    let bench = Bench::stocked();
    bench.write("home/tools/bag.rhai", &BAG.replace("dry: \"1500 g\"", "dry: \"1600 g\""));
    bench
        .run(&["test", "bag"])
        .exits(1)
        .prints("bag: NOT as expected (2 examples)\n  line 12: a wet bag\n  dry: expected 1600 g, came to 1500 g\n");
    bench.run(&["check", "bag"]).exits(3).shows(&["dry should be 1600 g and is 1500 g", "FAULTY  tool bag"]);
}

#[test]
fn a_capacitor_shows_every_limit_that_it_exceeds_and_the_whole_caution() {
    let bench = Bench::stocked();
    let ended = bench.run(&["capacitor", "--capacitance", "1 uF", "--voltage", "2.8 kV"]).exits(0);
    ended.shows(&[
        "Energy: 3.92 J",
        "exceeds limited discharge, 450 V to 15 kV: 2800 uC, limit 45 uC",
        "DANGER  High-voltage stored charge",
        "7. Bleed and check a second time",
        "Stop: No high-voltage probe",
    ]);
}

#[test]
fn the_finder_ranks_grades_names_the_next_test_and_shows_the_caution() {
    let bench = Bench::stocked();
    bench.run(&["find-grade", "colour=yellow", "magnet=no"]).exits(0).shows(&["brass-yellow", "Tells most next: "]);
    let json =
        bench.run(&["find-grade", "form=casting", "weight=90.0 g", "displaced=50.0 ml", "--format", "json"]).exits(0);
    let json: serde_json::Value = serde_json::from_str(&json.out).unwrap();
    assert_eq!(json["candidates"][0]["grade"], "magnesium");
    assert_eq!(json["cautions"][0]["hazard"], "magnesium-chips");
    assert!(json["next"].as_array().unwrap().iter().all(|next| next["test"] != "spark"), "{json}");
    bench.run(&["find-grade", "form=a liquid"]).exits(0).shows(&["Stop: "]);
    bench.run(&["find-grade", "color=red"]).exits(2).complains_of(&["did you mean `colour`?"]);
    bench.run(&["find-grade", "weight=90 g"]).exits(4).complains_of(&["takes both"]);
    bench.run(&["find-grade", "magnet=maybe"]).exits(4).complains_of(&["magnet: `maybe` is none of the answers"]);
    bench.feed(&["find-grade"], &["cannot tell", "done"]).exits(0).shows(&["form: cannot tell", "It may be"]);
}

/// A report is a tool that reads sessions; here one session that was worked, and one that waits.
#[test]
fn a_report_reads_sessions_as_they_were() {
    let bench = Bench::stocked();
    bench.run(&["pay-by-month", "--measure", "net"]).exits(0).shows(&["no ended session to report on yet"]);
    bench.work(&[&WHOLE[..], &["2.70 kg"]].concat()).exits(0);
    bench.work(&["6 kg", "pause"]).exits(5);
    let ended = bench.run(&["pay-by-month", "--measure", "net"]).exits(0);
    ended.shows(&["2026-11: 1 session, 10 min, estimated 3.52 CAD: 21.12 CAD an hour", "Left out, not ended yet: 1"]);
    bench.run(&["test", "pay-by-month"]).exits(0).prints("pay-by-month: as expected (3 examples)\n");
    // A tool that does not say so reads none.
    let peeks = BAG.replace("sheet.gives(\"dry\"", "sheet.session_count(); sheet.gives(\"dry\"");
    bench.write("home/tools/bag.rhai", &peeks);
    bench.run(&["bag", "--lot", "2 kg"]).exits(3).complains_of(&["this tool reads no sessions"]);
}

#[test]
fn a_tool_takes_its_answers_from_a_file_and_then_asks_nothing() {
    let bench = with_bag();
    bench.write("bag.toml", "# An invented bag.\nlot = \"2 kg\"\nwet = true\nwater = 25\n");
    let ended = bench.run(&["bag", "--answers", "bag.toml"]).exits(0);
    ended.prints("\nDry: 1.5 kg\n→ weigh it again\nRests on: an invented example\n");
    // An option counts before the file; a usual answer stands in for what is left out; all else is missed by name.
    bench.run(&["bag", "--answers", "bag.toml", "--water", "50 %"]).exits(0).shows(&["Dry: 1 kg\n"]);
    bench.write("usual.toml", "lot = \"2 kg\"\n");
    bench.feed(&["bag", "--answers", "usual.toml"], &["never read"]).exits(0).shows(&["Dry: 2 kg\n"]);
    bench.write("short.toml", "wet = true\n");
    bench
        .feed(&["bag", "--answers", "short.toml"], &["2 kg"])
        .exits(4)
        .complains("error: `lot` needs an answer: --lot (a weight, such as 2 kg)\n");
    // What is wrong is told with its line, before anything is asked or worked out.
    bench.write("wrong.toml", "wet = \"no\"\nlot = \"2 tons\"\n");
    bench
        .run(&["bag", "--answers", "wrong.toml"])
        .exits(4)
        .complains_of(&["wrong.toml, line 2: lot = \"2 tons\": ", "can mean a tonne"]);
    bench.write("idle.toml", "lot = \"2 kg\"\nwater = 3\n");
    bench
        .run(&["bag", "--answers", "idle.toml"])
        .exits(4)
        .complains_of(&["idle.toml, line 2: water", "has no bearing"]);
    bench.write("other.toml", "lot = \"2 kg\"\nwatr = 3\n");
    bench
        .run(&["bag", "--answers", "other.toml"])
        .exits(4)
        .complains_of(&["other.toml, line 2: watr answers nothing that `bag` asks", "did you mean `water`?"]);
    bench.write("broken.toml", "lot = [1]\n");
    bench.run(&["bag", "--answers", "broken.toml"]).exits(1).complains_of(&["broken.toml", "is a list"]);
    bench.run(&["bag", "--answers", "nowhere.toml"]).exits(1).complains_of(&["nowhere.toml"]);
    let json = bench.run(&["bag", "--answers", "bag.toml", "--format", "json"]).exits(0);
    let json: serde_json::Value = serde_json::from_str(&json.out).unwrap();
    assert_eq!(json["inputs"], serde_json::json!({ "lot": "2000 g", "wet": "yes", "water": "25 %" }));
}

#[test]
fn a_wrong_option_is_told_before_anything_is_asked() {
    let bench = Bench::new();
    let ended = bench.feed(&["wire", "--gauge", "abc"], &["61 g", "37 g"]).exits(4);
    ended.complains_of(&["--gauge \"abc\": "]);
}
