//! `help`: help for a command; and `help now`, the emergency cards.

use clap::{Arg, ArgMatches, Command};

use super::run::{harmless, whole, whole_with};
use super::{Code, Outcome, tools};
use crate::naming::suggest;
use crate::shell::emergency::wanted;
use crate::shell::ink::Page;
use crate::shell::terminal::Terminal;
use crate::world::AppError;

pub(super) fn declare() -> Command {
    Command::new("help")
        .about("Explain a command; help now: after an accident, call for help, and what to do first")
        .after_help("Examples: help bench · help now · help now burn")
        .arg(Arg::new("words").value_name("WHAT").num_args(0..).help("A command; or: now, and what happened"))
}

pub(super) fn run(terminal: &mut Terminal, matches: &ArgMatches) -> Outcome {
    let words: Vec<&str> = matches.get_many::<String>("words").into_iter().flatten().map(String::as_str).collect();
    if let Some(what) = wanted(&format!("help {}", words.join(" "))) {
        let lost = |error| AppError::Refused(format!("the terminal cannot be read: {error}"));
        return terminal.help_now(&what, &Page::new()).map(|()| Code::Done).map_err(lost);
    }
    let is_own = |word: &&str| whole().find_subcommand(word).is_some();
    let mut command =
        if words.first().is_some_and(is_own) { whole() } else { whole_with(tools::commands(&terminal.world)) };
    command.build();
    let mut found = &mut command;
    for word in words {
        let near = suggest(word, found.get_subcommands().map(Command::get_name).collect::<Vec<_>>().into_iter());
        let unknown = || AppError::Name(format!("`{}` is no command; {near}", word.escape_debug()));
        found = found.find_subcommand_mut(word).ok_or_else(unknown)?;
    }
    terminal.put(&harmless(&found.render_long_help().to_string()));
    Ok(Code::Done)
}
