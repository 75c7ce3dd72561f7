//! From the process arguments to a command, and from its result to an exit code.

use std::ffi::OsString;
use std::io::Write;
use std::path::PathBuf;

use clap::{ArgMatches, Command};

use super::options::{color_of, everywhere};
use super::{Code, VERBS, Verb, misread, tools};
use crate::shell::ink::{Ink, Page, sanitize};
use crate::shell::prompt::{self, Commands};
use crate::shell::terminal::{Flags, Surroundings, Terminal, unwritten};
use crate::shell::welcome;
use crate::store::Home;
use crate::store::home::{Shelf, platform_folder};
use crate::world::{AppError, Clock, FixedClock, SystemClock, World};

/// Exit codes, for help and man page.
const CODES: &str = "Exit codes: 0 done · 1 failed (file, folder, damaged journal) · 2 not understood, or no such name · \
                     3 a script is at fault · 4 an answer is missing or is none · 5 session laid aside · \
                     143 and 129 ended by the system";

/// The whole command line, including the commands of tools.
pub(super) fn whole_with(tools: impl IntoIterator<Item = Command>) -> Command {
    tools.into_iter().fold(whole(), Command::subcommand)
}

/// The command line without tools: reading those takes a moment, and most commands need none.
pub(super) fn whole() -> Command {
    let mut command = Command::new("knockdown")
        .version(env!("CARGO_PKG_VERSION"))
        .about("Take discarded appliances apart by recipe, safely, and see what it nets at your yard")
        .after_help(CODES)
        .disable_help_subcommand(true)
        .args(everywhere());
    for verb in VERBS {
        command = command.subcommand((verb.declare)());
    }
    command
}

/// Runs the program with its arguments and environment; returns the exit code.
pub fn main(arguments: impl IntoIterator<Item = OsString>, variable: impl Fn(&str) -> Option<OsString>) -> u8 {
    let arguments: Vec<OsString> = arguments.into_iter().collect();
    let matches = match read(whole(), &arguments, || commands_at(&arguments, &variable)) {
        Ok(matches) => matches,
        Err(error) => {
            let text = harmless(&error.to_string());
            let code = if error.use_stderr() { Code::Usage } else { Code::Done };
            return match code {
                Code::Done => print(&text),
                // If standard error cannot be written either, the exit code still tells.
                _ => std::io::stderr().write_all(text.as_bytes()).map_or(code, |()| code),
            } as u8;
        }
    };
    match terminal(&matches, &variable) {
        Ok(mut terminal) => code(&mut terminal, &matches) as u8,
        Err(error) => {
            complain(&error);
            Code::of(&error) as u8
        }
    }
}

/// Prints help and the like, for which no terminal is set up.
fn print(text: &str) -> Code {
    let mut out = std::io::stdout().lock();
    let error = out.write_all(text.as_bytes()).and_then(|()| out.flush()).err();
    error.as_ref().and_then(unwritten).map_or(Code::Done, |error| {
        complain(&error);
        Code::Failed
    })
}

fn complain(error: &AppError) {
    let _unheard = writeln!(std::io::stderr(), "{}", harmless(&format!("error: {error}")));
}

/// Parses a command line; builds the tools' commands only if the others do not match.
fn read(bare: Command, words: &[OsString], tools: impl FnOnce() -> Vec<Command>) -> Result<ArgMatches, clap::Error> {
    let with_tools = bare.clone();
    bare.try_get_matches_from(words)
        .or_else(|_| tools().into_iter().fold(with_tools, Command::subcommand).try_get_matches_from(words))
}

/// The commands of the tools in the folder that the arguments or the environment name. Empty if the folder cannot be
/// read: the command itself reports that.
fn commands_at(arguments: &[OsString], variable: &impl Fn(&str) -> Option<OsString>) -> Vec<Command> {
    let mut words = arguments.iter();
    let mut flag = None;
    while let Some(word) = words.next() {
        match word.to_str() {
            Some("--home") => flag = words.next().map(PathBuf::from),
            Some(word) => flag = word.strip_prefix("--home=").map(PathBuf::from).or(flag),
            None => {}
        }
    }
    let root = Home::choose(flag.as_deref(), variable("KNOCKDOWN_HOME").as_deref(), platform_folder());
    let world = root.map(|root| World::without_settings(Home::at(&root), Box::new(SystemClock)));
    world.map(|world| tools::commands(&world)).unwrap_or_default()
}

/// A multi-line text that may repeat user input, made safe to show.
pub(super) fn harmless(text: &str) -> String {
    text.split('\n').map(sanitize).collect::<Vec<_>>().join("\n")
}

fn code(terminal: &mut Terminal, matches: &ArgMatches) -> Code {
    let code = match matches.subcommand_name() {
        Some(_) => dispatch(terminal, matches),
        None => prompt::run(terminal, &Table).map_or_else(
            |error| {
                terminal.error(&AppError::Refused(format!("the terminal cannot be read: {error}")));
                Code::Failed
            },
            |()| Code::Done,
        ),
    };
    terminal.unwritten().map_or(code, |error| {
        terminal.error(&error);
        Code::Failed
    })
}

