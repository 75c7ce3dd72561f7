//! Plays a session from an answers file, without a user.

use std::collections::BTreeMap;
use std::path::Path;

use jiff::civil::Date;

use super::bench::{Change, Session};
use crate::naming::{counted, suggest};
use crate::script::Slowness;
use crate::store::answers::{self, FileAnswer};
use crate::world::AppError;

/// The expected result of a test session: the table `[expect]` of its file.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Expected {
    /// The net, with its currency.
    pub net: Option<String>,
    /// How it ends: `complete`, `stopped`, `refused HAZARD`, `handed on HAZARD`.
    pub end: Option<String>,
    /// Parts in the order in which they come out: grade and weight of each.
    pub parts: Vec<(String, String)>,
}

impl Expected {
    /// Whether nothing is expected.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        *self == Expected::default()
    }

    /// Sets a value of the table. `key` is what follows `expect/`; returns false if it is unknown.
    fn take(&mut self, key: &str, value: &str) -> bool {
        match key.split_once('.') {
            None if key == "net" => self.net = Some(value.to_owned()),
            None if key == "end" => self.end = Some(value.to_owned()),
            Some(("parts", part)) => self.parts.push((part.to_owned(), value.to_owned())),
            _ => return false,
        }
        true
    }
}

/// What a test session file sets.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Demo {
    /// The yard that values it.
    pub yard: Option<String>,
    /// The pricing date.
    pub date: Option<Date>,
    /// The answers, in file order.
    pub answers: Vec<FileAnswer>,
    /// The expected result.
    pub expected: Expected,
}

impl Demo {
    /// Parses an answers file; `path` is for messages.
    ///
    /// # Errors
    /// The text is not an answers file, or sets something unknown.
    pub fn parse(path: &Path, text: &str) -> Result<Demo, AppError> {
        let mut demo = Demo::default();
        let read = answers::parse(path, text).map_err(|error| AppError::Answer(error.to_string()))?;
        for answer in read {
            let place = || format!("{}:{}: ", path.display(), answer.line);
            match answer.question.as_str() {
                "yard" => demo.yard = Some(answer.text),
                "date" => {
                    let date = answer.text.parse();
                    let wrong =
                        |_| AppError::Answer(format!("{}`{}` is no date; write 2026-11-02", place(), answer.text));
                    demo.date = Some(date.map_err(wrong)?);
                }
                name if name.starts_with("expect/") => {
                    if !demo.expected.take(&name["expect/".len()..], &answer.text) {
                        let name = name.escape_debug();
                        let message = format!("{}`{name}`: the table [expect] holds net, end and parts", place());
                        return Err(AppError::Answer(message));
                    }
                }
                name if !name.contains('/') => {
                    let message =
                        format!("{}`{}` belongs to no step; write it in a table [step]", place(), name.escape_debug());
                    return Err(AppError::Answer(message));
                }
                _ => demo.answers.push(answer),
            }
        }
        Ok(demo)
    }
}

/// Answers every question of a session from a file until the session ends. Passes each answer taken to `watch` with its
/// question's name. Returns the answers that no question asked for.
///
/// # Errors
/// A question without an answer, named by its key; an invalid answer, with its line; a journal that cannot be written.
pub fn play(
    session: &mut Session<'_>,
    demo: &Demo,
    path: &Path,
    mut watch: impl FnMut(&Session<'_>, &str),
) -> Result<Vec<String>, AppError> {
    let known: BTreeMap<&str, &FileAnswer> = demo.answers.iter().map(|a| (a.question.as_str(), a)).collect();
    let mut used: Vec<String> = Vec::new();
    let pace = Slowness::start(session.world().host());
    while let Some(question) = session.question() {
        let name = question.name();
        let Some(given) = known.get(name.as_str()) else {
            let hint = suggest(&name, known.keys().copied().filter(|key| !used.iter().any(|name| name == key)));
            let (step, key) = name.split_once('/').unwrap_or(("", &name));
            return Err(AppError::Answer(format!(
                "{}: no answer to `{name}` ({}); add under [{step}]: {key:?} = …; {hint}",
                path.display(),
                question.text
            )));
        };
        match session.answer(&given.text, Some("file"))? {
            Change::Answered(_) => {}
            Change::NotTaken(error) => {
                return Err(AppError::Answer(format!("{}:{}: `{name}`: {error}", path.display(), given.line)));
            }
        }
        watch(session, &name);
        used.push(name);
        if let Some(why) = pace.trouble(session.world().host()) {
            return Err(AppError::Answer(format!(
                "{}: given up after {}: {why}",
                path.display(),
                counted(used.len(), "answer")
            )));
        }
    }
    Ok(known.keys().filter(|key| !used.iter().any(|name| name == *key)).map(|key| (*key).to_owned()).collect())
}
