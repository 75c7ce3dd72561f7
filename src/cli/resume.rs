//! `resume`: continues a paused session.

use clap::{ArgMatches, Command};

use super::options::{self, date_of, text};
use super::{Outcome, bench};
use crate::naming::counted;
use crate::sessions::Session;
use crate::shell::bench::reopen;
use crate::shell::format::Format;
use crate::shell::ink::Ink;
use crate::shell::page;
use crate::shell::terminal::Terminal;
use crate::world::AppError;

pub(super) fn declare() -> Command {
    Command::new("resume")
        .about("Take a session up again where it was left")
        .arg(options::session())
        .arg(options::yard())
        .arg(options::date())
        .arg(options::format(&["text", "json", "csv", "markdown"]))
}

pub(super) fn run(terminal: &mut Terminal, matches: &ArgMatches) -> Outcome {
    let word = text(matches, "session").unwrap_or_default();
    let yard = text(matches, "yard").map(|word| terminal.world.yard_id(Some(word))).transpose()?;
    let (mut session, recovery) = Session::resume(&terminal.world, word, yard.as_deref(), date_of(matches))?;
    terminal.talk_aside(options::format_of(matches) != Format::Text);
    let answered = session.run_result().asked.len();
    terminal.say(Ink::Plain, &format!("Session {} has {}.", session.id(), counted(answered, "answer")));
    if let Some(path) = &recovery.torn {
        terminal.say(Ink::Caution, &format!("An entry that was never finished was moved to {}.", path.display()));
    }
    if recovery.recipe_changed {
        terminal.say(
            Ink::Caution,
            "The recipe has changed since; answers that no longer fit are kept and listed at the end.",
        );
    }
    if !recovery.fault.is_empty() {
        terminal.error(&AppError::Script(recovery.fault));
        terminal.say(
            Ink::Caution,
            "The recipe is at fault; the copy that the session ran under is used. Correct it, then type reread.",
        );
    } else if recovery.from_copy {
        terminal.say(Ink::Caution, "The recipe is gone; the copy that the session ran under is used.");
    }
    terminal.show(&page::steps(&session));
    if session.has_ended() && terminal.may_ask {
        reopen(terminal, &mut session)?;
    }
    bench::finish(terminal, &mut session, matches)
}
