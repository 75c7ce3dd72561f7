//! `tally`: what a session brought, at any yard and on any day.

use clap::{ArgMatches, Command};

use super::options::{self, date_of, text};
use super::{Code, Outcome};
use crate::sessions::Session;
use crate::shell::format::Format;
use crate::shell::terminal::Terminal;
use crate::shell::{page, tally};

pub(super) fn declare() -> Command {
    Command::new("tally")
        .about("Show what a session is worth by estimate, at its own yard or another")
        .arg(options::session())
        .arg(options::yard())
        .arg(options::date())
        .arg(options::format(&["text", "json", "csv", "markdown"]))
}

pub(super) fn run(terminal: &mut Terminal, matches: &ArgMatches) -> Outcome {
    let yard = text(matches, "yard").map(|word| terminal.world.yard_id(Some(word))).transpose()?;
    let word = text(matches, "session").unwrap_or_default();
    let (session, seen) = Session::look(&terminal.world, word, yard.as_deref(), date_of(matches))?;
    let format = options::format_of(matches);
    let discarded = session.why_not_counted().filter(|_| format != Format::Text);
    for remark in seen.remarks {
        terminal.say_aside(&format!("warning: {}: {remark}", session.id()));
    }
    if let Some(remark) = discarded {
        terminal.say_aside(&format!("warning: {remark}"));
    }
    if format == Format::Text {
        terminal.show(&page::ending(&terminal.world, &session));
        terminal.blank_line();
    }
    tally::write(terminal, &session, format)?;
    Ok(if seen.damaged { Code::Failed } else { Code::Done })
}
