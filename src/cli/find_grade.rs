//! `find-grade`: from what the user sees to the likely grade, question by question.

use std::collections::BTreeSet;

use clap::{Arg, ArgMatches, Command};

use super::options::{self, text};
use super::{Code, Outcome};
use crate::authoring::GradeFinder;
use crate::shell::find_grade::{interview, warn};
use crate::shell::finder_page;
use crate::shell::format::{Format, json_text};
use crate::shell::terminal::Terminal;
use crate::world::AppError;

pub(super) fn declare() -> Command {
    Command::new("find-grade")
        .about("From what you see to the grade that it may be, and the test that tells most next")
        .after_help(
            "Without arguments it asks, one test at a time; at each you can answer: cannot tell, back, other, done.\n\
             Examples: find-grade · find-grade colour=yellow magnet=no · find-grade form=bar weight=\"124.5 g\" displaced=\"14.6 ml\"",
        )
        .arg(
            Arg::new("seen")
                .value_name("TEST=ANSWER")
                .num_args(0..)
                .help("What was seen: form, colour, magnet, coating, attached, hardness, mark, spark; weight and displaced for the density"),
        )
        .arg(options::yard())
        .arg(options::format(&["text", "json"]))
}

pub(super) fn run(terminal: &mut Terminal, matches: &ArgMatches) -> Outcome {
    let terminal: &Terminal = terminal;
    let mut finder = terminal.world.grade_finder(text(matches, "yard"))?;
    let seen: Vec<&String> = matches.get_many("seen").into_iter().flatten().collect();
    let as_json = options::format_of(matches) == Format::Json;
    terminal.talk_aside(as_json);
    let mut told = BTreeSet::new();
    if seen.is_empty() {
        interview(terminal, &mut finder, &mut told)?;
    } else {
        take(&mut finder, &seen)?;
    }
    if as_json {
        terminal.write_stdout(&json_text(&finder_page::json(&terminal.world, &finder))?);
        return Ok(Code::Done);
    }
    // Warnings of hazards come before the likely grades.
    warn(terminal, &finder, &mut told);
    terminal.blank_line();
    terminal.show(&finder_page::end(&terminal.world, &finder));
    Ok(Code::Done)
}

/// Enters the observations from the command line.
fn take(finder: &mut GradeFinder<'_>, seen: &[&String]) -> Result<(), AppError> {
    let (mut weight, mut displaced) = (None, None);
    for word in seen {
        let wrong = || AppError::Answer(format!("{word:?} is no TEST=ANSWER; write for example magnet=no"));
        let (id, answer) = word.split_once('=').ok_or_else(wrong)?;
        match id.trim() {
            "weight" => weight = Some(answer),
            "displaced" => displaced = Some(answer),
            id => {
                let test = finder.test(id)?;
                if finder.finder().tests()[test].answers.is_empty() {
                    return Err(AppError::Answer("the density is told by weight=… and displaced=…".to_owned()));
                }
                finder.answer(test, answer).map_err(|why| AppError::Answer(format!("{id}: {why}")))?;
            }
        }
    }
    match (weight, displaced) {
        (Some(weight), Some(displaced)) => {
            let test = finder.test("density")?;
            finder.measure(test, weight, displaced).map(drop).map_err(AppError::Answer)
        }
        (None, None) => Ok(()),
        _ => Err(AppError::Answer("a density takes both: weight=… and displaced=…".to_owned())),
    }
}
