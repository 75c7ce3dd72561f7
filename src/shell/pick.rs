//! Lets the person choose where a word fits several things.

use super::face::Face;
use super::ink::Ink;
use super::line::{Aids, Line, lost};
use crate::app::AppError;
use crate::store::home::Shelf;

/// Lets the person choose among scripts that a word fits or looks like. `None` when nothing may be asked or nothing was chosen.
///
/// # Errors
/// The terminal is gone.
pub fn choose(face: &Face, shelf: Shelf, word: &str, several: &[(String, String)]) -> Result<Option<String>, AppError> {
    if !face.may_ask || !face.on_terminal {
        return Ok(None);
    }
    let noun = if shelf == Shelf::Yards { "yard" } else { "recipe" };
    let fits = |(id, name): &(String, String)| format!("{id} {name}").to_lowercase().contains(&word.to_lowercase());
    if several.iter().any(fits) {
        face.say(Ink::Plain, &format!("Which {noun}?"));
    } else {
        face.say(
            Ink::Plain,
            &format!("No {noun} is called {word}. Did you mean one of these? Its number, or Enter for none."),
        );
    }
    for (place, (id, name)) in several.iter().enumerate() {
        face.say(Ink::Plain, &format!("  {} {id}  {name}", place + 1));
    }
    let words = several.iter().map(|(id, name)| (id.clone(), name.clone())).collect();
    match face.read_line(Aids { prompt: "> ".into(), words, first_only: true, ..Aids::default() }).map_err(lost)? {
        Line::Text(text) => {
            let text = text.trim();
            let by_number = text.parse::<usize>().ok().and_then(|number| several.get(number.checked_sub(1)?));
            Ok(by_number.or_else(|| several.iter().find(|(id, _)| id == text)).map(|(id, _)| id.clone()))
        }
        Line::Interrupt(_) | Line::End => Ok(None),
    }
}
