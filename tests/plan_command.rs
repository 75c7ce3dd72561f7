//! The `plan` command on the real binary: the open problem format, recipes, and bad input.

#![allow(clippy::unwrap_used, reason = "a test may fail by panicking")]

use std::path::Path;
use std::process::{Command, Output};

use serde_json::Value;

fn knockdown(arguments: &[&str]) -> Output {
    let home = tempfile::tempdir().unwrap();
    Command::new(env!("CARGO_BIN_EXE_knockdown"))
        .args(arguments)
        .env_clear()
        .env("KNOCKDOWN_HOME", home.path())
        .env("KNOCKDOWN_CLOCK", "2026-11-02T10:00:00Z")
        .env("COLUMNS", "100")
        .output()
        .unwrap()
}

fn json(arguments: &[&str]) -> Value {
    let output = knockdown(arguments);
    assert!(output.status.success(), "{arguments:?}: {}", String::from_utf8_lossy(&output.stderr));
    serde_json::from_slice(&output.stdout).unwrap()
}

fn fails(arguments: &[&str], code: i32) -> String {
    let output = knockdown(arguments);
    assert_eq!(output.status.code(), Some(code), "{arguments:?}");
    assert!(output.stdout.is_empty(), "{arguments:?}");
    String::from_utf8(output.stderr).unwrap()
}

#[test]
fn every_sample_case_is_solved_to_its_answer() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases");
    let mut cases = 0;
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if !path.file_name().unwrap().to_string_lossy().starts_with("depth-") {
            continue;
        }
        let case: Value = serde_json::from_str(&std::fs::read_to_string(&path).unwrap()).unwrap();
        let answer = &case["answer"];
        let found = json(&["plan", "--problem", path.to_str().unwrap(), "--format", "json"]);
        for key in ["value_millicents", "do_nothing_millicents", "minutes", "frontier"] {
            assert_eq!(found[key], answer[key], "{}: {key}", path.display());
        }
        if let Some(area) = answer["anytime"]["area_millicent_minutes"].as_i64() {
            assert_eq!(found["area_millicent_minutes"], area.to_string(), "{}", path.display());
        }
        for key in ["gain_millicents", "minutes"] {
            if answer["live_index"][key].is_i64() {
                assert_eq!(found["live_index"][key], answer["live_index"][key], "{}", path.display());
            }
        }
        assert_eq!(found["proven"], true);
        cases += 1;
    }
    assert_eq!(cases, 24);
}

#[test]
fn a_plan_of_a_recipe_adds_up_and_its_ladder_falls() {
    let document = json(&["plan", "countertop-oven", "--format", "json"]);
    let plan = &document["plans"][0];
    let cents = |value: &Value| {
        let text = value.as_str().unwrap().replace('.', "");
        text.parse::<i64>().unwrap()
    };
    let steps = plan["steps"].as_array().unwrap();
    assert!(steps.len() > 5);
    let added: i64 = steps.iter().map(|step| cents(&step["adds"])).sum();
    assert_eq!(cents(&plan["whole"]) + added, cents(&plan["net"]));
    assert_eq!(cents(&plan["net"]) - cents(&plan["whole"]), cents(&plan["gain"]));
    assert!(steps.iter().any(|step| step["demanded"] == true), "what the law wants out is in the plan");
    let ladder = plan["ladder"].as_array().unwrap();
    assert_eq!(ladder[0]["steps"], Value::Array(vec![]), "selling it whole is the first place to stop");
    let rates: Vec<i64> = ladder[1..].iter().map(|stop| cents(&stop["last_hour"])).collect();
    assert!(rates.len() > 2 && rates.windows(2).all(|pair| pair[0] > pair[1]), "{rates:?}");
    let (p10, p90) = (&plan["chances"]["p10"], &plan["chances"]["p90"]);
    assert!(p10.as_f64().unwrap() < p90.as_f64().unwrap());
}

