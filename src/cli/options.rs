//! Options that several commands share, declared once.

use std::path::PathBuf;

use clap::builder::NonEmptyStringValueParser;
use clap::{Arg, ArgAction, ArgMatches, value_parser};
use jiff::civil::Date;
use serde_json::Value;

use super::{Code, Outcome};
use crate::shell::format::{Format, json_text};
use crate::shell::ink::Page;
use crate::shell::terminal::Terminal;
use crate::store::config::Color;

/// `--home`, `--plain`, `--color`, `--no-input`: on every command.
pub fn everywhere() -> [Arg; 4] {
    [
        Arg::new("home")
            .long("home")
            .value_name("DIR")
            .value_parser(value_parser!(PathBuf))
            .global(true)
            .help("Your folder [else KNOCKDOWN_HOME, else the platform's data folder]"),
        Arg::new("plain")
            .long("plain")
            .action(ArgAction::SetTrue)
            .global(true)
            .help("Plain lines: no cursor movement, one fact a line"),
        Arg::new("color")
            .long("color")
            .value_name("WHEN")
            .value_parser(["auto", "always", "never"])
            .global(true)
            .help("When to use colour"),
        Arg::new("no-input")
            .long("no-input")
            .action(ArgAction::SetTrue)
            .global(true)
            .help("Ask nothing; a question is an error"),
    ]
}

/// `--yard`.
pub fn yard() -> Arg {
    Arg::new("yard").long("yard").value_name("YARD").help("The yard whose prices count")
}

/// `--date`.
pub fn date() -> Arg {
    Arg::new("date")
        .long("date")
        .value_name("DATE")
        .value_parser(|text: &str| text.parse::<Date>().map_err(|_| "write year-month-day, such as 2026-11-02"))
        .help("The day of the prices [else today]")
}

/// `--format`, with the formats that a command supports.
pub fn format(forms: &'static [&'static str]) -> Arg {
    Arg::new("format")
        .long("format")
        .value_name("FORM")
        .value_parser(forms.to_vec())
        .default_value("text")
        .help("What to write it as")
}

/// The recipe, by id or part of its name.
pub fn recipe() -> Arg {
    Arg::new("recipe").value_name("RECIPE").help("A recipe, by its id or a part of its name")
}

/// The session, by name or part of it.
pub fn session() -> Arg {
    let help = "A session, by its name or a part of it [else the latest]";
    // An empty word is probably a bug in a shell script, not the latest session: some commands write to the session
    // named.
    Arg::new("session").value_name("SESSION").value_parser(NonEmptyStringValueParser::new()).help(help)
}

/// The value of `--format`.
pub fn format_of(matches: &ArgMatches) -> Format {
    match matches.get_one::<String>("format").map(String::as_str) {
        Some("json") => Format::Json,
        Some("csv") => Format::Csv,
        Some("markdown") => Format::Markdown,
        _ => Format::Text,
    }
}

/// A text option.
pub fn text<'a>(matches: &'a ArgMatches, name: &str) -> Option<&'a str> {
    matches.get_one::<String>(name).map(String::as_str)
}

/// The value of `--date`.
pub fn date_of(matches: &ArgMatches) -> Option<Date> {
    matches.get_one::<Date>("date").copied()
}

/// The value of `--color`.
pub fn color_of(matches: &ArgMatches) -> Option<Color> {
    match text(matches, "color") {
        Some("always") => Some(Color::Always),
        Some("never") => Some(Color::Never),
        Some(_) => Some(Color::Auto),
        None => None,
    }
}

/// Shows a page, or writes the JSON document instead if that was asked for.
pub fn write_as(
    terminal: &Terminal,
    format: Format,
    page: impl FnOnce() -> Page,
    document: impl FnOnce() -> Value,
) -> Outcome {
    match format {
        Format::Json => terminal.put(&json_text(&document())?),
        _ => terminal.show(&page()),
    }
    Ok(Code::Done)
}
