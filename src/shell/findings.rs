//! The results of `check` as text: each finding with its place in the script, then what was checked and what was not.

use serde_json::{Value, json};

use super::excerpt::Excerpt;
use super::ink::{Ink, Page, Painter};
use super::terminal::Terminal;
use crate::authoring::{Checked, Placed, SubjectKind};
use crate::naming::counted;
use crate::review::paths::Coverage;
use crate::review::{Finding, Severity};

/// The most answers listed with one finding.
const MOST_ANSWERS: usize = 100;

/// Shows the result of checking one script.
pub fn show(terminal: &Terminal, checked: &Checked) {
    terminal.put(&text(checked, terminal.look.colour, terminal.width()));
}

/// The result of checking one script as text: its findings, then a summary.
pub fn text(checked: &Checked, colour: bool, width: usize) -> String {
    let findings: String = checked.findings.iter().map(|placed| finding(placed, colour, width.min(120))).collect();
    let summary = Painter { colour }.paint(&summary(checked).wrapped(width));
    format!("{findings}{summary}")
}

/// A finding with its excerpt, and the answers that lead there as lines for an answers file.
fn finding(placed: &Placed, colour: bool, width: usize) -> String {
    let Finding { severity, mark, message, hint, answers, .. } = &placed.finding;
    let (file, source) = (&*placed.file, &*placed.source);
    let excerpt = Excerpt { severity: *severity, file, source, mark: *mark, message, hint }.text(colour, width);
    let mut page = Page::new();
    if !answers.is_empty() {
        page.line(&[(Ink::Faint, "  with these answers:")]);
    }
    for answer in answers.iter().take(MOST_ANSWERS) {
        // A quoted key at the top level of an answers file is a question's full name.
        page.line(&[
            (Ink::Plain, "    "),
            (Ink::Name, &quoted(&answer.name)),
            (Ink::Plain, " = "),
            (Ink::Figure, &quoted(&answer.typed)),
        ]);
    }
    if answers.len() > MOST_ANSWERS {
        let more = answers.len() - MOST_ANSWERS;
        page.line(&[(Ink::Faint, &format!("    … and {more} more; --format json has all"))]);
    }
    format!("{excerpt}{}\n", Painter { colour }.paint(&page))
}

/// A TOML string.
fn quoted(text: &str) -> String {
    toml::Value::from(text).to_string()
}

/// One script in one or a few lines: what it is, what was found, how much was checked.
fn summary(checked: &Checked) -> Page {
    let mut page = Page::new();
    let (word, ink) = match (checked.is_sound(), checked.count(Severity::Warning)) {
        (false, _) => ("FAULTY  ", Ink::Danger),
        (true, 0) => ("sound   ", Ink::Good),
        (true, _) => ("doubt   ", Ink::Caution),
    };
    let kind = format!("{} ", checked.kind.word());
    page.line(&[
        (ink, word),
        (Ink::Plain, &kind),
        (Ink::Name, &checked.id),
        (Ink::Plain, &counts(std::slice::from_ref(checked))),
    ]);
    if let Some(coverage) = &checked.coverage {
        ways(coverage, &mut page);
    }
    if let Some(answers) = checked.test_answers {
        let words = match checked.kind {
            SubjectKind::Tool => format!("        it ran its {}", counted(answers, "example")),
            _ => format!("        its test session answers {}", counted(answers, "question")),
        };
        page.line(&[(Ink::Plain, &words)]);
    }
    if let Some(lots) = checked.lots {
        page.line(&[(Ink::Plain, &format!("        its rule judged {lots} sample lots of two grades"))]);
    }
    if let Some(left) = &checked.lots_left {
        page.line(&[(Ink::Caution, &format!("        not all sample lots: {left}"))]);
    }
    page
}

fn ways(coverage: &Coverage, page: &mut Page) {
    let of = if coverage.complete { "every way" } else { "NOT every way" };
    let ink = if coverage.complete { Ink::Plain } else { Ink::Caution };
    let runs = format!(
        "{}, {}, standing for {} of answers",
        counted(coverage.runs, "run"),
        counted(coverage.situations, "situation"),
        combinations(coverage.combinations)
    );
    page.line(&[(ink, &format!("        {of}: {runs}"))]);
    for left in &coverage.left {
        page.line(&[(Ink::Caution, &format!("        not looked at: {left}"))]);
    }
    for limit in &coverage.limits {
        page.line(&[(Ink::Faint, &format!("        {limit}"))]);
    }
}

/// A number of combinations: in full if it is short enough to read, else by magnitude.
fn combinations(number: u128) -> String {
    match number {
        u128::MAX => "more combinations than can be counted".into(),
        0..=999_999 => counted(number, "combination"),
        _ => format!("about {}e{} combinations", number / 10_u128.pow(number.ilog10()), number.ilog10()),
    }
}

/// `: 2 errors, 1 warning`, or nothing without findings.
fn counts(checked: &[Checked]) -> String {
    let all = [Severity::Error, Severity::Warning, Severity::Note].map(|severity| {
        let count: usize = checked.iter().map(|one| one.count(severity)).sum();
        (count, severity.word())
    });
    let said: Vec<String> =
        all.into_iter().filter(|(count, _)| *count > 0).map(|(count, word)| counted(count, word)).collect();
    if said.is_empty() { String::new() } else { format!(": {}", said.join(", ")) }
}

/// The last line: how many scripts were checked, and the total of findings.
pub fn total(checked: &[Checked]) -> Page {
    let mut page = Page::new();
    let found = counts(checked);
    let found = if found.is_empty() { ": nothing found".to_owned() } else { found };
    page.say(Ink::Heading, &format!("{} looked at{found}", checked.len()));
    page
}

/// The document `{"format":"knockdown-check","version":1,…}`.
pub fn json(checked: &[Checked]) -> Value {
    let count = |severity| checked.iter().map(|one| one.count(severity)).sum::<usize>();
    json!({
        "format": "knockdown-check",
        "version": 1,
        "errors": count(Severity::Error),
        "warnings": count(Severity::Warning),
        "notes": count(Severity::Note),
        "scripts": checked.iter().map(script_json).collect::<Vec<_>>(),
    })
}

fn script_json(one: &Checked) -> Value {
    json!({
        "file": one.file,
        "kind": one.kind.word(),
        "id": one.id,
        "sound": one.is_sound(),
        "findings": one.findings.iter().map(finding_json).collect::<Vec<_>>(),
        "coverage": one.coverage.as_ref().map(coverage_json),
        "test_answers": one.test_answers,
        "sample_lots": one.lots,
        "sample_lots_left": one.lots_left,
    })
}

fn finding_json(placed: &Placed) -> Value {
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

/// Combinations as text: the number can be too large for a JSON reader to hold exactly.
fn coverage_json(coverage: &Coverage) -> Value {
    json!({
        "complete": coverage.complete,
        "runs": coverage.runs,
        "situations": coverage.situations,
        "combinations": coverage.combinations.to_string(),
        "left": coverage.left,
        "limits": coverage.limits,
    })
}
