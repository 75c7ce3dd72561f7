//! `test`: plays the test session of a recipe and shows what comes out otherwise than expected.

use clap::{Arg, ArgAction, ArgMatches, Command};

use super::options::text;
use super::{Code, Outcome};
use crate::app::AppError;
use crate::shell::face::Face;
use crate::shell::ink::Ink;
use crate::shell::offer;
use crate::store::home::Shelf;

/// Scripts that have tests.
const TESTED: [Shelf; 3] = [Shelf::Recipes, Shelf::Tools, Shelf::Reports];

pub(super) fn declare() -> Command {
    Command::new("test")
        .about("Play a recipe's test session, or run a tool's examples, and compare with what it should come to; without a name, all")
        .after_help("Your settings and quotes are left out, so that a test comes to the same everywhere. Nothing is written but by --update.")
        .arg(
            Arg::new("recipe")
                .value_name("NAME")
                .help("A recipe, by its id or a part of its name; a tool by its id [else all]"),
        )
        .arg(
            Arg::new("update")
                .long("update")
                .action(ArgAction::SetTrue)
                .requires("recipe")
                .help("Write what it comes to into the test session of your recipe"),
        )
}

pub(super) fn run(face: &mut Face, matches: &ArgMatches) -> Outcome {
    let named = text(matches, "recipe").map(|word| face.world.named(&TESTED, word)).transpose()?;
    let recipes = match named {
        Some((Shelf::Tools | Shelf::Reports, id)) if matches.get_flag("update") => {
            let message = format!("the tests of {id} are the examples in its script; write there what they come to");
            return Err(AppError::Refused(message));
        }
        Some((Shelf::Tools | Shelf::Reports, id)) => return tools(face, &[id]),
        Some((_, id)) => vec![id],
        None => face.world.ids(Shelf::Recipes)?.into_iter().filter(|id| face.world.has_test_session(id)).collect(),
    };
    let all = text(matches, "recipe").is_none();
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
