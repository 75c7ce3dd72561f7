//! `yards`: lists yards.

use clap::{ArgMatches, Command};

use super::options;
use super::{Code, Outcome};
use crate::shell::format::{Format, json_text};
use crate::shell::terminal::Terminal;
use crate::shell::yard_page;
use crate::store::home::Shelf;

pub(super) fn declare() -> Command {
    Command::new("yards").about("List yards").arg(options::format(&["text", "json"]))
}

pub(super) fn run(terminal: &mut Terminal, matches: &ArgMatches) -> Outcome {
    let listed = terminal.world.listed(Shelf::Yards)?;
    let current = terminal.world.yard_id(None)?;
    if options::format_of(matches) == Format::Json {
        terminal.put(&json_text(&yard_page::list_json(&terminal.world, &listed, &current))?);
    } else {
        terminal.show(&yard_page::list(&terminal.world, &listed, &current));
    }
    Ok(Code::Done)
}
