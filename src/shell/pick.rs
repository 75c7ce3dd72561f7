//! Lets the user choose if a word matches several things.

use super::ink::{Ink, Page};
use super::line::Aids;
use super::terminal::Terminal;
use crate::naming::one_line;
use crate::store::home::Shelf;
use crate::world::AppError;

/// Lets the user choose among scripts that match or resemble a word. `None` if asking is not allowed.
///
/// # Errors
/// Nothing was chosen; the terminal is gone.
pub fn choose(
    terminal: &Terminal,
    shelf: Shelf,
    word: &str,
    several: &[(String, String)],
) -> Result<Option<String>, AppError> {
    if !terminal.may_ask || !terminal.on_terminal {
        return Ok(None);
    }
    let noun = if shelf == Shelf::Yards { "yard" } else { "recipe" };
    let fits = |(id, name): &(String, String)| format!("{id} {name}").to_lowercase().contains(&word.to_lowercase());
    let mut asked = Page::new();
    asked.say(
        Ink::Plain,
        &match several.iter().any(fits) {
            true => format!("Which {noun}?"),
            false => format!("No {noun} is called {word}. Did you mean one of these? Its number, or Enter for none."),
        },
    );
    for (place, (id, name)) in several.iter().enumerate() {
        asked.say(Ink::Plain, &format!("  {} {id}  {name}", place + 1));
    }
    let words = several.iter().map(|(id, name)| (id.clone(), name.clone())).collect();
    let text = terminal.ask(Aids::to_answer(asked).words(words))?.unwrap_or_default();
    let text = text.trim();
    let by_number = text.parse::<usize>().ok().and_then(|number| several.get(number.checked_sub(1)?));
    match by_number.or_else(|| several.iter().find(|(id, _)| id == text)) {
        Some((id, _)) => Ok(Some(id.clone())),
        None if text.is_empty() => Err(AppError::Name(format!("no {noun} was chosen"))),
        None => Err(AppError::Name(format!("`{}` is none of these; no {noun} was chosen", one_line(text, 40)))),
    }
}
