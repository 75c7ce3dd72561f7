//! `discard`: sets a mistaken session aside, and restores it.

use clap::{Arg, ArgAction, ArgMatches, Command};

use super::options::{self, text};
use super::{Code, Outcome};
use crate::shell::discard::{agree_to_discard, discarded};
use crate::shell::ink::Ink;
use crate::shell::terminal::Terminal;

pub(super) fn declare() -> Command {
    Command::new("discard")
        .about("Set a mistaken session aside, so that it counts nowhere; or bring it back")
        .after_help("Nothing is erased: its journal says so in one more entry. Examples: discard oven-1 · discard oven-1 --bring-back")
        .arg(options::session().required(true).help("The session, by its name or a part of it"))
        .arg(
            Arg::new("bring-back")
                .long("bring-back")
                .action(ArgAction::SetTrue)
                .help("Let a session that was set aside count again"),
        )
}

pub(super) fn run(terminal: &mut Terminal, matches: &ArgMatches) -> Outcome {
    let id = terminal.world.session_id(text(matches, "session").unwrap_or_default())?;
    let back = matches.get_flag("bring-back");
    let agrees = back || terminal.world.is_discarded(&id)? || agree_to_discard(terminal, id.as_str(), false)?;
    if !agrees {
        terminal.say(Ink::Plain, "Nothing is changed.");
        return Ok(Code::Done);
    }
    if let Some(path) = terminal.world.discard(&id, back)? {
        terminal.say_aside(&format!("warning: an entry that was never finished was moved to {}", path.display()));
    }
    let said = if back { format!("{id} is back: it counts again.") } else { discarded(id.as_str()) };
    terminal.say(Ink::Plain, &said);
    Ok(Code::Done)
}
