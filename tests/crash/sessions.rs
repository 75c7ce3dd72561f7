//! A long session as lines to type, and what of it is on the disk.

use knockdown::bench::Kind;
use knockdown::store::log::Ending;
use knockdown::store::{Home, Id};

use crate::bench::Bench;
use crate::stock::WHOLE;

/// How many remarks stand before each answer.
const NOTES: usize = 8;

/// Every line of a whole session: the answers, each behind remarks, so that every line becomes one entry.
pub fn lines() -> Vec<String> {
    let mut lines = Vec::new();
    for (at, answer) in WHOLE.iter().chain(&["difference"]).enumerate() {
        lines.extend((0..NOTES).map(|n| format!("note remark {at}-{n}")));
        lines.push((*answer).to_owned());
    }
    lines
}

/// What the journal keeps of a line.
fn as_kept(line: &str) -> &str {
    line.strip_prefix("note ").unwrap_or(line)
}

/// How many of the lines were acknowledged in an output: each prompt after the first acknowledges the line before it.
pub fn acknowledged(output: &str) -> usize {
    output.matches("\n> ").count().saturating_sub(1)
}

/// How many of the lines are in a session's journal; panics at damage, at a gap, and at anything that was never typed.
pub fn kept(bench: &Bench, id: &str, lines: &[String]) -> usize {
    let reading = Home::at(bench.path("home")).session(&Id::new(id).unwrap()).unwrap_or_else(|error| panic!("{error}"));
    if let Ending::Damaged(damage) = reading.ending {
        panic!("{damage}");
    }
    let typed = reading.records.into_iter().filter(|entry| matches!(entry.kind, Kind::Answer | Kind::Note));
    let typed: Vec<String> = typed.map(|entry| entry.typed.unwrap_or_default()).collect();
    let wanted: Vec<&str> = lines.iter().map(|line| as_kept(line)).take(typed.len()).collect();
    assert_eq!(typed, wanted, "{id}");
    typed.len()
}
