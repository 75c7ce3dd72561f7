//! `test`: plays the test session of a recipe and shows what comes out otherwise than expected.

use clap::{Arg, ArgAction, ArgMatches, Command};

use super::options::{self, text};
use super::{Code, Outcome};
use crate::app::AppError;
use crate::shell::face::Face;
use crate::shell::ink::Ink;
use crate::shell::offer;
use crate::store::home::Shelf;

pub(super) fn declare() -> Command {
    Command::new("test")
        .about("Play a recipe's test session, or run a tool's examples, and compare with what it should come to; without a name, all")
        .after_help("Your settings and quotes are left out, so that a test comes to the same everywhere. Nothing is written but by --update.")
        .arg(options::recipe())
        .arg(
            Arg::new("update")
                .long("update")
                .action(ArgAction::SetTrue)
                .requires("recipe")
                .help("Write what it comes to into the test session of your recipe"),
        )
}

pub(super) fn run(face: &mut Face, matches: &ArgMatches) -> Outcome {
    if let Some(id) = text(matches, "recipe").filter(|word| is_tool(face, word)) {
        return tools(face, &[id.to_owned()]);
    }
    let all = text(matches, "recipe").is_none();
    let recipes = match text(matches, "recipe") {
        Some(word) => vec![face.world.pick_one(Shelf::Recipes, word)?],
        None => face.world.ids(Shelf::Recipes)?.into_iter().filter(|id| face.world.has_test_session(id)).collect(),
    };
    if matches.get_flag("update") {
        for id in &recipes {
            let report = face.world.update_test(id)?;
            face.show(&offer::test(id, &report));
            face.say(Ink::Plain, "That is what the test session expects from here on.");
        }
        return Ok(Code::Done);
    }
    let single = recipes.len() == 1;
    let mut worst = Code::Done;
    if all {
        worst = tools(face, &[face.world.ids(Shelf::Tools)?, face.world.ids(Shelf::Reports)?].concat())?;
    }
    for id in &recipes {
        match face.world.test(id) {
            Ok(report) => {
                face.show(&offer::test(id, &report));
                if !report.is_sound() {
                    worst = Code::Failed;
                }
            }
            Err(error) if single => return Err(error),
            Err(error) => {
                face.error(&error);
                worst = if matches!(error, AppError::Script(_)) { Code::Script } else { Code::Failed };
            }
        }
    }
    Ok(worst)
}

/// Whether a word is the id of a tool and of no recipe.
fn is_tool(face: &Face, word: &str) -> bool {
    let is_id = |shelf| face.world.ids(shelf).is_ok_and(|ids| ids.iter().any(|id| id == word));
    (is_id(Shelf::Tools) || is_id(Shelf::Reports)) && !is_id(Shelf::Recipes)
}

/// Runs the examples of tools.
fn tools(face: &Face, ids: &[String]) -> Outcome {
    let mut worst = Code::Done;
    for id in ids {
        let reports = match face.world.test_tool(id) {
            Ok(reports) => reports,
            Err(error) if ids.len() == 1 => return Err(error),
            Err(error) => {
                face.error(&error);
                worst = Code::Script;
                continue;
            }
        };
        face.show(&offer::examples(id, &reports));
        if reports.iter().any(|report| !report.differences.is_empty()) {
            worst = Code::Failed;
        }
    }
    Ok(worst)
}
