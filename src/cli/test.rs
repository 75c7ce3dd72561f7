//! `test`: plays a recipe's test session and shows any difference from the expected result.

use clap::{Arg, ArgAction, ArgMatches, Command};

use super::options::text;
use super::{Code, Outcome};
use crate::shell::ink::Ink;
use crate::shell::offer;
use crate::shell::terminal::Terminal;
use crate::store::home::Shelf;
use crate::world::AppError;

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

pub(super) fn run(terminal: &mut Terminal, matches: &ArgMatches) -> Outcome {
    let named = text(matches, "recipe").map(|word| terminal.world.named(&TESTED, word)).transpose()?;
    let recipes = match named {
        Some((Shelf::Tools | Shelf::Reports, id)) if matches.get_flag("update") => {
            let message = format!("the tests of {id} are the examples in its script; write there what they come to");
            return Err(AppError::Refused(message));
        }
        Some((Shelf::Tools | Shelf::Reports, id)) => return tools(terminal, &[id]),
        Some((_, id)) => vec![id],
        None => {
            terminal.world.ids(Shelf::Recipes)?.into_iter().filter(|id| terminal.world.has_test_session(id)).collect()
        }
    };
    let all = text(matches, "recipe").is_none();
    if matches.get_flag("update") {
        for id in &recipes {
            let report = terminal.world.update_test(id)?;
            terminal.show(&offer::test(id, &report));
            terminal.say(Ink::Plain, "That is what the test session expects from here on.");
        }
        return Ok(Code::Done);
    }
    let single = recipes.len() == 1;
    let mut worst = Code::Done;
    if all {
        worst = tools(terminal, &[terminal.world.ids(Shelf::Tools)?, terminal.world.ids(Shelf::Reports)?].concat())?;
    }
    for id in &recipes {
        match terminal.world.test(id) {
            Ok(report) => {
                terminal.show(&offer::test(id, &report));
                if !report.is_sound() {
                    worst = Code::Failed;
                }
            }
            Err(error) if single => return Err(error),
            Err(error) => {
                terminal.error(&error);
                worst = if matches!(error, AppError::Script(_)) { Code::Script } else { Code::Failed };
            }
        }
    }
    Ok(worst)
}

/// Runs the examples of tools.
fn tools(terminal: &Terminal, ids: &[String]) -> Outcome {
    let mut worst = Code::Done;
    for id in ids {
        let reports = match terminal.world.test_tool(id) {
            Ok(reports) => reports,
            Err(error) if ids.len() == 1 => return Err(error),
            Err(error) => {
                terminal.error(&error);
                worst = Code::Script;
                continue;
            }
        };
        terminal.show(&offer::examples(id, &reports));
        if reports.iter().any(|report| !report.differences.is_empty()) {
            worst = Code::Failed;
        }
    }
    Ok(worst)
}
