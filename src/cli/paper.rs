//! Completions and the man page, generated from the declarations of the commands.

use clap::{Arg, ArgMatches, Command, value_parser};
use clap_complete::Shell;

use super::run::whole_with;
use super::{Code, Outcome, tools};
use crate::shell::terminal::Terminal;
use crate::world::AppError;

pub(super) fn declare_completions() -> Command {
    Command::new("completions").about("Write completions for a command shell").arg(
        Arg::new("shell").value_name("SHELL").required(true).value_parser(value_parser!(Shell)).help("Which shell"),
    )
}

pub(super) fn completions(terminal: &mut Terminal, matches: &ArgMatches) -> Outcome {
    let shell = matches.get_one::<Shell>("shell").copied().unwrap_or(Shell::Bash);
    let mut text = Vec::new();
    clap_complete::generate(shell, &mut whole_with(tools::commands(&terminal.world)), "knockdown", &mut text);
    terminal.put(&String::from_utf8_lossy(&text));
    Ok(Code::Done)
}

pub(super) fn declare_manual() -> Command {
    Command::new("manual").about("Write the man page")
}

pub(super) fn manual(terminal: &mut Terminal, _: &ArgMatches) -> Outcome {
    let whole = whole_with(tools::commands(&terminal.world));
    let mut text = Vec::new();
    let failed = |error: std::io::Error| AppError::Refused(format!("the man page: {error}"));
    clap_mangen::Man::new(whole.clone()).render(&mut text).map_err(failed)?;
    for command in whole.get_subcommands().filter(|command| command.get_name() != "help") {
        clap_mangen::Man::new(command.clone()).render_synopsis_section(&mut text).map_err(failed)?;
        clap_mangen::Man::new(command.clone()).render_options_section(&mut text).map_err(failed)?;
    }
    terminal.put(&String::from_utf8_lossy(&text));
    Ok(Code::Done)
}