/// Runs the command that was named and shows its error.
fn dispatch(terminal: &mut Terminal, matches: &ArgMatches) -> Code {
    let Some((name, matches)) = matches.subcommand() else { return Code::Usage };
    let outcome = match verb_of(name) {
        Some(verb) => (verb.run)(terminal, matches),
        None => tools::work(terminal, name, matches),
    };
    terminal.flush_notices();
    terminal.world.end_command();
    terminal.talk_aside(false);
    match outcome {
        Ok(code) => code,
        Err(error) => {
            terminal.error(&error);
            Code::of(&error)
        }
    }
}

fn verb_of(name: &str) -> Option<&'static Verb> {
    VERBS.iter().find(|verb| (verb.declare)().get_name() == name)
}

fn terminal(matches: &ArgMatches, variable: &impl Fn(&str) -> Option<OsString>) -> Result<Terminal, AppError> {
    let text = |name: &str| variable(name).and_then(|value| value.into_string().ok()).filter(|value| !value.is_empty());
    let flag = matches.get_one::<PathBuf>("home").cloned();
    let root = Home::choose(flag.as_deref(), variable("KNOCKDOWN_HOME").as_deref(), platform_folder())?;
    let clock = || clock(text("KNOCKDOWN_CLOCK").as_deref());
    let bare = || matches.subcommand_name().and_then(verb_of).is_some_and(|verb| verb.without_settings);
    let mut world = match World::new(Home::at(&root), clock()?) {
        Err(_) if bare() => World::without_settings(Home::at(&root), clock()?),
        world => world?,
    };
    world.is_command = tools::is_ours;
    let wishes =
        Flags { plain: matches.get_flag("plain"), color: color_of(matches), no_input: matches.get_flag("no-input") };
    let around = Surroundings {
        no_color: text("NO_COLOR").is_some(),
        dumb: text("TERM").as_deref() == Some("dumb"),
        columns: text("COLUMNS").and_then(|columns| columns.parse().ok()).filter(|columns| *columns > 0),
    };
    Ok(Terminal::new(world, wishes, &around))
}

/// The system clock, or one fixed at `KNOCKDOWN_CLOCK`, so that a demonstration or a test always shows the same.
fn clock(fixed: Option<&str>) -> Result<Box<dyn Clock>, AppError> {
    let Some(text) = fixed else { return Ok(Box::new(SystemClock)) };
    match text.parse() {
        Ok(instant) => Ok(Box::new(FixedClock(instant))),
        Err(_) => Err(AppError::Refused(format!(
            "KNOCKDOWN_CLOCK is {text:?}; write an instant such as 2026-11-02T10:00:00Z, or unset it"
        ))),
    }
}

/// The names of all commands, including those of tools.
fn names(world: &World) -> Vec<String> {
    let own = VERBS.iter().map(|verb| (verb.declare)().get_name().to_owned());
    let tools = tools::listed(world).unwrap_or_default().into_iter().map(|tool| tool.id);
    own.chain(["quit".to_owned()]).chain(tools).collect()
}

/// The table of commands as the shell sees it.
struct Table;

impl Commands for Table {
    fn run(&self, terminal: &mut Terminal, line: &str) -> bool {
        if line.is_empty() {
            return true;
        }
        if matches!(line, "quit" | "exit") {
            return false;
        }
        let line = if line == "?" { "help" } else { line };
        let Some(words) = shlex::split(line) else {
            terminal.error(&AppError::Refused("a quotation mark is not closed".into()));
            return true;
        };
        let typed: Vec<OsString> = words.iter().map(OsString::from).collect();
        match read(whole().no_binary_name(true), &typed, || tools::commands(&terminal.world)) {
            Ok(matches) => drop(dispatch(terminal, &matches)),
            Err(error) => match misread::line(&terminal.world, &error, &words, &names(&terminal.world)) {
                Some(line) => terminal.say(Ink::Caution, &line),
                None => terminal.put(&harmless(&error.to_string())),
            },
        }
        true
    }

    fn welcome(&self, terminal: &Terminal) -> Page {
        welcome::page(&terminal.world)
    }

    fn words(&self, terminal: &Terminal) -> Vec<(String, String)> {
        let commands = whole();
        let about = |command: &Command| command.get_about().map(ToString::to_string).unwrap_or_default();
        let mut words: Vec<_> = commands.get_subcommands().map(|c| (c.get_name().to_owned(), about(c))).collect();
        let tools = tools::listed(&terminal.world).unwrap_or_default();
        words.extend(tools.iter().map(|tool| (tool.id.clone(), tool.name().to_owned())));
        for (shelf, noun) in [(Shelf::Recipes, "recipe"), (Shelf::Yards, "yard")] {
            let ids = terminal.world.ids(shelf).unwrap_or_default();
            words.extend(ids.into_iter().map(|id| (id, noun.to_owned())));
        }
        let sessions = terminal.world.home.sessions().map(|list| list.ids).unwrap_or_default();
        words.extend(sessions.iter().rev().take(50).map(|id| (id.to_string(), "session".to_owned())));
        words
    }
}
