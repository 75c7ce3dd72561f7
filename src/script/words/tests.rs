//! Every word is registered, every registered word is listed, and every example runs.

use std::collections::BTreeSet;
use std::rc::Rc;

use super::*;
use crate::bench::{Answer, Ask, CurrentAnswers, Entry, Kind, exact, recall};
use crate::market::{MixedLot, MixedPart};
use crate::script::unit_words::unit_words;
use crate::script::{Catalogue, Host, Library, WEIGHT_SIGNS};
use crate::tool::{GivenInput, Till, Value};

fn host() -> Host {
    let grades = include_str!("../../../scripts/catalogue/grades.toml");
    let hazards = include_str!("../../../scripts/catalogue/hazards.toml");
    let densities = ("densities", include_str!("../../../scripts/catalogue/tables/densities.toml"));
    let tables: &'static [(&str, &str)] = Box::leak(Box::new([densities]));
    Host::new(Rc::new(Catalogue::new(grades, hazards).with_tables(tables)), Library::default())
}

/// A recipe around an example: a word of the unit, of the step `lid`, or a statement of its own.
fn recipe_around(word: &Word) -> String {
    let fits = |of: &str| if word.of == of { word.example } else { "" };
    let start = match (word.of, word.name) {
        ("script", "unit") => word.example.to_owned(),
        ("weight range", _) => {
            format!("unit(\"kettle\", \"Kettle\").sold_whole_as(\"appliance-light\"){};", word.example)
        }
        ("bench", "holds_no") => {
            "unit(\"kettle\", \"Kettle\").weighs(1.1.kg).sold_whole_as(\"appliance-light\").holds([\"1.12\"]);"
                .to_owned()
        }
        _ => format!("unit(\"kettle\", \"Kettle\").weighs(1.1.kg).sold_whole_as(\"appliance-light\"){};", fits("unit")),
    };
    let statement = if (word.of, word.name) == ("script", "step") { word.example } else { "" };
    let work = if word.of == "bench" { format!(".work(|bench| {{ {} }})", word.example) } else { String::new() };
    // Steps made up at the bench free what the user says.
    let lid = if word.name == "made_up" { "" } else { ".frees(\"lid\", 90.g, \"plastic-mixed\")" };
    format!(
        "{start}\n\
         step(\"base\", \"Base\").minutes(1, 2, 3).frees(\"base\", (100.g..300.g).usually(200.g), \"plastic-mixed\");\n\
         step(\"handle\", \"Handle\").minutes(1, 2, 3);\n\
         {statement}\n\
         step(\"lid\", \"Lid\").minutes(1, 2, 4){lid}{}{work};\n",
        fits("step")
    )
}

fn yard_around(word: &Word) -> String {
    let fits = |of: &str| if word.of == of { word.example } else { "" };
    let start = match word.name {
        "yard" => word.example.to_owned(),
        _ => format!("yard(\"corner-yard\", \"Corner Yard\").currency(\"AUD\").weighs_in(\"kg\"){};", fits("yard")),
    };
    let statement = if word.name == "yard" { "" } else { fits("script") };
    let rule = if word.of == "lot" { format!("mixed(|lot| {});", word.example) } else { String::new() };
    format!(
        "{start}\nas_of(\"2026-11-02\");\n{statement}\nbuys(\"copper-2\", \"No. 2\", 3.40){};\n{rule}\n",
        fits("price")
    )
}

/// A tool around an example: a word of the tool, of an input, of its work, or a statement of its own.
fn tool_around(word: &Word) -> String {
    let fits = |of: &str| if word.of == of { word.example } else { "" };
    let own = |name: &str| if (word.of, word.name) == ("script", name) { word.example } else { "" };
    let start =
        if word.name == "tool" { own("tool").to_owned() } else { format!("tool(\"bag\", \"Bag\"){};", fits("tool")) };
    let kinds = ["weight", "number", "count", "choice", "yes_no", "grade", "price"];
    let kind = if kinds.contains(&word.name) { "" } else { ".weight()" };
    let input = if word.of == "input" {
        format!("input(\"other\", \"Other?\"){kind}{}.optional();", word.example)
    } else {
        own("input").to_owned()
    };
    let in_work = matches!(word.of, "sheet" | "rate" | "number") || word.name == "pi";
    let work = if in_work { word.example } else { "" };
    let reads = if word.name.starts_with("session") { ".reads_sessions()" } else { "" };
    let start = format!("{}{reads};", start.trim_end_matches(';'));
    let works_out = if word.name == "works_out" {
        own("works_out").to_owned()
    } else {
        format!("works_out(|sheet| {{ {work} }});")
    };
    format!(
        "{start}\ninput(\"lot\", \"Lot?\").weight();\ninput(\"lid\", \"Lid?\").yes_no().usually(\"no\");\n{input}\n{works_out}\n{}\n\
         example(\"two\", #{{ lot: \"2 kg\" }}, #{{ refused: \"none\" }}){};\n",
        own("example"),
        fits("example")
    )
}