#[test]
fn wishes_change_the_plan() {
    let steps = |arguments: &[&str]| {
        let document = json(&[&["plan", "countertop-oven", "--format", "json"], arguments].concat());
        let steps = document["plans"][0]["steps"].as_array().unwrap().clone();
        steps.iter().map(|step| step["step"].as_str().unwrap().to_owned()).collect::<Vec<_>>()
    };
    let all = steps(&[]);
    assert!(all.contains(&"windings".to_owned()));
    assert!(!steps(&["--floor", "12/h"]).contains(&"windings".to_owned()), "the windings bring less than 12 an hour");
    assert!(!steps(&["--minutes", "30"]).contains(&"windings".to_owned()));
    let without = steps(&["--without", "stored-charge-hv"]);
    assert!(!without.contains(&"discharge".to_owned()) && !without.contains(&"transformer".to_owned()), "{without:?}");
}

#[test]
fn a_unit_that_is_not_worth_opening_is_handed_on_whole() {
    let advice = |arguments: &[&str]| {
        let document = json(&[arguments, &["--format", "json"]].concat());
        document["plans"][0]["advice"].as_str().unwrap().to_owned()
    };
    assert_eq!(advice(&["plan", "countertop-oven"]), "open");
    // What the law wants out is in every plan that opens it; that does not make opening it right.
    assert_eq!(advice(&["plan", "refrigerator"]), "leave");
    assert_eq!(advice(&["plan", "countertop-oven", "--floor", "40/h"]), "leave");
    assert_eq!(advice(&["plan", "countertop-oven", "--minutes", "10"]), "no-time");
    let text = |arguments: &[&str]| String::from_utf8(knockdown(arguments).stdout).unwrap();
    let page = text(&["plan", "refrigerator"]);
    assert!(page.contains("Hand it on whole: opening it brings less than it takes"), "{page}");
    assert!(page.contains("Only if it is opened all the same."), "{page}");
    assert!(!page.contains("worth less than -"), "no place to stop lies below nothing: {page}");
    let page = text(&["plan", "countertop-oven", "--floor", "40/h"]);
    assert!(page.contains("Sell it whole: opening it brings less than your hours have to bring"), "{page}");
    assert!(page.contains("with an hour at 40 AUD"), "the chance counts the time at its floor: {page}");
    let page = text(&["plan", "countertop-oven", "--minutes", "10"]);
    assert!(page.contains("opening it, with what the law wants out, takes 20 min at least"), "{page}");
    let ranked = json(&["recipes", "--by", "net", "--format", "json"]);
    let row = ranked["recipes"].as_array().unwrap().iter().find(|row| row["id"] == "refrigerator").unwrap().clone();
    assert_eq!((&row["advice"], &row["whole"]), (&Value::from("leave"), &Value::from("0.00")));
}

#[test]
fn what_the_law_wants_out_comes_first() {
    let document = json(&["plan", "countertop-oven", "--format", "json"]);
    let steps = document["plans"][0]["steps"].as_array().unwrap();
    let place = |id: &str| steps.iter().position(|step| step["step"] == id).unwrap();
    assert!(place("capacitor") < place("transformer") && place("control") < place("transformer"), "{steps:?}");
    assert!(place("cover") < place("discharge") && place("discharge") < place("capacitor"), "{steps:?}");
}

