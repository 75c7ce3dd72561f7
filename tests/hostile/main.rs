//! Scripts of strangers, each in a process of its own: whatever they try, they end in one clear error, soon and small, and
//! no journal is touched.
//!
//! To add a case, drop a file into `recipes`, `yards` or `tools`; `case.rs` says what its head looks like. A recipe has the id
//! `victim`, a yard or a tool the id `stranger`. `cargo test --test hostile -- --nocapture` prints what each took.

#![allow(clippy::unwrap_used, clippy::new_without_default, reason = "a test may fail by panicking")]
#![cfg(unix)]

mod bench;
mod case;

use bench::{ANSWERS, Bench, Outcome};
use case::{Case, cases};
use knockdown::store::Home;
use knockdown::store::log::Ending;

/// Runs a command and checks what holds of all; a command that failed must have left every journal as it was.
fn tried(bench: &Bench, case: &Case, arguments: &[&str]) -> Outcome {
    let before = bench.journals();
    let outcome = bench.run(arguments, "pause\n");
    outcome.check(&case.name);
    let after = bench.journals();
    if !outcome.is_well() {
        let untouched = before.iter().all(|journal| after.contains(journal));
        assert!(untouched, "{}: `{}` failed and changed a journal", case.name, outcome.line);
    }
    println!(
        "{:<40} {:<32} code {} {:>6.1} MB {:>5} ms",
        case.name,
        outcome.line,
        outcome.code,
        outcome.memory as f64 / 1e6,
        outcome.time.as_millis()
    );
    outcome
}

/// Whatever journals there are can still be read whole.
fn journals_are_whole(bench: &Bench, case: &Case) {
    let home = Home::at(bench.home());
    for id in home.sessions().expect("sessions").ids {
        let reading = home.session(&id).expect("a journal that can be read");
        assert!(matches!(reading.ending, Ending::Whole), "{}: {id} is not whole: {:?}", case.name, reading.ending);
    }
}

fn answers_file(bench: &Bench, case: &Case) -> String {
    let extra = case.answers.iter().fold(String::new(), |text, line| text + line.as_str() + "\n");
    bench.put("answers.toml", &(extra + ANSWERS)).display().to_string()
}

#[test]
#[ignore = "takes minutes in a debug build; the gate runs it in its slow step"]
fn hostile_recipes_are_contained() {
    let template = Bench::new();
    let cases = cases("recipes");
    for case in &cases {
        let bench = template.copy();
        bench.put("home/recipes/victim.rhai", &case.script);
        let answers = answers_file(&bench, case);
        tried(&bench, case, &["recipes", "--format", "json"]);
        tried(&bench, case, &["show", "victim"]);
        tried(&bench, case, &["tally"]);
        tried(&bench, case, &["resume"]);
        let played = tried(&bench, case, &["bench", "victim", "--answers", &answers]);
        match &case.ending {
            case::Ending::Error(text) => {
                assert!(matches!(played.code, 1 | 3 | 4), "{}: code {}\n{}", case.name, played.code, played.out);
                assert!(played.err.contains(text), "{}: wants {text:?}\n{}", case.name, played.err);
            }
            case::Ending::Shown(text) => {
                assert_eq!(played.code, 0, "{}: {}{}", case.name, played.out, played.err);
                assert!(played.out.contains(text), "{}: wants {text:?}\n{}", case.name, played.out);
            }
        }
        journals_are_whole(&bench, case);
    }
    assert!(cases.len() >= 60, "{} cases", cases.len());
}

#[test]
fn hostile_yards_are_contained() {
    let template = Bench::new();
    for case in &cases("yards") {
        let bench = template.copy();
        bench.put("home/yards/stranger.rhai", &case.script);
        let answers = answers_file(&bench, case);
        let outcomes = [
            tried(&bench, case, &["yards"]),
            tried(&bench, case, &["yards", "--format", "json"]),
            tried(&bench, case, &["show", "stranger"]),
            tried(&bench, case, &["tally", "--yard", "stranger"]),
            tried(&bench, case, &["tally", "--yard", "stranger", "--format", "json"]),
            tried(&bench, case, &["bench", "victim", "--yard", "stranger", "--answers", &answers]),
        ];
        let (case::Ending::Error(text) | case::Ending::Shown(text)) = &case.ending;
        let said = outcomes.iter().any(|outcome| format!("{}{}", outcome.err, outcome.out).contains(text));
        let all: String = outcomes.iter().map(|o| format!("$ {}\n{}{}", o.line, o.out, o.err)).collect();
        assert!(said, "{}: wants {text:?}\n{all}", case.name);
        if matches!(case.ending, case::Ending::Shown(_)) {
            assert!(outcomes.iter().all(Outcome::is_well), "{}: {all}", case.name);
        }
        journals_are_whole(&bench, case);
    }
}

#[test]
fn hostile_tools_are_contained() {
    let template = Bench::new();
    let cases = cases("tools");
    for case in &cases {
        let bench = template.copy();
        bench.put("home/tools/stranger.rhai", &case.script);
        // Whatever lies among the tools, the program's own commands work.
        assert!(tried(&bench, case, &["tally"]).is_well(), "{}", case.name);
        assert!(tried(&bench, case, &["tools"]).is_well(), "{}", case.name);
        assert!(tried(&bench, case, &["completions", "bash"]).is_well(), "{}", case.name);
        let outcomes = [tried(&bench, case, &["stranger", "--no-input"]), tried(&bench, case, &["tools"])];
        let (case::Ending::Error(text) | case::Ending::Shown(text)) = &case.ending;
        let all: String = outcomes.iter().map(|o| format!("$ {}\n{}{}", o.line, o.out, o.err)).collect();
        assert!(all.replace("\n  ", " ").contains(text), "{}: wants {text:?}\n{all}", case.name);
        assert!(!all.contains("went on"), "{}: {all}", case.name);
        journals_are_whole(&bench, case);
    }
    assert!(cases.len() >= 15, "{} cases", cases.len());
}