fn works_out(host: &Host, word: &Word) {
    let source = tool_around(word);
    let script = host.open("example.rhai", &source).unwrap_or_else(|error| panic!("{error}\n{source}"));
    let tool = host.tool(&script).unwrap_or_else(|errors| panic!("{}\n{source}", errors[0]));
    let yard = host.open("yard.rhai", &yard_around(&WORDS[0])).unwrap();
    let yard = Rc::new(host.yard(&yard).unwrap());
    let till = Till { date: yard.as_of(), yard, quotes: Rc::new([]) };
    let given = |input: &crate::tool::Input| match input.key.as_str() {
        "lot" => GivenInput { value: Value::Weight("2 kg".parse().unwrap()), step: Some(1000.into()) },
        "lid" => GivenInput { value: Value::Yes(false), step: None },
        _ => GivenInput::NOTHING,
    };
    let answers = tool.inputs.iter().map(|input| (input.key.clone(), given(input))).collect();
    let sheet = host
        .work_out(&script, answers, &till, tool.reads_sessions.then(Vec::new))
        .unwrap_or_else(|errors| panic!("{}\n{source}", errors[0]));
    assert_eq!(sheet.refused, None, "{source}");
}

/// A valid answer to a question of that kind.
fn some_answer(ask: &Ask) -> Answer {
    match ask {
        Ask::Begin { .. } => Answer::Do,
        Ask::Guard { .. } => Answer::Confirmed,
        Ask::YesNo => Answer::Yes(true),
        Ask::Choice { options } => Answer::Choice(options[0].clone()),
        Ask::Number { .. } => Answer::Number(5.into()),
        Ask::Count => Answer::Count(4),
        Ask::Text => Answer::Text("ABS".into()),
        Ask::NextStep | Ask::NextPart { .. } => Answer::NoMore,
        Ask::Listed { list, .. } => Answer::Choice(list.entries()[0].id.clone()),
        Ask::Weight { .. } => {
            let mass = "300 g".parse().unwrap();
            Answer::Weight(crate::bench::Reading { net: mass, pieces: 1, resolution: "1 g".parse().unwrap() })
        }
        Ask::Minutes { .. } => Answer::Minutes(crate::quantity::Minutes::ZERO),
    }
}

fn runs_to_its_end(host: &Host, source: &str, word: &Word) {
    let script = host.open("example.rhai", source).unwrap_or_else(|error| panic!("{}: {error}\n{source}", word.name));
    let mut entries: Vec<Entry> = Vec::new();
    loop {
        let run_result = host
            .run(&script, Rc::new(CurrentAnswers::of(entries.iter().cloned())))
            .unwrap_or_else(|e| panic!("{}: {}\n{source}", word.name, e[0]));
        let Some(question) = run_result.waits() else {
            let handed_on = word.name == "hand_on" && matches!(run_result.end, crate::bench::End::HandedOn(_));
            assert!(handed_on || run_result.end == crate::bench::End::Complete, "{source}");
            return;
        };
        let understood = exact(question, &some_answer(&question.ask));
        assert!(recall(question, &understood).is_ok(), "{}: {understood}", question.name());
        entries.push(Entry {
            seq: entries.len() as u64 + 1,
            at: String::new(),
            kind: Kind::Answer,
            question: Some(question.name()),
            typed: None,
            understood: Some(understood),
            origin: None,
        });
        assert!(entries.len() < 50, "{source}");
    }
}

#[test]
fn every_example_uses_its_word_and_runs() {
    let host = host();
    let of_yards =
        ["yard", "as_of", "buys", "buys_share", "index", "pays_each", "charges", "visit_fee", "least_load", "mixed"];
    for word in WORDS.iter() {
        assert!(word.example.contains(word.name), "{}", word.name);
        if matches!(word.of, "unit" | "step" | "bench" | "weight range") || matches!(word.name, "unit" | "step") {
            runs_to_its_end(&host, &recipe_around(word), word);
            continue;
        }
        let of_tools = ["tool", "input", "works_out", "example", "pi"];
        if matches!(word.of, "tool" | "input" | "example" | "sheet" | "rate" | "number")
            || of_tools.contains(&word.name)
        {
            works_out(&host, word);
            continue;
        }
        assert!(
            matches!(word.of, "yard" | "price" | "lot") || of_yards.contains(&word.name),
            "{}: of what?",
            word.name
        );
        let source = yard_around(word);
        let script = host.open("example.rhai", &source).unwrap_or_else(|error| panic!("{error}\n{source}"));
        let yard = host.yard(&script).unwrap_or_else(|errors| panic!("{}\n{source}", errors[0]));
        if word.of == "lot" {
            let part = MixedPart { grade: "copper-2".into(), mass: "1 kg".parse().unwrap(), pieces: 1, price: None };
            let lot = MixedLot::new(vec![part], "1 kg".parse().unwrap());
            yard.mixed_rule().expect("the rule").judge(&lot).unwrap_or_else(|error| panic!("{error}\n{source}"));
        }
    }
}

