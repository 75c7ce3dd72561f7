//! `tools`, and the command for each bench tool: its options, help and completion come from the tool's declaration.

use std::ffi::OsStr;
use std::path::PathBuf;

use clap::builder::{PossibleValue, StringValueParser, TypedValueParser};
use clap::{Arg, ArgMatches, Command};

use super::options::{self, date_of, text};
use super::{Code, Outcome, VERBS};
use crate::authoring::{Answers, ToolAtYard};
use crate::naming::suggest;
use crate::shell::format::{Format, json_text};
use crate::shell::ink::Ink;
use crate::shell::terminal::Terminal;
use crate::shell::tool_page;
use crate::store::answers;
use crate::store::home::Shelf;
use crate::tool::{Example, GivenInput, Input, InputKind, Tool};
use crate::world::{AppError, ListedScript, World};

pub(super) fn declare() -> Command {
    Command::new("tools")
        .about("List bench tools and reports: each is a command, made by a script")
        .after_help(
            "A script in your folder `tools` or `reports` adds a command, or takes the place of the shipped one of its name.",
        )
        .arg(options::format(&["text", "json"]))
}

pub(super) fn run(terminal: &mut Terminal, matches: &ArgMatches) -> Outcome {
    let listed = listed(&terminal.world)?;
    let listed: Vec<(&ListedScript, Option<String>)> =
        listed.iter().map(|tool| (tool, trouble(&terminal.world, tool))).collect();
    options::write_as(
        terminal,
        options::format_of(matches),
        || tool_page::list(&listed),
        || tool_page::list_json(&listed),
    )
}

/// Tools, then reports, which are tools that read sessions.
pub(super) fn listed(world: &World) -> Result<Vec<ListedScript>, AppError> {
    let mut listed = world.listed(Shelf::Tools)?;
    let reports = world.listed(Shelf::Reports)?;
    let new: Vec<ListedScript> =
        reports.into_iter().filter(|report| listed.iter().all(|tool| tool.id != report.id)).collect();
    listed.extend(new);
    Ok(listed)
}

/// Whether one of the program's own commands has that name.
pub(super) fn is_ours(id: &str) -> bool {
    VERBS.iter().any(|verb| (verb.declare)().get_name() == id)
}

/// Why a tool cannot be used, if it cannot.
fn trouble(world: &World, listed: &ListedScript) -> Option<String> {
    if is_ours(&listed.id) {
        return Some(format!("`{}` is a command of the program's own; give the tool another id", listed.id));
    }
    listed.switched_off().or_else(|| world.tool(&listed.id).err().map(|error| error.to_string()))
}

/// The commands of tools. A tool that cannot be read becomes a hidden command that reports the reason.
pub(super) fn commands(world: &World) -> Vec<Command> {
    let listed = listed(world).unwrap_or_default();
    let usable = listed.iter().filter(|tool| !is_ours(&tool.id));
    usable
        .map(|listed| world.tool(&listed.id).map_or_else(|_| broken(&listed.id), |(_, tool)| command(&tool)))
        .collect()
}

/// A command that accepts any arguments and then reports what is wrong with its script.
fn broken(id: &str) -> Command {
    let rest = Arg::new("rest").num_args(0..).allow_hyphen_values(true).trailing_var_arg(true).hide(true);
    let shared = [options::yard(), options::date(), options::format(&["text", "json"])].map(|arg| arg.hide(true));
    Command::new(id.to_owned()).about("Cannot be used; `tools` says why").hide(true).arg(rest).args(shared)
}

