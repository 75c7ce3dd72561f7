//! `find-grade`: from what one sees to the grade that it may be, question by question.

use std::collections::BTreeSet;

use clap::{Arg, ArgMatches, Command};

use super::options::{self, text};
use super::{Code, Outcome};
use crate::authoring::{CANNOT_TELL, GradeFinder};
use crate::shell::finder_page;
use crate::shell::format::{Format, json_text};
use crate::shell::forms::{Blank, ask};
use crate::shell::ink::Ink;
use crate::shell::terminal::Terminal;
use crate::world::AppError;

/// Below this no test is worth its asking.
const WORTH_ASKING: f64 = 0.05;
/// From this probability on the answer stands.
const SETTLED: f64 = 0.97;

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
    // What can hurt comes before what it may be.
    warn(terminal, &finder, &mut told);
    terminal.blank_line();
    terminal.show(&finder_page::end(&terminal.world, &finder));
    Ok(Code::Done)
}

/// Shows the cautions of hazards that show, each once, in full.
fn warn(terminal: &Terminal, finder: &GradeFinder<'_>, told: &mut BTreeSet<String>) {
    let hazards = terminal.world.host().catalogue().hazards();
    let new: Vec<String> = finder.hazards().into_iter().filter(|hazard| told.insert(hazard.clone())).collect();
    if !new.is_empty() {
        terminal.blank_line();
    }
    terminal.show(&finder_page::cautions(new.iter().filter_map(|id| hazards.get(id))));
}

/// What was seen, from the command line.
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

/// What was typed at a test.
enum Said {
    Done,
    Back,
    Other,
    Answer(String),
}

/// Asks test after test until it is settled, nothing is left to tell, or the person is done.
fn interview(terminal: &Terminal, finder: &mut GradeFinder<'_>, told: &mut BTreeSet<String>) -> Result<(), AppError> {
    terminal.say(Ink::Plain, "What it is, by looking and trying. Answer with a number or a word; `cannot tell`, back, other or done at any test.");
    let mut passed_over: Vec<usize> = Vec::new();
    loop {
        let left = finder.next();
        let worth = left.iter().filter(|next| next.gain >= WORTH_ASKING);
        let next =
            worth.clone().find(|next| !passed_over.contains(&next.test)).or_else(|| worth.clone().next()).copied();
        let settled = finder.ranked().first().is_some_and(|first| first.probability >= SETTLED);
        let Some(next) = next.filter(|_| !settled) else { return Ok(()) };
        terminal.blank_line();
        match ask_test(terminal, finder, next.test, next.gain)? {
            Said::Done => return Ok(()),
            Said::Other => passed_over.push(next.test),
            Said::Back => match finder.back() {
                Some(test) => passed_over.retain(|passed| *passed != test),
                None => terminal.say(Ink::Caution, "Nothing to take back."),
            },
            Said::Answer(words) => {
                terminal.say(Ink::Faint, &format!("  = {words}"));
                terminal.show(&finder_page::standing(finder));
                warn(terminal, finder, told);
            }
        }
    }
}

fn ask_test(terminal: &Terminal, finder: &mut GradeFinder<'_>, place: usize, gain: f64) -> Result<Said, AppError> {
    let test = finder.finder().tests()[place].clone();
    let hazards = terminal.world.host().catalogue().hazards();
    terminal.show(&finder_page::cautions(test.guards.iter().filter_map(|id| hazards.get(id))));
    let mut words: Vec<(String, String)> = test.answers.iter().map(|answer| (answer.clone(), String::new())).collect();
    words.extend([CANNOT_TELL, "back", "other", "done"].map(|word| (word.to_owned(), String::new())));
    let blank = Blank::new(finder_page::test(&test, gain).join("\n")).words(words);
    if !test.says.is_empty() {
        terminal.say(Ink::Faint, &test.says);
    }
    let cell = std::cell::RefCell::new(finder);
    let said = ask(terminal, &blank, |text| match text.trim() {
        "done" => Ok(Said::Done),
        "back" => Ok(Said::Back),
        "other" => Ok(Said::Other),
        CANNOT_TELL => {
            cell.borrow_mut().leave_out(place);
            Ok(Said::Answer(CANNOT_TELL.to_owned()))
        }
        text if test.answers.is_empty() => Ok(Said::Answer(text.to_owned())),
        text => cell.borrow_mut().answer(place, text).map(Said::Answer),
    })?;
    let finder = cell.into_inner();
    match said {
        Said::Answer(weight) if test.answers.is_empty() && weight != CANNOT_TELL => {
            density(terminal, finder, place, &weight)
        }
        said => Ok(said),
    }
}

/// The second half of the density: the water. A pair that cannot be is told, and the test is left for another go.
fn density(terminal: &Terminal, finder: &mut GradeFinder<'_>, place: usize, weight: &str) -> Result<Said, AppError> {
    let water =
        ask(terminal, &Blank::new("How much water does it displace, in ml?"), |text| Ok::<_, String>(text.to_owned()))?;
    match finder.measure(place, weight, &water) {
        Ok(words) => Ok(Said::Answer(words)),
        Err(why) if terminal.on_terminal => {
            terminal.say(Ink::Caution, &format!("Not taken: {why}"));
            ask_test(terminal, finder, place, 0.0)
        }
        Err(why) => Err(AppError::Answer(why)),
    }
}