#[test]
fn the_signs_between_weights_do_what_is_said() {
    let host = host();
    for (sign, _, example) in WEIGHT_SIGNS {
        let source = format!("if !({example}) {{ throw \"{sign}\"; }} {}", recipe_around(&WORDS[0]));
        let script = host.open("example.rhai", &source).unwrap_or_else(|error| panic!("{error}"));
        host.recipe(&script).unwrap_or_else(|errors| panic!("{example}: {}", errors[0]));
    }
}

/// Compares the engine's registrations with the list: neither may have what the other lacks.
#[test]
fn nothing_registered_is_unlisted_and_nothing_listed_is_unregistered() {
    let registered: BTreeSet<String> = host().registered();
    assert!(registered.len() > 60, "{registered:?}");
    let in_unit = |name: &str| {
        name.strip_prefix("get$").or(name.strip_prefix("in_")).is_some_and(|unit| unit_words().any(|u| u == unit))
    };
    let is_sign = |name: &str| {
        WEIGHT_SIGNS.iter().any(|(signs, _, _)| signs.trim_end_matches("()").split(' ').any(|sign| sign == name))
    };
    let listed: BTreeSet<String> = names().map(str::to_owned).collect();
    let unlisted: Vec<_> =
        registered.iter().filter(|name| !listed.contains(*name) && !in_unit(name) && !is_sign(name)).collect();
    // Authors need not know these: `/=` is `/` with a sign before it; names with two leading underscores are reserved
    // for the host and refused to scripts; an index implements sheet.KEY; the others replace engine functions of the
    // same name.
    let known = ["/=", "__run", "cos", "index$get$", "pad", "replace", "sin", "tan", "to_debug", "to_json"];
    assert_eq!(unlisted, known, "add what is new to WORDS");
    let gone: Vec<_> = listed.difference(&registered).collect();
    assert!(gone.is_empty(), "no longer registered: {gone:?}");
}

#[test]
fn no_word_is_listed_twice_and_each_says_what_it_is() {
    let pairs: BTreeSet<_> = WORDS.iter().map(|word| (word.of, word.name)).collect();
    assert_eq!(pairs.len(), WORDS.len());
    for word in WORDS.iter() {
        assert!(!word.does.is_empty() && !word.gives().is_empty(), "{}", word.name);
        let takes_numbers =
            ["weight", "amount", "minutes", "percent", "division"].iter().any(|unit| word.takes.contains(unit));
        assert!(!takes_numbers || !word.units().is_empty(), "{} takes {} in which unit?", word.name, word.takes);
    }
}

#[test]
fn definitions_have_each_word_once_for_each_form_and_nothing_else() {
    let text = host().definitions();
    let heads: Vec<&str> = text.lines().filter(|line| line.starts_with("fn ")).collect();
    for word in WORDS.iter() {
        let receiver = match word.of {
            "script" => String::new(),
            "number" => "decimal: decimal".to_owned(),
            of => format!("{0}: {0}", of.replace(' ', "_")),
        };
        let start = format!("fn {}({receiver}", word.name);
        assert!(heads.iter().any(|head| head.starts_with(&start)), "{start}\n{text}");
    }
    for head in &heads {
        let name = head["fn ".len()..].split('(').next().unwrap().trim_start_matches("get ");
        assert!(
            names().any(|word| word == name)
                || unit_words().any(|unit| name == unit || name.strip_prefix("in_") == Some(unit)),
            "{head}"
        );
        assert!(
            head.ends_with(';') && !head.contains("EvalAlt") && !head.contains("::") && !head.contains("?;"),
            "{head}"
        );
    }
    assert!(!text.contains("float") && !text.contains("eval") && !text.contains("op "), "{text}");
    assert_eq!(heads.iter().collect::<BTreeSet<_>>().len(), heads.len(), "{heads:?}");
}
