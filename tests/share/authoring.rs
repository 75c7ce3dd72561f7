//! `new`, `test`, `copy`, `words`, and scripts that need a newer program.

use super::{Bench, SAMOVAR, SAMOVAR_SESSION};

const ANSWERS: &str = "Electric samovar\n\n0.8 kg\n1.6 kg\n1.1 kg\nappliance-light\nmains-plugged, sharp-sheet\nTake off the base\n2\nbase\n\
                       200 g\nplastic-mixed\nCut off the \"cord\"\n1.5\n\n\n";

#[test]
fn a_new_recipe_from_a_pipe_loads_and_says_what_was_answered() {
    let bench = Bench::new();
    let ran = bench.run_with(&["new", "recipe"], ANSWERS);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{}", ran.out);
    let script = bench.read("recipes/electric-samovar.rhai");
    for line in [
        ".weighs((800.g..1.6.kg).usually(1.1.kg))",
        ".sold_whole_as(\"appliance-light\")",
        ".guards([\"mains-plugged\", \"sharp-sheet\"])",
        ".minutes(1, 2, 4)",
        ".frees(\"base\", (140.g..300.g).usually(200.g), \"plastic-mixed\")",
        "step(\"cut-off-the-cord\", \"Cut off the \\\"cord\\\"\")",
        ".after(\"take-off-the-base\")",
        "bench.choose(",
    ] {
        assert!(script.contains(line), "{line}\n{script}");
    }
    assert!(bench.done(&["show", "electric-samovar"]).contains("2. Cut off the \"cord\""));
    let again = bench.run_with(&["new", "recipe"], ANSWERS);
    assert_eq!(again.code, 2);
    assert!(again.err.contains("is there already"), "{}", again.err);
    assert_eq!(bench.read("recipes/electric-samovar.rhai"), script);
}

#[test]
fn a_new_yard_from_a_pipe_loads_and_prices() {
    let bench = Bench::new();
    let answers =
        "Eckhof Metalle\neckhof\nDE-BE\neur\nkg\nyes\n0,5\n\n2026-11-01\ncopper-2 7,10 Kupfer II\nsteel-light 0,18\n\n";
    let ran = bench.run_with(&["new", "yard"], answers);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{}", ran.out);
    let shown = bench.done(&["show", "eckhof"]);
    for wanted in
        ["Eckhof Metalle", "DE-BE, EUR, weighs in kg, prices of 2026-11-01", "Kupfer II", "7,10/kg", "0,18/kg"]
    {
        assert!(shown.contains(wanted), "{wanted}\n{shown}");
    }
    assert!(bench.done(&["demo", "--yard", "eckhof"]).contains("EUR"));
}

#[test]
fn what_is_no_answer_ends_a_pipe_with_the_question_and_what_was_meant() {
    for (old, new, wanted) in [
        ("appliance-light", "aplliance-light", "did you mean `appliance-light`?"),
        ("mains-plugged,", "mains-pluged,", "did you mean `mains-plugged`?"),
        ("1.1 kg", "2.1 kg", "not between the least and the most"),
        ("0.8 kg", "heavy", "What does it weigh at least?"),
        ("plastic-mixed", "plastic-mixd", "did you mean `plastic-mixed`?"),
        ("\nCut off the \"cord\"\n1.5\n\n\n", "\n", "the input ends at"),
    ] {
        let bench = Bench::new();
        let ran = bench.run_with(&["new", "recipe"], &ANSWERS.replace(old, new));
        assert_eq!(ran.code, 4, "{wanted}: {}", ran.err);
        assert!(ran.err.contains(wanted) && ran.err.contains("nothing is written"), "{wanted}: {}", ran.err);
        assert!(!bench.home().exists());
    }
    let ran = Bench::new().run(&["--no-input", "new", "recipe"]);
    assert_eq!(ran.code, 4);
}

