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
        .about("Play a recipe's test session and compare with what it should come to; without a name, all that have one")
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
