//! Makes a new recipe from questions.

use super::answers::{MOST, free_id, grade_words, hazard_words, hazards_in, known_grade, measures, optional, plain};
use crate::authoring::{RecipeSketch, StepSketch};
use crate::quantity::{Mass, MassUnit, Minutes, Notation, WeighingRules, weigh};
use crate::shell::forms::{Blank, ask};
use crate::shell::terminal::Terminal;
use crate::store::home::Shelf;
use crate::world::AppError;

/// Asks for a recipe.
///
/// # Errors
/// The user left the questions, or there is no step.
pub fn asked(terminal: &Terminal) -> Result<RecipeSketch, AppError> {
    let name = ask(terminal, &Blank::new("What is the unit called?"), plain)?;
    let id = free_id(terminal, Shelf::Recipes, &name)?;
    let (unit, notation) = measures(terminal)?;
    let mass = |what: &str| {
        ask(
            terminal,
            &Blank::new(format!("What does it weigh at {what}? A number is in {}; or with its unit", unit.symbol())),
            |text| a_mass(text, unit, notation),
        )
    };
    let low = mass("least")?;
    let high = mass("most")?;
    let usual = ask(terminal, &Blank::new("And usually?"), |text| {
        let usual = a_mass(text, unit, notation)?;
        if low <= usual && usual <= high {
            Ok(usual)
        } else {
            Err("that is not between the least and the most".to_owned())
        }
    })?;
    let whole_grade =
        grade(terminal, &Blank::new("Under which grade does a yard buy it untouched? An id, such as appliance-light"))?;
    let hazards = ask(terminal, &hazard_blank(terminal), |text| hazards_in(terminal, text))?;
    let mut steps = Vec::new();
    while steps.len() < MOST
        && let Some(step) = step(terminal, steps.len(), unit, notation)?
    {
        steps.push(step);
    }
    if steps.is_empty() {
        return Err(AppError::Answer("a recipe needs at least one step; nothing is written".into()));
    }
    let author = terminal.world.config.person.clone().unwrap_or_default();
    Ok(RecipeSketch { id, name, weights: [low, usual, high], unit, whole_grade, hazards, steps, author })
}

fn step(
    terminal: &Terminal,
    before: usize,
    unit: MassUnit,
    notation: Notation,
) -> Result<Option<StepSketch>, AppError> {
    let text =
        if before == 0 { "What is done first? In a few words" } else { "What is done next? Enter when that is all" };
    let blank = Blank::new(text);
    let title = ask(terminal, &if before == 0 { blank } else { blank.or("") }, optional)?;
    if title.is_empty() {
        return Ok(None);
    }
    let minutes = ask(terminal, &Blank::new("How many minutes does that usually take?"), |text| {
        let minutes = Minutes::read(text, notation).map_err(|error| error.to_string())?;
        if minutes > Minutes::ZERO { Ok(minutes) } else { Err("it takes some time".to_owned()) }
    })?;
    let part = ask(terminal, &Blank::new("Which part does it free? Enter for none").or(""), part_name)?;
    let frees = match part.is_empty() {
        true => None,
        false => {
            let mass =
                ask(terminal, &Blank::new("What does that usually weigh?"), |text| a_mass(text, unit, notation))?;
            Some((part, mass, grade(terminal, &Blank::new("Under which grade does it sell?"))?))
        }
    };
    Ok(Some(StepSketch { title, minutes, frees }))
}

fn part_name(text: &str) -> Result<String, String> {
    match text {
        "begin" | "minutes" => Err("a question of every step goes by that name; choose another".to_owned()),
        _ if text.contains(['/', ',', '+']) || text.starts_with("guard.") || text.chars().count() > 60 => {
            Err("a part's name has at most 60 characters, and no `/`, `,` or `+`".to_owned())
        }
        _ => optional(text),
    }
}

fn a_mass(text: &str, unit: MassUnit, notation: Notation) -> Result<Mass, String> {
    let weighed = weigh(text, &WeighingRules { notation, unit, tare: &|_| None }).map_err(|error| error.to_string())?;
    if weighed.net > Mass::ZERO { Ok(weighed.net) } else { Err("a weight is above zero".to_owned()) }
}

fn grade(terminal: &Terminal, blank: &Blank) -> Result<String, AppError> {
    let blank = Blank { text: blank.text.clone(), ..Blank::default() }.words(grade_words(terminal));
    ask(terminal, &blank, |text| known_grade(terminal, text))
}

fn hazard_blank(terminal: &Terminal) -> Blank {
    Blank::new("What can hurt from the start? Hazards by id with commas, such as mains-plugged; Enter for none (`show hazards` lists all)")
        .or("")
        .words(hazard_words(terminal))
}