/// A lamp comes out by either of two ways, of which the first in the recipe is the slow and dear one: the law wants it out, and
/// nothing says by which. A third way that crushes the lamp where it sits does not take it out.
#[test]
fn of_several_ways_to_take_out_what_the_law_wants_out_the_best_is_planned() {
    let recipe = |slow: &str, quick: &str| {
        format!(
            r#"unit("lamp-box", "Lamp box").weighs((2.kg..4.kg).usually(3.kg)).sold_whole_as("appliance-light").holds(["1.10"]);
step("crush", "Crush it where it sits").minutes(1, 1, 2)
    .frees("lamp", (100.g..300.g).usually(200.g), "glass");
step("slow", "Unscrew it").minutes({slow}).costs("a blade", 0.20, "CAD")
    .frees("lamp", (100.g..300.g).usually(200.g), "glass").removes(["1.10"]);
step("quick", "Unclip it").minutes({quick})
    .frees("lamp", (100.g..300.g).usually(200.g), "glass").removes(["1.10"]);
step("coil", "Take the copper out").after_any(["slow", "quick"]).minutes(1, 2, 3)
    .frees("coil", (1.kg..2.kg).usually(1500.g), "copper-2");
"#
        )
    };
    let home = tempfile::tempdir().unwrap();
    std::fs::create_dir(home.path().join("recipes")).unwrap();
    let plan = |text: &str, arguments: &[&str]| {
        std::fs::write(home.path().join("recipes/lamp-box.rhai"), text).unwrap();
        let output = Command::new(env!("CARGO_BIN_EXE_knockdown"))
            .args([&["plan", "lamp-box", "--yard", "hollow-lane", "--format", "json"], arguments].concat())
            .env_clear()
            .env("KNOCKDOWN_HOME", home.path())
            .output()
            .unwrap();
        assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
        let document: Value = serde_json::from_slice(&output.stdout).unwrap();
        let steps = document["plans"][0]["steps"].as_array().unwrap().clone();
        steps
            .iter()
            .map(|step| (step["step"].as_str().unwrap().to_owned(), step["demanded"] == true))
            .collect::<Vec<_>>()
    };
    let named = |steps: &[(&str, bool)]| steps.iter().map(|(id, law)| ((*id).to_owned(), *law)).collect::<Vec<_>>();
    assert_eq!(plan(&recipe("9, 15, 20", "1, 2, 4"), &["--floor", "3/h"]), named(&[("quick", true), ("coil", false)]));
    // The blade costs more than a few minutes of an hour at 3.
    assert_eq!(plan(&recipe("1, 1, 2", "3, 4, 6"), &["--floor", "3/h"]), named(&[("quick", true), ("coil", false)]));
    assert_eq!(plan(&recipe("1, 1, 2", "20, 30, 40"), &["--floor", "3/h"]), named(&[("slow", true), ("coil", false)]));
    // Within a quarter of an hour only one of the ways leaves time.
    assert_eq!(
        plan(&recipe("5, 9, 12", "20, 30, 40"), &["--minutes", "15"]),
        named(&[("slow", true), ("coil", false)])
    );
}

#[test]
fn a_recipe_whose_weights_contradict_each_other_names_them() {
    let home = tempfile::tempdir().unwrap();
    std::fs::create_dir(home.path().join("recipes")).unwrap();
    let recipe = r#"unit("box", "Box").weighs((1.kg..3.kg).usually(2.kg)).sold_whole_as("appliance-light");
step("lid", "Take the lid off").minutes(1, 2, 3)
    .frees("lid", (1.kg..2.kg).usually(1.5.kg), "steel-light")
    .frees("core", (0.5.kg..2.kg).usually(1.kg), "steel-light");
"#;
    std::fs::write(home.path().join("recipes/box.rhai"), recipe).unwrap();
    let output = Command::new(env!("CARGO_BIN_EXE_knockdown"))
        .args(["plan", "box", "--yard", "ellerwinkel"])
        .env_clear()
        .env("KNOCKDOWN_HOME", home.path())
        .env("COLUMNS", "200")
        .output()
        .unwrap();
    let message = String::from_utf8(output.stderr).unwrap();
    let expected = "the unit usually weighs 2 kg, but 2,5 kg are taken out of it: lid 1,5 kg by step `lid`, core 1 kg by step `lid`";
    assert!(message.contains(expected), "{message}");
}

#[test]
fn recipes_are_ranked_and_yards_stand_side_by_side() {
    for by in ["gain", "hour", "net"] {
        let document = json(&["recipes", "--by", by, "--format", "json"]);
        let key = if by == "hour" { "per_hour" } else { by };
        let number = |value: &Value| value.as_str().map_or(0.0, |text| text.parse::<f64>().unwrap());
        // What is best left whole brings what it brings whole, and gains nothing.
        let value = |recipe: &Value| match (recipe["advice"] == "open", by) {
            (true, _) => number(&recipe[key]),
            (false, "net") => number(&recipe["whole"]),
            (false, _) => 0.0,
        };
        let values: Vec<f64> = document["recipes"].as_array().unwrap().iter().map(value).collect();
        assert!(values.len() >= 4 && values.windows(2).all(|pair| pair[0] >= pair[1]), "{by}: {values:?}");
        assert_eq!(document["failed"], Value::Array(vec![]), "every shipped recipe can be planned");
    }
    let output = knockdown(&["plan", "desktop-computer", "--yard", "hollow-lane", "--yard", "thistle-fork"]);
    let text = String::from_utf8(output.stdout).unwrap();
    assert!(text.contains("Hollow Lane Metals") && text.contains("Thistle Fork Recycling"), "{text}");
}