#[test]
fn every_shipped_test_session_comes_to_what_it_says() {
    let bench = Bench::new();
    bench.write("config.toml", "yard = \"ellerwinkel\"\nunit = \"kg\"\ndecimal = \"comma\"\n");
    bench.done(&["quote", "copper-2", "99,00", "--yard", "hollow-lane"]);
    let out = bench.done(&["test"]);
    assert!(out.lines().count() >= 4, "{out}");
    for line in out.lines() {
        assert!(line.contains(": as expected ("), "settings and quotes do not count: {line}");
    }
}

#[test]
fn a_difference_is_shown_and_written_down_only_on_demand() {
    let bench = Bench::new();
    bench.write("recipes/samovar.rhai", SAMOVAR);
    let none = bench.run(&["test", "samovar"]);
    assert_eq!(none.code, 2);
    assert!(none.err.contains("has no test session; write one as"), "{}", none.err);
    bench.write("recipes/samovar.session.toml", SAMOVAR_SESSION);
    assert!(bench.done(&["test", "samovar"]).contains("plays; no [expect] says"));
    assert_eq!(bench.read("recipes/samovar.session.toml"), SAMOVAR_SESSION);
    bench.done(&["test", "samovar", "--update"]);
    let expecting = bench.read("recipes/samovar.session.toml");
    assert!(
        expecting.starts_with(SAMOVAR_SESSION) && expecting.contains("heater = \"stainless-with-iron, 80 g\""),
        "{expecting}"
    );
    assert!(bench.done(&["test", "samovar"]).contains("samovar: as expected (10 answers, ends complete"));

    bench.write("recipes/samovar.rhai", &SAMOVAR.replace("\"stainless-with-iron\"", "\"stainless\""));
    let other = bench.run(&["test", "samovar"]);
    assert_eq!(other.code, 1);
    assert!(other.out.contains("samovar: NOT as expected"), "{}", other.out);
    assert!(
        other.out.contains("  heater: expected stainless-with-iron, 80 g, came to stainless, 80 g"),
        "{}",
        other.out
    );
    assert!(!other.out.contains("  net:"), "no yard here tells the two apart: {}", other.out);
    bench.write("recipes/samovar.session.toml", &format!("{expecting}\n[gone]\nkey = \"yes\"\n"));
    assert!(bench.run(&["test", "samovar"]).out.contains("gone/key: nothing asked for this answer"));
    bench.write("recipes/samovar.session.toml", &expecting.replace("heater = \"80 g\"", "heather = \"80 g\""));
    let missing = bench.run(&["test", "samovar"]);
    assert_eq!(missing.code, 4);
    assert!(
        missing.err.contains("no answer to `jug/heater`") && missing.err.contains("did you mean `jug/heather`?"),
        "{}",
        missing.err
    );
}

#[test]
fn a_copy_brings_its_test_session_and_only_a_copy_is_updated() {
    let bench = Bench::new();
    let shipped = bench.run(&["test", "corded-tool", "--update"]);
    assert_eq!(shipped.code, 2);
    assert!(shipped.err.contains("`copy corded-tool` makes it yours"), "{}", shipped.err);
    let out = bench.done(&["copy", "corded-tool"]);
    assert_eq!(out.matches("Copied to").count(), 2, "{out}");
    let session = bench.read("recipes/corded-tool.session.toml");
    assert!(bench.done(&["test", "corded-tool", "--update"]).contains("as expected"));
    assert_eq!(
        bench.read("recipes/corded-tool.session.toml"),
        session,
        "nothing changed, nothing is rewritten otherwise"
    );
    assert_eq!(bench.run(&["copy", "corded-tool"]).code, 1);
}

