//! `check`: looks for faults in recipes and yards, on every way through them.

use std::time::Duration;

use clap::{Arg, ArgMatches, Command, value_parser};
use serde_json::{Value, json};

use super::options::{self, Format};
use super::{Code, Outcome};
use crate::authoring::{Bounds, Checked, Placed, Subject, check};
use crate::review::Severity;
use crate::review::paths::Coverage;
use crate::shell::findings;
use crate::shell::terminal::Terminal;

pub(super) fn declare() -> Command {
    Command::new("check")
        .about("Look for faults in recipes and yards, on every way through them")
        .after_help(
            "Tries every combination of answers that can make a difference, and tells what it did not try.\n\
             Examples: check · check countertop-oven · check my-recipe.rhai bluegum-siding --format json",
        )
        .arg(
            Arg::new("script").value_name("FILE|ID").num_args(0..).help("Files or ids [else everything that there is]"),
        )
        .arg(
            Arg::new("bound")
                .long("bound")
                .value_name("N")
                .value_parser(value_parser!(u64).range(1..))
                .help("The most runs for one recipe, or sample lots for one yard [else 20000]"),
        )
        .arg(
            Arg::new("seconds")
                .long("seconds")
                .value_name("N")
                .value_parser(value_parser!(u64).range(1..=86_400))
                .help("The most seconds of processor time for one script [else 20]"),
        )
        .arg(options::format(&["text", "json"]))
}

pub(super) fn run(terminal: &mut Terminal, matches: &ArgMatches) -> Outcome {
    let words: Vec<&String> = matches.get_many("script").into_iter().flatten().collect();
    let subjects = match words.as_slice() {
        [] => Subject::all(&terminal.world)?,
        words => words.iter().map(|word| Subject::find(&terminal.world, word)).collect::<Result<_, _>>()?,
    };
    let usual = Bounds::default();
    let bounds = Bounds {
        runs: matches.get_one("bound").copied().unwrap_or(usual.runs),
        time: matches.get_one("seconds").map_or(usual.time, |seconds| Duration::from_secs(*seconds)),
    };
    let checked = check(&terminal.world, &subjects, bounds)?;
    if options::format_of(matches) == Format::Json {
        terminal.put(&options::json(&document(&checked))?);
    } else {
        checked.iter().for_each(|one| findings::show(terminal, one));
        terminal.show(&findings::total(&checked));
    }
    Ok(if checked.iter().all(Checked::is_sound) { Code::Done } else { Code::Script })
}

fn document(checked: &[Checked]) -> Value {
    let count = |severity| checked.iter().map(|one| one.count(severity)).sum::<usize>();
    json!({
        "format": "knockdown-check",
        "version": 1,
        "errors": count(Severity::Error),
        "warnings": count(Severity::Warning),
        "notes": count(Severity::Note),
        "scripts": checked.iter().map(script).collect::<Vec<_>>(),
    })
}

fn script(one: &Checked) -> Value {
    json!({
        "file": one.file,
        "kind": one.kind.word(),
        "id": one.id,
        "sound": one.is_sound(),
        "findings": one.findings.iter().map(finding).collect::<Vec<_>>(),
        "coverage": one.coverage.as_ref().map(coverage),
        "test_answers": one.test_answers,
        "sample_lots": one.lots,
        "sample_lots_left": one.lots_left,
    })
}

fn finding(placed: &Placed) -> Value {
    let finding = &placed.finding;
    let answers = finding.answers.iter().map(|answer| json!({ "question": answer.name, "answer": answer.typed }));
    json!({
        "severity": finding.severity.word(),
        "rule": finding.rule,
        "file": &*placed.file,
        "line": finding.mark.line,
        "column": finding.mark.column,
        "message": finding.message,
        "hint": finding.hint,
        "answers": answers.collect::<Vec<_>>(),
    })
}

/// Combinations as text: there can be more than a JSON reader holds exactly.
fn coverage(coverage: &Coverage) -> Value {
    json!({
        "complete": coverage.complete,
        "runs": coverage.runs,
        "situations": coverage.situations,
        "combinations": coverage.combinations.to_string(),
        "left": coverage.left,
        "limits": coverage.limits,
    })
}
