//! Asks what the user sees to find the likely grade, one test at a time.

use std::collections::BTreeSet;

use super::finder_page;
use super::forms::{Blank, ask};
use super::ink::Ink;
use super::terminal::Terminal;
use crate::authoring::{CANNOT_TELL, GradeFinder};
use crate::world::AppError;

/// Information gain, in bits, below which no test is worth asking.
const WORTH_ASKING: f64 = 0.05;
/// Probability at which a grade counts as found.
const SETTLED: f64 = 0.97;

/// Shows the cautions of hazards that now apply, each once, in full.
pub fn warn(terminal: &Terminal, finder: &GradeFinder<'_>, told: &mut BTreeSet<String>) {
    let hazards = terminal.world.host().catalogue().hazards();
    let new: Vec<String> = finder.hazards().into_iter().filter(|hazard| told.insert(hazard.clone())).collect();
    if !new.is_empty() {
        terminal.blank_line();
    }
    terminal.show(&finder_page::cautions(new.iter().filter_map(|id| hazards.get(id))));
}

/// The user's input at a test.
enum Said {
    Done,
    Back,
    Other,
    Answer(String),
}

/// Asks tests until the grade is found, no test can help, or the user is done.
///
/// # Errors
/// Input has ended, or a piped answer is invalid.
pub fn interview(
    terminal: &Terminal,
    finder: &mut GradeFinder<'_>,
    told: &mut BTreeSet<String>,
) -> Result<(), AppError> {
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

/// The second half of the density test: the water displaced. An impossible pair is reported, and the test can be tried
/// again.
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