#[test]
fn the_reference_has_every_word_as_text_and_as_markdown() {
    let bench = Bench::new();
    let (list, markdown) = (bench.done(&["words"]), bench.done(&["words", "--format", "markdown"]));
    for word in knockdown::script::WORDS.iter() {
        assert!(list.contains(&format!("{}({})", word.name, word.takes)), "{}", word.name);
        assert!(markdown.contains(&word.example.replace('|', "\\|")), "{}", word.name);
    }
    let one = bench.done(&["words", "frees"]);
    assert!(one.contains("units: weights with their unit") && one.contains("such as: .frees("), "{one}");
    let unknown = bench.run(&["words", "fress"]);
    assert_eq!(unknown.code, 2);
    assert!(unknown.err.contains("did you mean `frees`?"), "{}", unknown.err);
    bench.done(&["words", "--definitions", "knockdown.d.rhai"]);
    let definitions = std::fs::read_to_string(bench.beside("knockdown.d.rhai")).unwrap();
    assert!(
        definitions.contains("\nfn frees(step: step, part: String, weight_range: ?, grade: String) -> step;\n"),
        "{definitions}"
    );
    assert!(
        definitions.contains("\nfn get kg(number: decimal) -> weight;\n") || definitions.contains("fn get kg("),
        "{definitions}"
    );
    assert_eq!(bench.run(&["words", "--definitions", "knockdown.d.rhai"]).code, 1, "nothing is written over");
}

#[test]
fn a_script_for_a_newer_program_is_listed_as_switched_off() {
    let bench = Bench::new();
    let newer = SAMOVAR.replace(".needs_api(1)", ".needs_api(2)").replace(".minutes(1, 2, 3).frees", ".hums(50).frees");
    bench.write("recipes/samovar.rhai", &newer);
    bench.write("yards/corner.rhai", "yard(\"corner\", \"Corner\").glitters(1).needs_api(4);\n");
    let recipes = bench.done(&["recipes"]);
    assert!(
        recipes.contains("Electric samovar  (switched off: needs script version 2, this program speaks 1)"),
        "{recipes}"
    );
    assert!(recipes.contains("countertop-oven"), "the others are there: {recipes}");
    let json: serde_json::Value = serde_json::from_str(&bench.done(&["recipes", "--format", "json"])).unwrap();
    let row = json["recipes"].as_array().unwrap().iter().find(|row| row["id"] == "samovar").unwrap();
    assert_eq!(row["switched_off"], "switched off: needs script version 2, this program speaks 1");
    assert!(bench.done(&["yards"]).contains("corner  (switched off: needs script version 4"));
    let doctor = bench.done(&["doctor"]);
    assert!(
        doctor.contains("off    recipe samovar")
            && doctor.contains("off    yard corner")
            && doctor.contains(", 0 at fault"),
        "{doctor}"
    );
    let bench_it = bench.run(&["bench", "samovar"]);
    assert_eq!(bench_it.code, 3);
    assert!(bench_it.err.contains("needs script version 2") && !bench_it.err.contains("hums`"), "{}", bench_it.err);
    assert!(!bench.home().join("sessions").exists(), "no session is begun");
}

/// One file that cannot be read keeps nothing else from being listed, shown or worked by.
#[test]
fn a_script_that_cannot_be_read_is_listed_with_the_reason_beside_all_others() {
    let bench = Bench::new();
    bench.write("recipes/huge.rhai", &"// padding\n".repeat(20_000));
    bench.write("tools/huge.rhai", &"// padding\n".repeat(20_000));
    for (command, other) in [("recipes", "countertop-oven"), ("tools", "capacitor")] {
        let listed = bench.done(&[command]);
        assert!(listed.contains(other) && listed.contains("larger than 131072 bytes"), "{listed}");
    }
    assert!(bench.done(&["show", "kettle"]).contains("Kettle"));
    assert!(bench.done(&["capacitor", "--capacitance", "1 uF", "--voltage", "9 V"]).contains("Energy"));
    let doctor = bench.run(&["doctor"]);
    assert!(doctor.code == 1 && doctor.out.contains("FAULT  recipe huge") && doctor.out.contains("FAULT  tool huge"));
}
