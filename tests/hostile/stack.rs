//! The hostile scripts against the script host alone, on the stack that the program has: one that overflows would end the whole test.

#[path = "../../src/meter.rs"]
mod meter;

use std::rc::Rc;

use knockdown::bench::{CurrentAnswers, Entry, Kind};
use knockdown::market::MixedLot;
use knockdown::quantity::Mass;
use knockdown::script::{Catalogue, Host, Library};

use super::case::{Case, Ending, cases};

/// Memory is counted as in the program.
#[global_allocator]
static MEMORY: meter::Counted = meter::Counted;

const GRADES: &str = include_str!("../../scripts/catalogue/grades.toml");
const HAZARDS: &str = include_str!("../../scripts/catalogue/hazards.toml");
const ANSWERS: &str = include_str!("innocent.toml");
const CHECKS: &str = include_str!("../../scripts/library/checks.rhai");

fn host() -> Host {
    knockdown::script::watch_memory(meter::live);
    let library = Library::new([("checks".to_owned(), Rc::from(CHECKS))]);
    Host::new(Rc::new(Catalogue::new(GRADES, HAZARDS)), library)
}

/// The answers of the innocent recipe and of the case, as a journal holds them.
fn standing(case: &Case) -> Rc<CurrentAnswers> {
    let text = case.answers.iter().fold(String::new(), |text, line| text + line.as_str() + "\n") + ANSWERS;
    let answers = knockdown::store::answers::parse("answers.toml".as_ref(), &text).expect("answers");
    let entry = |(seq, answer): (usize, knockdown::store::answers::FileAnswer)| Entry {
        seq: seq as u64 + 1,
        at: "2026-11-02T10:00:00Z".into(),
        kind: Kind::Answer,
        question: Some(answer.question),
        typed: Some(answer.text.clone()),
        understood: Some(answer.text),
        origin: None,
    };
    Rc::new(CurrentAnswers::of(answers.into_iter().enumerate().map(entry)))
}

/// Opens, declares and runs the script; the words of its error, if it has one.
fn play(host: &Host, case: &Case) -> Option<String> {
    let script = match host.open("victim.rhai", &case.script) {
        Ok(script) => script,
        Err(error) => return Some(error.to_string()),
    };
    let _listed = host.glance("victim.rhai", &case.script);
    let errors = host.recipe(&script).err().or_else(|| host.run(&script, standing(case)).err())?;
    Some(errors.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n"))
}

fn value(host: &Host, case: &Case) -> Option<String> {
    let script = match host.open("stranger.rhai", &case.script) {
        Ok(script) => script,
        Err(error) => return Some(error.to_string()),
    };
    match host.yard(&script) {
        Ok(yard) => yard.mixed_rule()?.judge(&MixedLot::new(Vec::new(), Mass::ZERO)).err(),
        Err(errors) => Some(errors.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n")),
    }
}

/// What is done with a case: the words of its error, if it has one.
type Act = fn(&Host, &Case) -> Option<String>;

/// Runs all cases twice over one host; both times end alike.
fn every_case() {
    let host = host();
    let acts: [(&str, Act); 2] = [("recipes", play), ("yards", value)];
    for (case, act) in acts.into_iter().flat_map(|(folder, act)| cases(folder).into_iter().map(move |case| (case, act)))
    {
        let (first, second) = (act(&host, &case), act(&host, &case));
        // Which bound a script comes to first, that of time or that of operations, and where it is then: only that may differ.
        let bounds = ["takes too long", "does not come to an end"];
        let bounded =
            |said: &Option<String>| said.as_ref().is_some_and(|said| bounds.iter().any(|bound| said.contains(bound)));
        assert!(first == second || bounded(&first) && bounded(&second), "{}: {first:?}, then {second:?}", case.name);
        if let Some(said) = &first {
            assert!(!said.contains("defect"), "{}: {said}", case.name);
            assert!(said.chars().count() < 2000, "{}: {} characters", case.name, said.chars().count());
        } else if let Ending::Error(text) = &case.ending {
            // A missing answer, and a file named for another, are errors of whoever plays the script.
            let later = text.contains("no answer") || text.contains("declares `");
            assert!(later, "{}: ran without an error", case.name);
        }
    }
}

#[test]
fn the_stack_is_deep_enough_for_whatever_a_script_nests() {
    knockdown::script::on_a_deep_stack(every_case).expect("a thread");
}
