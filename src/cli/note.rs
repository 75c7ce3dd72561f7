//! `note`: adds a remark to a session, even after its end.

use clap::{Arg, ArgMatches, Command};

use super::options::{self, text};
use super::{Code, Outcome};
use crate::shell::ink::Ink;
use crate::shell::terminal::Terminal;

pub(super) fn declare() -> Command {
    Command::new("note")
        .about("Keep a remark with a session, also after its end; its words that begin with # are tags")
        .after_help("Example: note oven-1 '#garage shell was rusty'")
        .arg(options::session().required(true).help("The session, by its name or a part of it"))
        .arg(Arg::new("text").value_name("TEXT").required(true).num_args(1..).help("The remark"))
}

pub(super) fn run(terminal: &mut Terminal, matches: &ArgMatches) -> Outcome {
    let words: Vec<&str> = matches.get_many::<String>("text").into_iter().flatten().map(String::as_str).collect();
    let (id, torn) = terminal.world.add_note(text(matches, "session").unwrap_or_default(), &words.join(" "))?;
    if let Some(path) = torn {
        terminal.say_aside(&format!("warning: an entry that was never finished was moved to {}", path.display()));
    }
    terminal.say(Ink::Plain, &format!("Noted in {id}."));
    Ok(Code::Done)
}
