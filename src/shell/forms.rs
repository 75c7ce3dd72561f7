//! Asks for one thing after another, outside the bench.

use std::path::PathBuf;

use super::ink::{Ink, Page};
use super::line::Aids;
use super::terminal::Terminal;
use crate::store::StoreError;
use crate::store::home::Single;
use crate::store::log::Ending;
use crate::world::AppError;

/// One question of a form.
#[derive(Default)]
pub struct Blank {
    /// What is asked.
    pub text: String,
    /// The answer of an empty Enter; `None` if an answer is required.
    pub default: Option<String>,
    /// Completions, each with a remark.
    pub words: Vec<(String, String)>,
}

impl Blank {
    /// A question that requires an answer.
    pub fn new(text: impl Into<String>) -> Blank {
        Blank { text: text.into(), ..Blank::default() }
    }

    /// The same with an answer for an empty Enter.
    pub fn or(mut self, default: impl Into<String>) -> Blank {
        self.default = Some(default.into());
        self
    }

    /// The same with completions.
    pub fn words(mut self, words: Vec<(String, String)>) -> Blank {
        self.words = words;
        self
    }
}

/// Asks until `read` accepts the answer. At a terminal a rejected answer is asked again; from a pipe it ends the form,
/// since the following lines belong to other questions.
///
/// # Errors
/// Asking is not allowed, the input ends, Ctrl-C, or a piped answer is invalid.
pub fn ask<T>(terminal: &Terminal, blank: &Blank, read: impl Fn(&str) -> Result<T, String>) -> Result<T, AppError> {
    // The lines below the question list the possible answers.
    let asked = blank.text.lines().next().unwrap_or_default();
    if !terminal.may_ask {
        return Err(AppError::Answer(format!("{asked:?} needs an answer, and --no-input forbids to ask")));
    }
    let default = blank.default.as_deref().filter(|default| !default.is_empty());
    loop {
        let mut asked_for = Page::new();
        asked_for.say(Ink::Plain, &blank.text);
        let prompt = default.map_or("> ".to_owned(), |default| format!("[{default}] > "));
        let aids = Aids { prompt, asked: asked_for, words: blank.words.clone(), ..Aids::default() };
        let typed = terminal.ask(aids)?;
        let ended = || AppError::Answer(format!("the input ends at {asked:?}; nothing is written"));
        let typed = typed.ok_or_else(ended)?.trim().to_owned();
        let answer = match (typed.is_empty(), &blank.default) {
            (true, Some(default)) => default,
            _ => &typed,
        };
        match read(answer) {
            Ok(value) => return Ok(value),
            Err(why) if terminal.on_terminal => terminal.say(Ink::Caution, &format!("Not taken: {why}")),
            Err(why) => return Err(AppError::Answer(format!("{asked:?}: {why}; nothing is written"))),
        }
    }
}

/// Asks for a yes; anything else, and the end of input, counts as no.
///
/// # Errors
/// The terminal is gone.
pub fn agreed(terminal: &Terminal, prompt: &str) -> Result<bool, AppError> {
    agreed_by(terminal, prompt, "yes")
}

/// Asks for certain words; anything else, and the end of input, counts as no.
///
/// # Errors
/// The terminal is gone.
pub fn agreed_by(terminal: &Terminal, prompt: &str, words: &str) -> Result<bool, AppError> {
    let typed = terminal.ask(Aids { prompt: prompt.to_owned(), ..Aids::default() })?;
    Ok(typed.is_some_and(|text| text.trim().eq_ignore_ascii_case(words)))
}

/// Called before the first write to a log that ends inside an entry: asks whether to set that fragment aside, and does
/// so after a yes.
///
/// # Errors
/// Nobody is at a terminal to ask, or the user does not say yes: then nothing may be written. The log cannot be read.
pub fn whole<L: Single>(terminal: &Terminal) -> Result<(), AppError> {
    let home = &terminal.world.home;
    let Some(Ending::Torn { line, .. }) = home.log::<L>()?.map(|reading| reading.ending) else { return Ok(()) };
    let path = home.log_file::<L>();
    let asked = format!("{} ends inside an entry that was never finished, on line {line}.", path.display());
    if terminal.on_terminal && terminal.may_ask {
        terminal.say(Ink::Caution, &asked);
        if agreed(terminal, "Put that piece aside and go on? Type yes, or Enter to leave it > ")? {
            let side = home.put_aside::<L>(&terminal.world.clock.stamp())?;
            let moved =
                |side: &PathBuf| terminal.say(Ink::Caution, &format!("The piece was moved to {}.", side.display()));
            side.iter().for_each(moved);
            return Ok(());
        }
    }
    Err(StoreError::Torn { path, line }.into())
}
