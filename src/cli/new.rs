//! `new`: a first version of a recipe, yard or tool, from a few questions.

mod list;
mod tool;
mod yard;

use clap::{Arg, ArgMatches, Command};
use rust_decimal::Decimal;

use super::options::text;
use super::tools::is_ours;
use super::{Code, Outcome};
use crate::authoring::{RecipeSketch, StepSketch};
use crate::naming::{id_of_title, is_unsafe, nearest, suggest};
use crate::quantity::{Mass, MassUnit, Minutes, Notation, WeighingRules, weigh};
use crate::shell::forms::{Blank, ask};
use crate::shell::ink::Ink;
use crate::shell::terminal::Terminal;
use crate::store::home::Shelf;
use crate::world::AppError;

/// The most steps and prices that are asked for; the rest is for an editor.
const MOST: usize = 40;

pub(super) fn declare() -> Command {
    Command::new("new")
        .about("Write a first version of a recipe, yard or tool into your folder, from a few questions")
        .after_help(
            "The answers can also come from a pipe, a line each, in the order of the questions.\n\
             A CSV of prices has a head row: name, price; grade and at_least where known.\n\
             Examples: new recipe · new tool · new yard · new yard --csv list.csv · new yard --like bluegum-siding",
        )
        .arg(
            Arg::new("kind")
                .value_name("KIND")
                .required(true)
                .value_parser(["recipe", "yard", "tool"])
                .help("recipe, yard or tool"),
        )
        .arg(Arg::new("csv").long("csv").value_name("FILE").help("A yard's price list from a file"))
        .arg(
            Arg::new("like")
                .long("like")
                .value_name("YARD")
                .conflicts_with("csv")
                .help("Copy prices and habits of a yard that you have, under another name"),
        )
}

pub(super) fn run(terminal: &mut Terminal, matches: &ArgMatches) -> Outcome {
    if text(matches, "kind") == Some("yard") {
        let (id, script) = match (text(matches, "like"), text(matches, "csv")) {
            (Some(model), _) => yard::like(terminal, model)?,
            (None, list) => yard::asked(terminal, list)?,
        };
        let path = terminal.world.write_new(Shelf::Yards, &id, &script)?;
        terminal.say(Ink::Good, &format!("Written: {}", path.display()));
        terminal.say(Ink::Plain, &format!("Next: edit it; then show {id}, and settings yard {id}"));
    } else if matches.contains_id("like") || matches.contains_id("csv") {
        return Err(AppError::Refused("--like and --csv are for a new yard".to_owned()));
    } else if text(matches, "kind") == Some("tool") {
        let sketch = tool::asked(terminal)?;
        let path = terminal.world.write_new(Shelf::Tools, &sketch.id, &sketch.script(&terminal.world)?)?;
        terminal.say(Ink::Good, &format!("Written: {}", path.display()));
        terminal.say(
            Ink::Plain,
            &format!("It is the command {0} from here on. Next: edit it; then check {0}, and test {0}", sketch.id),
        );
    } else {
        let sketch = recipe(terminal)?;
        let path = terminal.world.write_new(
            Shelf::Recipes,
            &sketch.id,
            &sketch.script(terminal.world.host().catalogue().grades()),
        )?;
        terminal.say(Ink::Good, &format!("Written: {}", path.display()));
        terminal.say(Ink::Plain, &format!("Next: edit it; then check {0}, and bench {0}", sketch.id));
    }
    Ok(Code::Done)
}

fn recipe(terminal: &Terminal) -> Result<RecipeSketch, AppError> {
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

/// The person's own unit and notation, for a recipe that no yard stands behind.
fn measures(terminal: &Terminal) -> Result<(MassUnit, Notation), AppError> {
    let (_, yard) = terminal.world.yard(&terminal.world.yard_id(None)?)?;
    let unit = terminal.world.unit(&yard)?;
    Ok((if unit == MassUnit::Pound { unit } else { MassUnit::Kilogram }, terminal.world.notation(&yard)))
}

fn free_id(terminal: &Terminal, shelf: Shelf, name: &str) -> Result<String, AppError> {
    let id =
        ask(terminal, &Blank::new("Its id: lower-case letters, digits and hyphens").or(id_of_title(name)), |text| {
            crate::naming::well_formed_id(text).map(|()| text.to_owned())
        })?;
    terminal.world.expect_free(shelf, &id)?;
    Ok(id)
}

fn plain(text: &str) -> Result<String, String> {
    match text.chars().count() {
        0 => Err("there must be an answer".to_owned()),
        1..=120 if !text.chars().any(is_unsafe) => Ok(text.to_owned()),
        _ => Err("write one plain line of at most 120 characters".to_owned()),
    }
}

fn optional(text: &str) -> Result<String, String> {
    if text.is_empty() { Ok(String::new()) } else { plain(text) }
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

fn positive(text: &str, notation: Notation) -> Result<Decimal, String> {
    let number = notation.read_signed(text).map_err(|error| error.to_string())?;
    if number > Decimal::ZERO { Ok(number) } else { Err("it must be above zero".to_owned()) }
}

fn grade(terminal: &Terminal, blank: &Blank) -> Result<String, AppError> {
    let blank = Blank { text: blank.text.clone(), ..Blank::default() }.words(grade_words(terminal));
    ask(terminal, &blank, |text| known_grade(terminal, text))
}

fn grade_words(terminal: &Terminal) -> Vec<(String, String)> {
    terminal.world.host().catalogue().grades().iter().map(|grade| (grade.id.clone(), grade.name.clone())).collect()
}

/// A grade by its id; else what was meant, by id or by words.
fn known_grade(terminal: &Terminal, text: &str) -> Result<String, String> {
    let tree = terminal.world.host().catalogue().grades();
    if tree.get(text).is_some() {
        return Ok(text.to_owned());
    }
    let found: Vec<&str> = tree.search(text).into_iter().take(6).map(|grade| grade.id.as_str()).collect();
    let hint = match (tree.nearest(text), found.is_empty()) {
        (Some(near), _) => format!("did you mean `{near}`?"),
        (None, false) => format!("there is {}", found.join(", ")),
        (None, true) => "`show grades` lists all".to_owned(),
    };
    Err(format!("there is no grade `{}`; {hint}", text.escape_debug()))
}

fn hazard_blank(terminal: &Terminal) -> Blank {
    Blank::new("What can hurt from the start? Hazards by id with commas, such as mains-plugged; Enter for none (`show hazards` lists all)")
        .or("")
        .words(hazard_words(terminal))
}

fn hazard_words(terminal: &Terminal) -> Vec<(String, String)> {
    terminal.world.host().catalogue().hazards().iter().map(|hazard| (hazard.id.clone(), hazard.name.clone())).collect()
}

fn hazards_in(terminal: &Terminal, text: &str) -> Result<Vec<String>, String> {
    let book = terminal.world.host().catalogue().hazards();
    let ids = text.split(',').map(str::trim).filter(|id| !id.is_empty());
    ids.map(|id| match book.get(id) {
        Some(_) => Ok(id.to_owned()),
        None => {
            let hint = nearest(id, book.ids()).map_or_else(
                || "`show hazards` lists all".to_owned(),
                |_| suggest(id, book.ids().collect::<Vec<_>>().into_iter()),
            );
            Err(format!("there is no hazard `{}`; {hint}", id.escape_debug()))
        }
    })
    .collect()
}
