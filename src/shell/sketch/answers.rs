//! Parsers for the answers to a sketch's questions: lines, numbers, ids, grades, hazards.

use rust_decimal::Decimal;

use crate::naming::{id_of_title, is_unsafe, nearest, suggest, well_formed_id};
use crate::quantity::{MassUnit, Notation};
use crate::shell::forms::{Blank, ask};
use crate::shell::terminal::Terminal;
use crate::store::home::Shelf;
use crate::world::AppError;

/// The most steps and prices that are asked for; beyond that, use an editor.
pub(super) const MOST: usize = 40;

/// The user's own unit and notation, for a recipe without a yard.
pub(super) fn measures(terminal: &Terminal) -> Result<(MassUnit, Notation), AppError> {
    let (_, yard) = terminal.world.yard(&terminal.world.yard_id(None)?)?;
    let unit = terminal.world.unit(&yard)?;
    Ok((if unit == MassUnit::Pound { unit } else { MassUnit::Kilogram }, terminal.world.notation(&yard)))
}

pub(super) fn free_id(terminal: &Terminal, shelf: Shelf, name: &str) -> Result<String, AppError> {
    let id =
        ask(terminal, &Blank::new("Its id: lower-case letters, digits and hyphens").or(id_of_title(name)), |text| {
            well_formed_id(text).map(|()| text.to_owned())
        })?;
    terminal.world.expect_free(shelf, &id)?;
    Ok(id)
}

pub(super) fn plain(text: &str) -> Result<String, String> {
    match text.chars().count() {
        0 => Err("there must be an answer".to_owned()),
        1..=120 if !text.chars().any(is_unsafe) => Ok(text.to_owned()),
        _ => Err("write one plain line of at most 120 characters".to_owned()),
    }
}

pub(super) fn optional(text: &str) -> Result<String, String> {
    if text.is_empty() { Ok(String::new()) } else { plain(text) }
}

pub(super) fn positive(text: &str, notation: Notation) -> Result<Decimal, String> {
    let number = notation.read_signed(text).map_err(|error| error.to_string())?;
    if number > Decimal::ZERO { Ok(number) } else { Err("it must be above zero".to_owned()) }
}

pub(super) fn grade_words(terminal: &Terminal) -> Vec<(String, String)> {
    terminal.world.host().catalogue().grades().iter().map(|grade| (grade.id.clone(), grade.name.clone())).collect()
}

/// A grade by its id; otherwise an error that suggests the grade meant, by id or by words.
pub(super) fn known_grade(terminal: &Terminal, text: &str) -> Result<String, String> {
    let tree = terminal.world.host().catalogue().grades();
    if tree.get(text).is_some() {
        return Ok(text.to_owned());
    }
    let found: Vec<&str> = tree.search(text).into_iter().take(6).map(|grade| grade.id.as_str()).collect();
    let hint = match (tree.nearest(text), found.is_empty()) {
        (Some(near), _) => format!("did you mean `{near}`?"),
        (None, false) => format!("there is {}", found.join(", ")),
        (None, true) => "`show grades` lists all".to_owned(),
    };
    Err(format!("there is no grade `{}`; {hint}", text.escape_debug()))
}

pub(super) fn hazard_words(terminal: &Terminal) -> Vec<(String, String)> {
    terminal.world.host().catalogue().hazards().iter().map(|hazard| (hazard.id.clone(), hazard.name.clone())).collect()
}

pub(super) fn hazards_in(terminal: &Terminal, text: &str) -> Result<Vec<String>, String> {
    let book = terminal.world.host().catalogue().hazards();
    let ids = text.split(',').map(str::trim).filter(|id| !id.is_empty());
    ids.map(|id| match book.get(id) {
        Some(_) => Ok(id.to_owned()),
        None => {
            let hint = nearest(id, book.ids()).map_or_else(
                || "`show hazards` lists all".to_owned(),
                |_| suggest(id, book.ids().collect::<Vec<_>>().into_iter()),
            );
            Err(format!("there is no hazard `{}`; {hint}", id.escape_debug()))
        }
    })
    .collect()
}
