//! Authors' typing errors, and the word that each should have been.

use std::rc::Rc;

use crate::bench::{CurrentAnswers, Entry, Kind};
use crate::script::{Catalogue, Host, Library, ScriptError};

fn host() -> Host {
    let grades = include_str!("../../../scripts/catalogue/grades.toml");
    let hazards = include_str!("../../../scripts/catalogue/hazards.toml");
    let checks: Rc<str> = "fn strands(bench, key) { key }".into();
    Host::new(Rc::new(Catalogue::new(grades, hazards)), Library::new([("checks".to_owned(), checks)]))
}

/// A valid recipe of one step with work, into which a test puts an error.
const RECIPE: &str = r#"import "checks" as checks;
unit("kettle", "Kettle").weighs((1.kg..2.kg).usually(1.5.kg)).sold_whole_as("appliance-light").guards(["mains-plugged"]);
step("base", "Take off the base").minutes(1, 2, 3).guards(["sharp-sheet"]).frees("base", 200.g, "plastic-mixed");
step("heater", "Heater").after("base").opens("base").minutes(1, 2, 3).frees("heater", 50.g, "stainless").leaves("base", "plastic-mixed");
step("lid", "Lid").after_any(["heater"]).minutes(1, 2, 3).frees("lid", 90.g, "plastic-mixed").work(|bench| {
    let metal = bench.choose("metal", "Which?", ["steel", "tin"]);
    bench.regrade("lid", "stainless");
    bench.weigh("lid");
    bench.guard("sharp-sheet");
    bench.say(checks::strands(bench, "key"));
});
"#;

const YARD: &str = r#"yard("corner", "Corner").currency("CAD").weighs_in("lb").pays_to(0.05);
as_of("2026-11-02");
buys("copper-2", "No. 2", 3.40).from(50.lb, 3.55);
"#;

/// The first error of a script that runs as far as the answers lead.
fn error(host: &Host, source: &str) -> Option<ScriptError> {
    let script = match host.open("x.rhai", source) {
        Ok(script) => script,
        Err(error) => return Some(*error),
    };
    if source.contains("yard(") {
        return host.yard(&script).err().map(|errors| errors[0].clone());
    }
    let answers = [
        ("unit/intake", "1500 g"),
        ("unit/guard.mains-plugged", "confirmed"),
        ("base/begin", "do"),
        ("base/guard.sharp-sheet", "confirmed"),
        ("base/base", "200 g"),
        ("base/minutes", "2"),
        ("heater/begin", "do"),
        ("heater/heater", "50 g"),
        ("heater/minutes", "2"),
        ("lid/begin", "do"),
        ("lid/metal", "steel"),
        ("lid/lid", "90 g"),
        ("lid/guard.sharp-sheet", "confirmed"),
    ];
    let entry = |(at, (name, text)): (usize, (&str, &str))| Entry {
        seq: at as u64 + 1,
        at: String::new(),
        kind: Kind::Answer,
        question: Some(name.into()),
        typed: None,
        understood: Some(text.into()),
        origin: None,
    };
    let mut known: Vec<Entry> = Vec::new();
    loop {
        match host.run(&script, Rc::new(CurrentAnswers::of(known.clone()))) {
            Err(errors) => return Some(errors[0].clone()),
            Ok(run_result) => {
                let question = run_result.waits()?.clone();
                let (_, text) = answers.iter().find(|(name, _)| *name == question.name())?;
                let answer = crate::bench::interpret(
                    &question,
                    match *text {
                        "confirmed" if question.key.contains("mains") => "UNPLUGGED",
                        "confirmed" => "yes",
                        other => other,
                    },
                    &crate::quantity::WeighingRules {
                        notation: Default::default(),
                        unit: crate::quantity::MassUnit::Gram,
                        tare: &|_| None,
                    },
                );
                let exact = crate::bench::exact(&question, &answer.expect(text));
                known.push(entry((known.len(), (question.name().as_str(), exact.as_str()))));
            }
        }
    }
}

#[test]
fn the_sound_scripts_have_no_error() {
    assert_eq!(error(&host(), RECIPE), None);
    assert_eq!(error(&host(), YARD), None);
}

