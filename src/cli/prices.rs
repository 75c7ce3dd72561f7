//! `prices`: how a grade's price developed, and what yards paid compared with what was expected.

use clap::{Arg, ArgMatches, Command};

use super::options::{self, text};
use super::{Code, Outcome};
use crate::shell::format::{Format, json_text};
use crate::shell::prices_page;
use crate::shell::terminal::Terminal;

pub(super) fn declare() -> Command {
    Command::new("prices")
        .about("Show how a grade's price went; without a grade, how yards paid beside what was expected")
        .after_help("Examples: prices copper-2 · prices")
        .arg(Arg::new("grade").value_name("GRADE").help("A grade, by its id"))
        .arg(options::format(&["text", "json"]))
}

pub(super) fn run(terminal: &mut Terminal, matches: &ArgMatches) -> Outcome {
    let format = options::format_of(matches);
    match text(matches, "grade") {
        Some(grade) => courses(terminal, grade, format),
        None => records(terminal, format),
    }
}

fn courses(terminal: &Terminal, grade: &str, format: Format) -> Outcome {
    let courses = terminal.world.courses(grade)?;
    if format == Format::Json {
        terminal.put(&json_text(&prices_page::courses_json(grade, &courses))?);
    } else {
        terminal.show(&prices_page::courses(&terminal.world, grade, &courses)?);
    }
    Ok(Code::Done)
}

fn records(terminal: &Terminal, format: Format) -> Outcome {
    let (records, warnings) = terminal.world.records()?;
    warnings.iter().for_each(|warning| terminal.say_aside(&format!("warning: {warning}")));
    options::write_as(terminal, format, || prices_page::records(&records), || prices_page::records_json(&records))
}
