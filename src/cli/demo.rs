//! `demo`: plays a shipped test session to its tally. Asks nothing and writes nothing.

use std::path::PathBuf;

use clap::{ArgMatches, Command};

use super::options::{self, date_of, text};
use super::{Outcome, bench};
use crate::sessions::Session;
use crate::shell::format::Format;
use crate::shell::ink::Ink;
use crate::shell::terminal::Terminal;
use crate::store::home::Shelf;

/// The recipe that is played when none is named.
const FIRST: &str = "countertop-oven";

pub(super) fn declare() -> Command {
    Command::new("demo")
        .about("Play a recipe's test session to its tally; asks nothing, writes nothing")
        .arg(options::recipe())
        .arg(options::yard())
        .arg(options::date())
        .arg(options::format(&["text", "json", "csv", "markdown"]))
}

pub(super) fn run(terminal: &mut Terminal, matches: &ArgMatches) -> Outcome {
    let recipe = terminal.world.pick_one(Shelf::Recipes, text(matches, "recipe").unwrap_or(FIRST))?;
    let demo = terminal.world.test_session(&recipe)?;
    let yard = terminal.world.yard_id(text(matches, "yard").or(demo.yard.as_deref()))?;
    let date = date_of(matches).or(demo.date);
    let mut session = Session::rehearse(&terminal.world, &recipe, &yard, date)?;
    if options::format_of(matches) == Format::Text {
        terminal.say(Ink::Heading, &session.recipe().unit().name.clone());
        terminal.say(Ink::Faint, "A demonstration: unit, weights and yard are invented. Nothing is written.");
        terminal.blank_line();
    }
    bench::finish_played(terminal, &mut session, &demo, &PathBuf::from(format!("{recipe}.session.toml")), matches)
}
