//! The pages of the catalogue: grades and hazards, all of them or one in full.

use jiff::civil::Date;

use super::ink::{Ink, Page};
use super::page;
use crate::market::Grade;
use crate::naming::Listed;
use crate::recipe::Hazard;
use crate::store::home::Shelf;
use crate::world::{AppError, World};

fn grade_line(page: &mut Page, grade: &Grade, depth: usize) {
    entry_line(page, &format!("{}{}", "  ".repeat(depth), grade.id), &grade.name);
}

/// An id and its name.
fn entry_line(page: &mut Page, id: &str, name: &str) {
    page.line(&[(Ink::Name, &format!("{id:<34} ")), (Ink::Plain, name)]);
}

/// The tree of all grades.
pub fn grades(world: &World) -> Page {
    fn below(page: &mut Page, world: &World, grade: &Grade, depth: usize) {
        grade_line(page, grade, depth);
        world.host().catalogue().grades().children(&grade.id).for_each(|child| below(page, world, child, depth + 1));
    }
    let mut page = Page::new();
    world.host().catalogue().grades().roots().for_each(|root| below(&mut page, world, root, 0));
    page
}

/// All hazards with their classes.
pub fn hazards(world: &World) -> Page {
    let mut page = Page::new();
    for hazard in world.host().catalogue().hazards().iter() {
        let head = format!("{:<26} ", hazard.id);
        page.line(&[
            (Ink::Name, &head),
            (Ink::Caution, &format!("{:<14} ", hazard.class.word())),
            (Ink::Plain, &hazard.name),
        ]);
    }
    page
}

/// A hazard in full.
pub fn hazard_page(hazard: &Hazard) -> Page {
    let mut page = page::hazard(hazard);
    page.line(&[(Ink::Name, "Where one meets it: "), (Ink::Plain, &hazard.met_in)]);
    source(&hazard.source, &hazard.status, &mut page);
    page
}

/// A grade in full: how to recognise it, what it may be bought as, what the law and its dangers require.
pub fn grade_page(world: &World, grade: &Grade) -> Page {
    let mut page = Page::new();
    page.line(&[(Ink::Heading, &grade.name), (Ink::Faint, &format!("  {}", grade.id))]);
    page.say(Ink::Plain, &grade.looks);
    let grades = world.host().catalogue().grades();
    let line: Vec<&str> = grades.lineage(&grade.id).skip(1).map(|g| g.id.as_str()).collect();
    if !line.is_empty() {
        page.line(&[(Ink::Name, "A yard without a price for it may buy it as: "), (Ink::Plain, &line.join(", then "))]);
    }
    if let Some(word) = &grade.code_word {
        page.line(&[(Ink::Name, "Trade code word: "), (Ink::Plain, word)]);
    }
    waste_code(grade, world.clock.today(), &mut page);
    let items: Vec<String> = grades.annex_vii(&grade.id).into_iter().map(page::annex_item).collect();
    if !items.is_empty() {
        page.line(&[(Ink::Name, "The law wants it out (WEEE Annex VII): "), (Ink::Plain, &items.join(", "))]);
    }
    let hazards = world.host().catalogue().hazards();
    let dangers: Vec<&Hazard> = grades.hazards(&grade.id).into_iter().filter_map(|id| hazards.get(id)).collect();
    if !dangers.is_empty() {
        page.line(&[(Ink::Name, "Before such a part is taken out:")]);
    }
    dangers.into_iter().for_each(|hazard| page::hazard_named(hazard, &hazard.id, &mut page));
    source(&grade.source, &grade.status, &mut page);
    page
}

/// The waste list code that is valid today, and its former or future one.
fn waste_code(grade: &Grade, today: Date, page: &mut Page) {
    const LABEL: &str = "European list of waste: ";
    let Some(code) = grade.waste_code_on(today) else { return };
    let (Some(next), Some(from)) = (&grade.waste_code_next, grade.waste_code_next_from) else {
        return page.line(&[(Ink::Name, LABEL), (Ink::Plain, code)]);
    };
    let change = match &grade.waste_code {
        _ if today < from => format!("; from {from}: {next}"),
        Some(former) => format!("; before {from}: {former}"),
        None => format!("; since {from}"),
    };
    page.line(&[(Ink::Name, LABEL), (Ink::Plain, code), (Ink::Plain, &change)]);
    page.say(
        Ink::Faint,
        "The new codes are the European Union's; a national list may lag behind, and elsewhere they do not hold. Ask the collector \
         which code they book.",
    );
}

/// Its source, and how far that was checked.
fn source(source: &str, status: &str, page: &mut Page) {
    page.line(&[(Ink::Faint, "Source: "), (Ink::Faint, source), (Ink::Faint, &format!(" ({status})"))]);
}

/// Everything that matches a word, by kind, with the ids for showing one.
///
/// # Errors
/// The scripts cannot be listed.
pub fn search(world: &World, word: &str) -> Result<Page, AppError> {
    let catalogue = world.host().catalogue();
    let listed = |entry: &Listed| (entry.id.clone(), entry.name.clone());
    let kinds = [
        ("Recipes", world.fitting(Shelf::Recipes, word)?),
        ("Yards", world.fitting(Shelf::Yards, word)?),
        ("Hazards", catalogue.hazards().listing().with_all(word).into_iter().map(listed).collect()),
        ("Grades", catalogue.grades().listing().with_all(word).into_iter().map(listed).collect()),
    ];
    let mut page = Page::new();
    for (kind, found) in kinds.iter().filter(|(_, found)| !found.is_empty()) {
        page.blank();
        page.say(Ink::Heading, kind);
        for (id, name) in found.iter().take(MOST_FOUND) {
            entry_line(&mut page, id, name);
        }
        if found.len() > MOST_FOUND {
            page.say(Ink::Faint, &format!("… and {} more", found.len() - MOST_FOUND));
        }
    }
    Ok(page)
}

/// The most matches of one kind that a search shows.
const MOST_FOUND: usize = 20;
