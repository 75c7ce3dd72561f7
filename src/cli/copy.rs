//! `copy`: copies a shipped script into the user's folder, for editing.

use clap::{Arg, ArgAction, ArgMatches, Command};

use super::options::text;
use super::{Code, NAMED, Outcome};
use crate::sessions::history::{Archive, learned_copy};
use crate::shell::history::layout::PageLayout;
use crate::shell::history::learned;
use crate::shell::ink::Ink;
use crate::shell::terminal::Terminal;

pub(super) fn declare() -> Command {
    let flag = |name: &'static str, help: &'static str| Arg::new(name).long(name).action(ArgAction::SetTrue).help(help);
    Command::new("copy")
        .about("Copy a shipped recipe, yard or tool into your folder, to edit")
        .arg(
            Arg::new("name")
                .value_name("NAME")
                .required(true)
                .help("A recipe or a yard, by its id or a part of its name; a tool or a report by its id"),
        )
        .arg(flag("learned", "A recipe with the weights that your sessions suggest"))
        .arg(flag("replace", "With --learned: in place of your own copy, whose text is kept").requires("learned"))
}

/// Writes a recipe with learned weights into the user's folder, and shows what changed.
fn copy_learned(terminal: &Terminal, word: &str, replace: bool) -> Outcome {
    let archive = Archive::new(&terminal.world)?;
    let rewritten = learned_copy(&archive, word)?;
    let path = terminal.world.keep_learned(&rewritten, replace)?;
    let (_, yard) = terminal.world.yard(&terminal.world.yard_id(None)?)?;
    terminal.show(&learned::page(&rewritten, &path, terminal.world.unit(&yard)?, PageLayout::of(terminal)));
    for (id, why) in &rewritten.lapses {
        terminal.say_aside(&format!("warning: {id} is left out: {why}"));
    }
    Ok(if rewritten.lapses.is_empty() { Code::Done } else { Code::Failed })
}

pub(super) fn run(terminal: &mut Terminal, matches: &ArgMatches) -> Outcome {
    let word = text(matches, "name").unwrap_or_default();
    if matches.get_flag("learned") {
        return copy_learned(terminal, word, matches.get_flag("replace"));
    }
    let (shelf, id) = terminal.world.named(&NAMED, word)?;
    for path in terminal.world.copy_script(shelf, &id)? {
        terminal.say(Ink::Plain, &format!("Copied to {}", path.display()));
    }
    terminal.say(Ink::Plain, "It is used in place of the shipped one from here on.");
    Ok(Code::Done)
}
