//! `resume`: takes a session up again where it was left.

use clap::{ArgMatches, Command};

use super::options::{self, date_of, text};
use super::{Outcome, bench};
use crate::app::{AppError, Session};
use crate::naming::counted;
use crate::shell::bench::reopen;
use crate::shell::face::Face;
use crate::shell::ink::Ink;
use crate::shell::page;

pub(super) fn declare() -> Command {
    Command::new("resume")
        .about("Take a session up again where it was left")
        .arg(options::session())
        .arg(options::yard())
        .arg(options::date())
        .arg(options::format(&["text", "json", "csv", "markdown"]))
}

pub(super) fn run(face: &mut Face, matches: &ArgMatches) -> Outcome {
    let word = text(matches, "session").unwrap_or_default();
    let yard = text(matches, "yard").map(|word| face.world.yard_id(Some(word))).transpose()?;
    let (mut session, recovery) = Session::resume(&face.world, word, yard.as_deref(), date_of(matches))?;
    face.talk_aside(options::format_of(matches) != options::Format::Text);
    let answered = session.run_result().asked.len();
    face.say(Ink::Plain, &format!("Session {} has {}.", session.id(), counted(answered, "answer")));
    if let Some(path) = &recovery.torn {
        face.say(Ink::Caution, &format!("An entry that was never finished was moved to {}.", path.display()));
    }
    if recovery.recipe_changed {
        face.say(
            Ink::Caution,
            "The recipe has changed since; answers that no longer fit are kept and listed at the end.",
        );
    }
    if !recovery.fault.is_empty() {
        face.error(&AppError::Script(recovery.fault));
        face.say(
            Ink::Caution,
            "The recipe is at fault; the copy that the session ran under is used. Correct it, then type reread.",
        );
    } else if recovery.from_copy {
        face.say(Ink::Caution, "The recipe is gone; the copy that the session ran under is used.");
    }
    face.show(&page::steps(&session));
    if session.has_ended() && face.may_ask {
        reopen(face, &mut session)?;
    }
    bench::finish(face, &mut session, matches)
}