/// The command for a tool.
fn command(tool: &Tool) -> Command {
    let examples: Vec<String> = tool.examples.iter().take(3).map(|example| written(tool, example)).collect();
    let mut help =
        String::from("What is given as an option is not asked; then what has a usual answer is not asked either.\n");
    if !examples.is_empty() {
        help.push_str(&format!("Examples:\n{}\n", examples.join("\n")));
    }
    tool.figures_from.iter().for_each(|text| help.push_str(&format!("Rests on: {text}\n")));
    let command = Command::new(tool.id.clone()).about(tool.title.clone()).after_help(help.trim_end().to_owned());
    let command = if tool.says.is_empty() {
        command
    } else {
        command.long_about(format!("{}\n\n{}", tool.title, tool.says.join("\n")))
    };
    command
        .args(tool.inputs.iter().map(option))
        .arg(Arg::new("answers").long("answers").value_name("FILE").value_parser(clap::value_parser!(PathBuf)).help(
            "A TOML file with an answer for each of these by its name, such as gauge = 14; then nothing is asked",
        ))
        .arg(options::yard())
        .arg(options::date())
        .arg(options::format(&["text", "json"]))
}

fn option(input: &Input) -> Arg {
    let takes = match &input.usual {
        Some(usual) => format!("{} ({}) [else {usual}]", input.question, input.takes()),
        None => format!("{} ({})", input.question, input.takes()),
    };
    let name = match &input.kind {
        Some(InputKind::Weight) => "WEIGHT",
        Some(InputKind::Number { .. } | InputKind::Count) => "NUMBER",
        Some(InputKind::Grade) => "GRADE",
        Some(InputKind::Price { .. }) => "PRICE",
        Some(InputKind::Choice { .. } | InputKind::YesNo) | None => "ANSWER",
    };
    let arg =
        Arg::new(input.key.clone()).long(input.key.clone()).value_name(name).allow_hyphen_values(true).help(takes);
    match &input.kind {
        Some(InputKind::YesNo) => arg.value_parser(Known(vec!["yes".to_owned(), "no".to_owned()])),
        Some(InputKind::Choice { options }) => arg.value_parser(Known(options.clone())),
        _ => arg,
    }
}

/// Answers for completion and help; any other text is left to the tool, which also accepts a prefix or the number of
/// one.
#[derive(Clone)]
struct Known(Vec<String>);

impl TypedValueParser for Known {
    type Value = String;

    fn parse_ref(&self, command: &Command, arg: Option<&Arg>, value: &OsStr) -> Result<String, clap::Error> {
        StringValueParser::new().parse_ref(command, arg, value)
    }

    fn possible_values(&self) -> Option<Box<dyn Iterator<Item = PossibleValue> + '_>> {
        Some(Box::new(self.0.iter().map(PossibleValue::new)))
    }
}

/// An example written as a command line.
fn written(tool: &Tool, example: &Example) -> String {
    let quoted = |text: &str| shlex::try_quote(text).map(|text| text.into_owned()).unwrap_or_default();
    let given = tool.inputs.iter().filter_map(|input| {
        let (_, text) = example.given.iter().find(|(key, _)| *key == input.key)?;
        Some(format!(" --{} {}", input.key, quoted(text)))
    });
    format!("  {}{}   # {}", tool.id, given.collect::<String>(), example.title)
}

/// Runs a tool: asks for what the options leave open, one question at a time.
pub(super) fn work(terminal: &Terminal, id: &str, matches: &ArgMatches) -> Outcome {
    let at = terminal.world.tool_at(id, text(matches, "yard"), date_of(matches))?;
    let as_json = options::format_of(matches) == Format::Json;
    terminal.talk_aside(as_json);
    let file: Option<&PathBuf> = matches.get_one("answers");
    let given = given(terminal, &at, matches, file)?;
    let may_ask = terminal.may_ask && file.is_none();
    if given.is_empty() && may_ask {
        terminal.show(&tool_page::head(&at));
    }
    let asks_all = given.is_empty() && may_ask;
    let mut answers = Answers::new();
    loop {
        fill(terminal, &at, &given, (may_ask, asks_all), &mut answers)?;
        let sheet = at.work_out(&answers)?;
        let Some((key, why)) = &sheet.refused else {
            let hazards = terminal.world.host().catalogue().hazards();
            if as_json {
                terminal.write_stdout(&json_text(&tool_page::json(&at, &answers, &sheet, hazards))?);
            } else {
                terminal.blank_line();
                terminal.show(&tool_page::sheet(&at, &sheet, hazards));
            }
            return Ok(Code::Done);
        };
        if !terminal.on_terminal || !may_ask || given.iter().any(|given| given.key == *key) {
            return Err(AppError::Answer(format!("`{key}`: {why}")));
        }
        terminal.say(Ink::Caution, &format!("Not taken: {why}"));
        forget(&at.tool, key, &mut answers);
    }
}

