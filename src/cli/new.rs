//! `new`: writes a first version of a recipe, yard or tool from a few questions.

use clap::{Arg, ArgMatches, Command};

use super::options::text;
use super::{Code, Outcome};
use crate::shell::ink::Ink;
use crate::shell::sketch;
use crate::shell::terminal::Terminal;
use crate::store::home::Shelf;
use crate::world::AppError;

pub(super) fn declare() -> Command {
    Command::new("new")
        .about("Write a first version of a recipe, yard or tool into your folder, from a few questions")
        .after_help(
            "The answers can also come from a pipe, a line each, in the order of the questions.\n\
             A CSV of prices has a head row: name, price; grade and at_least where known.\n\
             Examples: new recipe · new tool · new yard · new yard --csv list.csv · new yard --like bluegum-siding",
        )
        .arg(
            Arg::new("kind")
                .value_name("KIND")
                .required(true)
                .value_parser(["recipe", "yard", "tool"])
                .help("recipe, yard or tool"),
        )
        .arg(Arg::new("csv").long("csv").value_name("FILE").help("A yard's price list from a file"))
        .arg(
            Arg::new("like")
                .long("like")
                .value_name("YARD")
                .conflicts_with("csv")
                .help("Copy prices and habits of a yard that you have, under another name"),
        )
}

pub(super) fn run(terminal: &mut Terminal, matches: &ArgMatches) -> Outcome {
    if text(matches, "kind") == Some("yard") {
        let (id, script) = match (text(matches, "like"), text(matches, "csv")) {
            (Some(model), _) => sketch::yard_like(terminal, model)?,
            (None, list) => sketch::yard(terminal, list)?,
        };
        let path = terminal.world.write_new(Shelf::Yards, &id, &script)?;
        terminal.say(Ink::Good, &format!("Written: {}", path.display()));
        terminal.say(Ink::Plain, &format!("Next: edit it; then show {id}, and settings yard {id}"));
    } else if matches.contains_id("like") || matches.contains_id("csv") {
        return Err(AppError::Refused("--like and --csv are for a new yard".to_owned()));
    } else if text(matches, "kind") == Some("tool") {
        let sketch = sketch::tool(terminal)?;
        let path = terminal.world.write_new(Shelf::Tools, &sketch.id, &sketch.script(&terminal.world)?)?;
        terminal.say(Ink::Good, &format!("Written: {}", path.display()));
        terminal.say(
            Ink::Plain,
            &format!("It is the command {0} from here on. Next: edit it; then check {0}, and test {0}", sketch.id),
        );
    } else {
        let sketch = sketch::recipe(terminal)?;
        let path = terminal.world.write_new(
            Shelf::Recipes,
            &sketch.id,
            &sketch.script(terminal.world.host().catalogue().grades()),
        )?;
        terminal.say(Ink::Good, &format!("Written: {}", path.display()));
        terminal.say(Ink::Plain, &format!("Next: edit it; then check {0}, and bench {0}", sketch.id));
    }
    Ok(Code::Done)
}
