//! An answers file: a session played without a keyboard.
//!
//! TOML with a journal's keys: a table per step, a key per question.
//!
//! ```toml
//! [transformer]
//! weight = "3.6 kg"
//! winding = "copper"
//! minutes = 6
//! ```
//!
//! Numbers are taken digit by digit exactly as written; they never pass through floating point.

use std::collections::HashMap;
use std::path::Path;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::disk::Disk;
use super::error::StoreError;
use super::files;
use super::log::text::{shown, visible};
use super::toml_text::{line_at, parse_table};

/// The largest answers file, in bytes.
pub const MAX_FILE: u64 = 1024 * 1024;

/// One answer from a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FileAnswer {
    /// The question: `step/key`, as in a journal.
    pub question: String,
    /// The answer, as if typed.
    pub text: String,
    /// The line it is on, from 1.
    pub line: usize,
}

/// Reads an answers file.
///
/// # Errors
/// As for [`files::read_text`] and [`parse`].
pub fn read(disk: &dyn Disk, path: &Path) -> Result<Vec<FileAnswer>, StoreError> {
    parse(path, &files::read_text(disk, path, MAX_FILE)?)
}

/// Parses an answers file; `path` is for messages. The answers are in file order.
///
/// A string is taken as it is, a number as written (without `_`), `true` and `false` as `yes` and `no`.
///
/// # Errors
/// [`StoreError::Content`] with the line, and the key if there is one, for invalid TOML, a list, a date, a non-decimal
/// number, or a question answered twice.
pub fn parse(path: &Path, text: &str) -> Result<Vec<FileAnswer>, StoreError> {
    let mut found = Vec::new();
    collect(text, &parse_table(path, text)?, "", &mut found).map_err(|fault| StoreError::Content {
        path: path.to_owned(),
        line: line_at(text, fault.at),
        what: fault.what,
    })?;
    found.sort_by_key(|(at, _, _)| *at);
    let answers = with_lines(text, found);
    refuse_doubles(path, &answers)?;
    Ok(answers)
}

/// A fault at an offset of the text.
struct Fault {
    at: usize,
    what: String,
}

/// An answer at an offset of the text: question, answer.
type Found = (usize, String, String);

/// Collects the answers of a table; their questions start with `prefix`.
fn collect(text: &str, table: &DeTable<'_>, prefix: &str, found: &mut Vec<Found>) -> Result<(), Fault> {
    for (key, value) in table {
        let question = match prefix {
            "" => key.get_ref().to_string(),
            step if !step.contains('/') => format!("{step}/{}", key.get_ref()),
            longer => format!("{longer}.{}", key.get_ref()),
        };
        match value.get_ref() {
            DeValue::Table(inner) => collect(text, inner, &question, found)?,
            _ => {
                let at = key.span().start;
                let answer = as_typed(text, value)
                    .map_err(|what| Fault { at, what: format!("the answer to {} {what}", visible(&question)) })?;
                found.push((at, question, answer));
            }
        }
    }
    Ok(())
}

/// A value as a user would type it, or why it is invalid.
fn as_typed(text: &str, value: &Spanned<DeValue<'_>>) -> Result<String, String> {
    let literal = text.get(value.span()).unwrap_or_default();
    let number = || literal.replace('_', "");
    match value.get_ref() {
        DeValue::String(answer) => Ok(answer.to_string()),
        DeValue::Boolean(true) => Ok("yes".to_owned()),
        DeValue::Boolean(false) => Ok("no".to_owned()),
        DeValue::Integer(integer) if integer.radix() == 10 => Ok(number()),
        DeValue::Float(_) if literal.contains(|c: char| c.is_ascii_digit()) => Ok(number()),
        DeValue::Integer(_) | DeValue::Float(_) => Err(format!("is {}, which is no decimal number", shown(literal))),
        DeValue::Array(_) => Err("is a list. Give one answer: a text in quotes, a number, true or false".to_owned()),
        _ => Err(format!("is {}, which is no text. Put it in quotes", shown(literal))),
    }
}

/// The answers with line numbers, in text order.
fn with_lines(text: &str, found: Vec<Found>) -> Vec<FileAnswer> {
    let mut line = 1;
    let mut counted = 0;
    let with_line = |(at, question, answer): Found| {
        line += text.as_bytes()[counted..at].iter().filter(|byte| **byte == b'\n').count();
        counted = at;
        FileAnswer { question, text: answer, line }
    };
    found.into_iter().map(with_line).collect()
}

/// Rejects a question answered twice: `"a/b"` and `b` in the table `a` are the same.
fn refuse_doubles(path: &Path, answers: &[FileAnswer]) -> Result<(), StoreError> {
    let mut lines = HashMap::with_capacity(answers.len());
    for answer in answers {
        if let Some(first) = lines.insert(answer.question.as_str(), answer.line) {
            let what = format!("{} is answered here and on line {first}. Take one away", visible(&answer.question));
            return Err(StoreError::Content { path: path.to_owned(), line: answer.line, what });
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests;