/// Removes an answer and all given after it: they may depend on it.
fn forget(tool: &Tool, key: &str, answers: &mut Answers) {
    let from = tool.inputs.iter().position(|input| input.key == key).unwrap_or(0);
    tool.inputs[from..].iter().for_each(|input| drop(answers.remove(&input.key)));
}

/// An answer given with the command: for which input, its text, and its source for messages.
struct Told {
    key: String,
    text: String,
    at: String,
}

/// The answers given with the command, from its options and from a file. An option takes precedence over the file.
///
/// # Errors
/// A file that cannot be read, a line that answers no question, and an invalid answer.
fn given(
    terminal: &Terminal,
    at: &ToolAtYard<'_>,
    matches: &ArgMatches,
    file: Option<&PathBuf>,
) -> Result<Vec<Told>, AppError> {
    let option = |input: &Input| {
        let typed = text(matches, &input.key)?;
        Some(Told { key: input.key.clone(), text: typed.to_owned(), at: format!("--{} {typed:?}", input.key) })
    };
    let mut given: Vec<Told> = at.tool.inputs.iter().filter_map(option).collect();
    for line in
        file.map(|path| answers::read(terminal.world.home.disk().as_ref(), path)).transpose()?.unwrap_or_default()
    {
        let place = format!(
            "{}, line {}: {}",
            file.map(|path| path.display().to_string()).unwrap_or_default(),
            line.line,
            line.question
        );
        if !at.tool.inputs.iter().any(|input| input.key == line.question) {
            let known: Vec<&str> = at.tool.inputs.iter().map(|input| input.key.as_str()).collect();
            let hint = suggest(&line.question, known.iter().copied());
            return Err(AppError::Answer(format!("{place} answers nothing that `{}` asks; {hint}", at.tool.id)));
        }
        if given.iter().all(|told| told.key != line.question) {
            given.push(Told { at: format!("{place} = {:?}", line.text), key: line.question, text: line.text });
        }
    }
    for told in &given {
        if let Some(input) = at.tool.inputs.iter().find(|input| input.key == told.key) {
            at.read(input, &told.text).map_err(|why| AppError::Answer(format!("{}: {why}", told.at)))?;
        }
    }
    Ok(given)
}

/// Answers every open input: from the options, with its default, or by asking.
fn fill(
    terminal: &Terminal,
    at: &ToolAtYard<'_>,
    given: &[Told],
    (may_ask, asks_all): (bool, bool),
    answers: &mut Answers,
) -> Result<(), AppError> {
    for input in &at.tool.inputs {
        if answers.contains_key(&input.key) {
            continue;
        }
        let typed = given.iter().find(|told| told.key == input.key);
        if !at.is_asked(input, answers) {
            if let Some(typed) = typed {
                return Err(AppError::Answer(format!("{} has no bearing after the answers before it", typed.at)));
            }
            answers.insert(input.key.clone(), GivenInput::NOTHING);
            continue;
        }
        let usual = at.usual(input).filter(|_| !asks_all);
        let answer = match (typed, usual) {
            (Some(typed), _) => {
                at.read(input, &typed.text).map_err(|why| AppError::Answer(format!("{}: {why}", typed.at)))?
            }
            (None, Some(usual)) => usual,
            (None, None) if !may_ask => {
                return Err(AppError::Answer(format!(
                    "`{}` needs an answer: --{} ({})",
                    input.key,
                    input.key,
                    input.takes()
                )));
            }
            (None, None) => tool_page::ask_input(terminal, at, input)?,
        };
        answers.insert(input.key.clone(), answer);
    }
    Ok(())
}
