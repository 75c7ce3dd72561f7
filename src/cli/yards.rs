//! `yards`: lists yards.

use clap::{ArgMatches, Command};

use super::Outcome;
use super::options;
use crate::shell::terminal::Terminal;
use crate::shell::yard_page;
use crate::store::home::Shelf;

pub(super) fn declare() -> Command {
    Command::new("yards").about("List yards").arg(options::format(&["text", "json"]))
}

pub(super) fn run(terminal: &mut Terminal, matches: &ArgMatches) -> Outcome {
    let listed = terminal.world.listed(Shelf::Yards)?;
    let current = terminal.world.yard_id(None)?;
    options::write_as(
        terminal,
        options::format_of(matches),
        || yard_page::list(&terminal.world, &listed, &current),
        || yard_page::list_json(&terminal.world, &listed, &current),
    )
}