#[test]
fn every_slip_is_told_what_it_should_have_been() {
    let host = host();
    let mut wrong = Vec::new();
    for (base, right, slip, wanted) in [
        (RECIPE, "step(\"lid\"", "stepp(\"lid\"", "`step`"),
        (RECIPE, "unit(\"kettle\"", "unti(\"kettle\"", "`unit`"),
        (RECIPE, ".sold_whole_as", ".sold_hole_as", "`sold_whole_as`"),
        (RECIPE, ".minutes(1, 2, 3).guards", ".minuts(1, 2, 3).guards", "`minutes`"),
        (RECIPE, ".after(\"base\")", ".aftr(\"base\")", "`after`"),
        (RECIPE, "(1.kg..2.kg)", "(1.kgs..2.kg)", "`.kg`"),
        (RECIPE, ".usually(", ".usualy(", "`usually`"),
        (RECIPE, "\"appliance-light\"", "\"aplliance-light\"", "`appliance-light`"),
        (RECIPE, "50.g, \"stainless\"", "50.g, \"stainles\"", "`stainless`"),
        (RECIPE, "[\"mains-plugged\"]", "[\"mains-pluged\"]", "`mains-plugged`"),
        (RECIPE, ".guards([\"sharp-sheet\"])", ".guards([\"sharp-sheets\"])", "`sharp-sheet`"),
        (RECIPE, ".after(\"base\")", ".after(\"bace\")", "`base`"),
        (RECIPE, "after_any([\"heater\"])", "after_any([\"heator\"])", "`heater`"),
        (RECIPE, ".opens(\"base\")", ".opens(\"bace\")", "`base`"),
        (RECIPE, ".leaves(\"base\"", ".leaves(\"bace\"", "`base`"),
        (RECIPE, "leaves(\"base\", \"plastic-mixed\")", "leaves(\"base\", \"plastic-mixd\")", "`plastic-mixed`"),
        (RECIPE, "bench.choose(", "bench.chose(", "`choose`"),
        (RECIPE, "bench.weigh(\"lid\")", "bench.wiegh(\"lid\")", "`weigh`"),
        (RECIPE, "bench.regrade(\"lid\"", "bench.regrade(\"lit\"", "`lid`"),
        (RECIPE, "bench.regrade(\"lid\", \"stainless\")", "bench.regrade(\"lid\", \"stainles\")", "`stainless`"),
        (RECIPE, "bench.weigh(\"lid\")", "bench.weigh(\"lit\")", "`lid`"),
        (RECIPE, "bench.guard(\"sharp-sheet\")", "bench.guard(\"sharp-shet\")", "`sharp-sheet`"),
        (RECIPE, "import \"checks\"", "import \"cheks\"", "`checks`"),
        (RECIPE, "checks::strands(", "checks::strans(", "`strands`"),
        (RECIPE, "checks::strands(", "cheks::strands(", "`checks`"),
        (RECIPE, "bench.regrade(", "bensh.regrade(", "`bench`"),
        (RECIPE, "bench.say(", "bench.says(", "`say`"),
        (YARD, "buys(", "buy(", "`buys`"),
        (YARD, ".from(", ".form(", "`from`"),
        (YARD, "as_of(", "asof(", "`as_of`"),
        (YARD, ".weighs_in(\"lb\")", ".weighs_in(\"lbb\")", "lb"),
        (YARD, ".pays_to(", ".pay_to(", "`pays_to`"),
        (YARD, "\"copper-2\"", "\"coper-2\"", "`copper-2`"),
        (YARD, "\"CAD\"", "\"CDA\"", "CAD"),
    ] {
        assert!(base.contains(right), "{right}");
        let source = base.replacen(right, slip, 1);
        let line = 1 + source[..source.find(slip).unwrap()].matches('\n').count();
        let said = error(&host, &source).map_or("no error".to_owned(), |error| error.to_string());
        let meant = said.split_once("did you mean").is_some_and(|(_, meant)| meant.contains(wanted));
        if !meant || !said.starts_with(&format!("x.rhai:{line}:")) {
            wrong.push(format!("line {line}, {slip}: {said}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn a_script_for_a_newer_program_is_switched_off_and_not_blamed() {
    let host = host();
    let newer = [
        RECIPE.replace(".sold_whole_as", ".needs_api(2).sold_whole_as"),
        RECIPE
            .replace(".sold_whole_as", ".glows(3).sold_whole_as")
            .replace(".guards([\"mains", ".needs_api(7).guards([\"mains"),
        RECIPE.replace("import", "ignite 5; import").replace(".sold_whole_as", ".needs_api(2).sold_whole_as"),
        YARD.replace(".currency", ".needs_api(2).currency"),
        YARD.replace(".currency", ".needs_api(2).currency").replace("as_of", "as_from"),
    ];
    for source in newer {
        let said = error(&host, &source).expect(&source).to_string();
        assert!(said.contains("needs script version") && said.contains("this program speaks 1"), "{said}");
        assert!(host.needs_newer(&source).is_some());
    }
    assert_eq!(host.needs_newer(RECIPE), None);
    assert_eq!(host.needs_newer("// needs_api(9)\nunit(\"a\", \"needs_api(9)\").needs_api(1);"), None);
    assert_eq!(host.needs_newer("needs_api needs_api(99999999999)"), None);
}

/// The engine's lexer repeats its last token forever; a script that never ends its first statement must not hang.
#[test]
fn a_first_statement_without_its_end_is_read_all_the_same() {
    let host = host();
    assert!(host.glance("x.rhai", "unit(\"a\", \"b\")").is_ok());
    for source in ["", "unit(", "// nothing", "unit(\"a", "yard"] {
        assert!(host.glance("x.rhai", source).is_err(), "{source:?}");
    }
}
