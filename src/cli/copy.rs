//! `copy`: a shipped script into the person's folder, to edit.

use clap::{Arg, ArgMatches, Command};

use super::options::text;
use super::{Code, Outcome};
use crate::app::AppError;
use crate::shell::face::Face;
use crate::shell::ink::Ink;
use crate::store::home::Shelf;

pub(super) fn declare() -> Command {
    Command::new("copy").about("Copy a shipped recipe or yard into your folder, to edit").arg(
        Arg::new("name").value_name("NAME").required(true).help("A recipe or a yard, by its id or a part of its name"),
    )
}

pub(super) fn run(face: &mut Face, matches: &ArgMatches) -> Outcome {
    let word = text(matches, "name").unwrap_or_default();
    let recipe = face.world.pick_one(Shelf::Recipes, word);
    let yard = face.world.pick_one(Shelf::Yards, word);
    let (shelf, id) = match (recipe, yard) {
        (Ok(id), Err(_)) => (Shelf::Recipes, id),
        (Err(_), Ok(id)) => (Shelf::Yards, id),
        (Ok(recipe), Ok(yard)) if recipe == word && yard != word => (Shelf::Recipes, recipe),
        (Ok(recipe), Ok(yard)) if yard == word && recipe != word => (Shelf::Yards, yard),
        (Ok(recipe), Ok(yard)) => {
            return Err(AppError::Name(format!(
                "`{word}` can mean the recipe {recipe} or the yard {yard}; write the whole id"
            )));
        }
        (Err(error), Err(_)) => return Err(error),
    };
    let path = face.world.copy_script(shelf, &id)?;
    face.say(Ink::Plain, &format!("Copied to {}", path.display()));
    face.say(Ink::Plain, "It is used in place of the shipped one from here on.");
    Ok(Code::Done)
}