#[test]
fn bad_input_gets_one_clear_error() {
    let scratch = tempfile::tempdir().unwrap();
    let file = |name: &str, text: &str| {
        let path = scratch.path().join(name);
        std::fs::write(&path, text).unwrap();
        path.to_str().unwrap().to_owned()
    };
    assert!(fails(&["plan", "countertop-oven", "--floor", "-3/h"], 4).contains("below zero"));
    assert!(fails(&["plan", "countertop-oven", "--floor", "much"], 4).contains("no floor per hour"));
    assert!(fails(&["plan", "countertop-oven", "--minutes", "soon"], 4).contains("no time"));
    assert!(fails(&["plan", "countertop-oven", "--minutes", "-5"], 4).contains("\"-5\" is no time"));
    assert!(fails(&["plan", "countertop-oven", "--minutes", "0"], 4).contains("leaves no time to work"));
    assert!(fails(&["plan", "countertop-oven", "--intake", "-3 kg"], 4).contains("\"-3 kg\" is no weight"));
    assert!(fails(&["plan", "countertop-oven", "--intake", "1,234 kg"], 4).contains("1234"));
    assert!(fails(&["plan", "countertop-oven", "--without", "stored-charge-hw"], 2).contains("stored-charge-hv"));
    assert!(fails(&["plan", "no-such-thing"], 2).contains("there is no recipe"));
    let circular = r#"{"grades": {"a": 1}, "items": [{"id": 0, "host": null, "mass_g": 5, "grade": "a"}],
        "steps": [{"id": 0, "host": 0, "minutes": 1, "requires": [[1]]}, {"id": 1, "host": 0, "minutes": 1, "requires": [[0]]}]}"#;
    assert!(fails(&["plan", "--problem", &file("circle.json", circular)], 4).contains("steps [0, 1]"));
    let heavy = r#"{"grades": {"a": 1}, "items": [{"id": 0, "host": null, "mass_g": 5, "grade": "a"}, {"id": 1, "host": 0, "mass_g": 9}],
        "steps": [{"id": 0, "host": 0, "minutes": 1, "frees": [{"item": 1, "grade": "a"}]}]}"#;
    assert!(fails(&["plan", "--problem", &file("heavy.json", heavy)], 4).contains("item 0"));
    let idle = r#"{"grades": {"a": 1}, "items": [{"id": 0, "host": null, "mass_g": 5, "grade": "a"}],
        "steps": [{"id": 0, "host": 0, "minutes": 0}]}"#;
    assert!(fails(&["plan", "--problem", &file("idle.json", idle)], 4).contains("minutes"));
    let unpriced = r#"{"grades": {}, "items": [{"id": 0, "host": null, "mass_g": 5, "grade": "a"}], "steps": []}"#;
    assert!(fails(&["plan", "--problem", &file("price.json", unpriced)], 4).contains("\"a\""));
    let broken = fails(&["plan", "--problem", &file("broken.json", "{\n\"items\": [")], 4);
    assert!(broken.contains("broken.json") && broken.contains("line 2"), "{broken}");
    let wrong = "{\"grades\": {},\n \"items\": [],\n \"steps\": [{\"id\": 0, \"host\": 0, \"minutes\": \"ten\"}]}";
    for (name, text) in [("bare.json", wrong.to_owned()), ("case.json", format!("{{\"problem\": {wrong}}}"))] {
        let message = fails(&["plan", "--problem", &file(name, &text)], 4);
        assert!(message.contains("line 3") && message.contains("ten"), "{message}");
    }
    let unknown = r#"{"grades": {"a": 1}, "items": [{"id": 0, "host": null, "mass_g": 5, "grade": "a"}],
        "steps": [{"id": 0, "host": 0, "minutes": 2, "frees": [{"item": 7, "grade": "a"}]}]}"#;
    let message = fails(&["plan", "--problem", &file("unknown.json", unknown)], 4);
    assert!(message.contains("step 0 names item 7"), "{message}");
    assert!(fails(&["plan", "--problem", "missing.json"], 1).contains("missing.json"));
}
