//! `show`: shows one thing in full: a recipe, a yard, a tool, a grade, a hazard, an emergency card, a session; or a
//! list of grades, hazards, emergencies, sessions.

use clap::{Arg, ArgMatches, Command};

use super::{Code, NAMED, Outcome};
use crate::naming::nearest;
use crate::shell::ink::Page;
use crate::shell::terminal::Terminal;
use crate::shell::{catalogue_page, emergency, recipe_page, session_page, tool_about, yard_page};
use crate::store::home::Shelf;
use crate::world::{AppError, World};

pub(super) fn declare() -> Command {
    Command::new("show")
        .about("Show a recipe, yard, tool, grade, hazard, emergency card or session; or all grades, hazards, emergencies, sessions")
        .after_help(
            "Examples: show countertop-oven · show copper-2 · show stored-charge-hv · show capacitor · show sessions",
        )
        .arg(
            Arg::new("what")
                .value_name("WHAT")
                .required(true)
                .num_args(1..)
                .help("An id, a part of a name, or: grades, hazards, emergencies, sessions"),
        )
}

pub(super) fn run(terminal: &mut Terminal, matches: &ArgMatches) -> Outcome {
    let words: Vec<&str> = matches.get_many::<String>("what").into_iter().flatten().map(String::as_str).collect();
    let page = find(&terminal.world, &words.join(" "))?;
    terminal.show(&page);
    Ok(Code::Done)
}

/// Lists that can be shown.
const LISTS: [&str; 4] = ["grades", "hazards", "emergencies", "sessions"];

/// Everything with exactly that name, of any kind; else a recipe or yard by part of its name, or a session; else a
/// search among grades.
fn find(world: &World, word: &str) -> Result<Page, AppError> {
    match word {
        "grades" | "grade" => return Ok(catalogue_page::grades(world)),
        "hazards" | "hazard" => return Ok(catalogue_page::hazards(world)),
        "emergencies" | "emergency" => return Ok(emergency::list(world.host().catalogue().emergencies())),
        "sessions" | "session" => return session_page::list(world),
        _ => {}
    }
    if let Some(page) = exact(world, word)? {
        return Ok(page);
    }
    let named = match world.named(&NAMED, word) {
        Ok((shelf, id)) => return script_page(world, shelf, &id),
        Err(error) => error,
    };
    if let Ok(id) = world.session_id(word) {
        return session_page::page(world, id.as_str());
    }
    let page = catalogue_page::search(world, word)?;
    if page.lines().is_empty() { Err(unknown(world, word, named)) } else { Ok(page) }
}

/// Everything with exactly that name: a grade, a hazard and scripts can share one.
fn exact(world: &World, word: &str) -> Result<Option<Page>, AppError> {
    let catalogue = world.host().catalogue();
    let mut pages = Vec::new();
    pages.extend(catalogue.grades().get(word).map(|grade| catalogue_page::grade_page(world, grade)));
    pages.extend(catalogue.hazards().get(word).map(catalogue_page::hazard_page));
    let emergencies = catalogue.emergencies();
    pages.extend(emergencies.get(word).map(|found| emergency::in_full(emergencies, found)));
    for shelf in NAMED {
        // A report with the name of a tool cannot be run, so show the tool.
        if world.ids(shelf)?.iter().any(|id| id == word) && !(shelf == Shelf::Reports && world.is_tool(word)) {
            pages.push(script_page(world, shelf, word)?);
        }
    }
    let mut pages = pages.into_iter();
    let Some(mut whole) = pages.next() else { return Ok(None) };
    for page in pages {
        whole.blank();
        whole.append(page);
    }
    Ok(Some(whole))
}

fn script_page(world: &World, shelf: Shelf, id: &str) -> Result<Page, AppError> {
    Ok(match shelf {
        Shelf::Yards => yard_page::page(world, &world.yard(id)?.1),
        Shelf::Tools | Shelf::Reports => {
            let (_, tool) = world.tool(id)?;
            tool_about::page(world, &tool, &world.summary(id)?, &world.origin(shelf, id)?)
        }
        Shelf::Recipes | Shelf::Library => {
            let (script, recipe) = world.recipe(id)?;
            recipe_page::page(world, &script, &recipe)
        }
    })
}

/// The error for a word that names nothing; `named` is the error from looking it up among scripts.
fn unknown(world: &World, word: &str, named: AppError) -> AppError {
    let catalogue = world.host().catalogue();
    let lists = nearest(word, LISTS);
    let near = lists
        .or_else(|| nearest(word, catalogue.hazards().ids()))
        .or_else(|| nearest(word, catalogue.emergencies().numbered().map(|(_, card)| card.id.as_str())))
        .or_else(|| catalogue.grades().nearest(word));
    match near {
        Some(near) => AppError::Name(format!("nothing goes by `{}`; did you mean `{near}`?", word.escape_debug())),
        None => named,
    }
}
