//! Makes a new bench tool from questions.

use super::answers::{MOST, hazard_words, hazards_in, measures, optional, plain};
use crate::authoring::{ToolSketch, input_of};
use crate::naming::{nearest, well_formed_id};
use crate::quantity::{MassUnit, Notation};
use crate::shell::forms::{Blank, ask};
use crate::shell::ink::Ink;
use crate::shell::terminal::Terminal;
use crate::store::home::Shelf;
use crate::tool::{Input, InputKind};
use crate::world::AppError;

/// The kinds of input, with their words in the script language.
const KINDS: [(&str, &str); 7] = [
    ("weight", "as at the bench: 8 lb 2 oz, 12.4 - bucket"),
    ("number", "a number, with a unit or without"),
    ("count", "a whole number"),
    ("choice", "one of several"),
    ("yes_no", "yes or no"),
    ("grade", "a grade of the catalogue"),
    ("price", "a price in the yard's currency"),
];

/// Asks for a tool.
///
/// # Errors
/// The user left the questions, or the tool has no input.
pub fn asked(terminal: &Terminal) -> Result<ToolSketch, AppError> {
    let title = ask(terminal, &Blank::new("What does the tool work out? In a line"), plain)?;
    let id = command(terminal)?;
    let (unit, notation) = measures(terminal)?;
    let mut inputs: Vec<Input> = Vec::new();
    while inputs.len() < MOST
        && let Some(input) = input(terminal, &inputs, unit, notation)?
    {
        inputs.push(input);
    }
    if inputs.is_empty() {
        return Err(AppError::Answer("a tool asks at least one thing; nothing is written".into()));
    }
    let result = ask(terminal, &Blank::new("What is the result called, in a word or two? Such as Net weight"), plain)?;
    let blank = Blank::new(
        "Which cautions does it show? Hazards by id with commas, such as sharp-sheet; Enter for none (`show hazards` lists all)",
    );
    let hazards = ask(terminal, &blank.or("").words(hazard_words(terminal)), |text| hazards_in(terminal, text))?;
    let figures_from = ask(
        terminal,
        &Blank::new("Where do its figures come from? A formula, a standard, a source").or("estimate"),
        plain,
    )?;
    let author = terminal.world.config.person.clone().unwrap_or_default();
    Ok(ToolSketch { id, title, inputs, result, hazards, figures_from, author })
}

/// The name of the tool's command.
fn command(terminal: &Terminal) -> Result<String, AppError> {
    let id =
        ask(terminal, &Blank::new("Which command is it to be? One short word in lower case, such as pail"), |text| {
            well_formed_id(text)?;
            match (terminal.world.is_command)(text) {
                true => Err(format!("`{text}` is a command of the program's own; choose another word")),
                false => Ok(text.to_owned()),
            }
        })?;
    terminal.world.expect_free(Shelf::Tools, &id)?;
    if terminal.world.is_tool(&id) || terminal.world.named(&[Shelf::Reports], &id).is_ok_and(|(_, known)| known == id) {
        terminal.say(Ink::Caution, &format!("It will take the place of the {id} that comes with the program."));
    }
    Ok(id)
}

fn input(terminal: &Terminal, before: &[Input], unit: MassUnit, notation: Notation) -> Result<Option<Input>, AppError> {
    let first = before.is_empty();
    let text =
        if first { "What does it ask first? The question" } else { "What does it ask next? Enter when that is all" };
    let question = ask(terminal, &if first { Blank::new(text) } else { Blank::new(text).or("") }, optional)?;
    if question.is_empty() {
        return Ok(None);
    }
    let blank = Blank::new("A short name for the answer, such as gross: its option, and its name in the script");
    let key = ask(terminal, &blank, |text| match before.iter().any(|known| known.key == text) {
        true => Err(format!("`{text}` is the name of another answer")),
        false if !terminal.world.is_key(text) => Err(
            "write lower-case letters, digits and hyphens, a letter first; a word of the script language it cannot be"
                .to_owned(),
        ),
        false if crate::tool::is_taken(text) => Err(format!("`{text}` is the program's own; choose another")),
        false => Ok(text.to_owned()),
    })?;
    let kinds = KINDS.map(|(kind, _)| kind);
    let blank = Blank::new(format!("What does it take? {}", kinds.join(", ")));
    let words = KINDS.iter().map(|(kind, does)| ((*kind).to_owned(), (*does).to_owned())).collect();
    let mut input = ask(terminal, &blank.words(words), |text| {
        input_of(&key, &question, text).ok_or_else(|| match nearest(text, kinds) {
            Some(near) => format!("did you mean {near}?"),
            None => format!("write one of {}", kinds.join(", ")),
        })
    })?;
    match &mut input.kind {
        Some(InputKind::Number { unit }) => {
            *unit =
                ask(
                    terminal,
                    &Blank::new("In which unit? Such as V, mm or %; Enter for none").or(""),
                    |text| match text.chars().count() {
                        0..=20 => optional(text),
                        _ => Err("a unit has at most 20 characters".to_owned()),
                    },
                )?;
        }
        Some(InputKind::Choice { options }) => {
            *options = ask(terminal, &Blank::new("Which answers are there? With commas between them"), choices)?;
        }
        _ => {}
    }
    let such_as =
        ask(terminal, &Blank::new("What might somebody answer? It becomes the example and the first test"), |text| {
            terminal.world.typical(&input, text, notation, unit)
        })?;
    Ok(Some(Input { such_as, ..input }))
}

fn choices(text: &str) -> Result<Vec<String>, String> {
    let options: Vec<String> = text.split(',').map(|option| option.trim().to_owned()).collect();
    for (place, option) in options.iter().enumerate() {
        plain(option)?;
        if options[..place].contains(option) {
            return Err(format!("`{option}` is there twice"));
        }
    }
    if options.len() < 2 { Err("a choice needs two answers or more".to_owned()) } else { Ok(options) }
}
