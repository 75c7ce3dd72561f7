//! Describes a tool: what it asks, what it computes, its cautions, its sources.

use super::ink::{Ink, Page};
use super::page::hazard_named;
use crate::authoring::ToolSummary;
use crate::naming::counted;
use crate::recipe::HazardBook;
use crate::tool::{Input, Tool};
use crate::world::{Origin, World};

/// A tool in full, and where its script is. `origin` tells where it comes from.
pub fn page(world: &World, tool: &Tool, portrait: &ToolSummary, origin: &Origin) -> Page {
    let mut page = Page::new();
    let author = if tool.author.is_empty() { "author not said" } else { &tool.author };
    page.line(&[
        (Ink::Heading, &tool.title),
        (Ink::Faint, &format!("  {}, revision {}, by {author}", tool.id, tool.revision)),
    ]);
    page.append(deeds(world.host().catalogue().hazards(), tool, portrait));
    page.blank();
    let examples = counted(tool.examples.len(), "example");
    page.line(&[
        (Ink::Name, "Its tests: "),
        (
            Ink::Plain,
            &format!("{examples}; test {} runs {}", tool.id, if tool.examples.len() == 1 { "it" } else { "them" }),
        ),
    ]);
    let stands = match origin {
        Origin::Own(path) => path.display().to_string(),
        Origin::Shipped => format!("it comes with the program; copy {} makes it yours to edit", tool.id),
        Origin::Offered => "in the bundle".to_owned(),
    };
    page.line(&[(Ink::Name, "Its script: "), (Ink::Plain, &stands)]);
    page.line(&[(Ink::Name, "To use it: "), (Ink::Plain, &format!("{0}, or {0} --help for its options", tool.id))]);
    page
}

/// What it says, asks, answers and warns about, what it reads, and its sources.
pub(super) fn deeds(hazards: &HazardBook, tool: &Tool, portrait: &ToolSummary) -> Page {
    let mut page = Page::new();
    tool.says.iter().for_each(|text| page.say(Ink::Plain, text));
    page.blank();
    page.say(Ink::Name, if tool.inputs.is_empty() { "It asks nothing." } else { "It asks:" });
    tool.inputs.iter().for_each(|input| asked(input, &mut page));
    page.blank();
    page.say(
        Ink::Name,
        if portrait.gives.is_empty() { "None of its examples brings a result." } else { "Its examples answer:" },
    );
    for (key, label) in &portrait.gives {
        page.line(&[(Ink::Plain, "  "), (Ink::Name, key), (Ink::Plain, "  "), (Ink::Plain, label)]);
    }
    page.blank();
    cautions(hazards, portrait, &mut page);
    page.blank();
    if tool.reads_sessions {
        page.line(&[(Ink::Name, "It reads: "), (Ink::Plain, "your sessions, each valued as it was")]);
    }
    if portrait.asks_prices {
        page.line(&[(Ink::Name, "It reads: "), (Ink::Plain, "prices of the yard in use")]);
    }
    if !portrait.tables.is_empty() {
        let tables = format!("rows of the catalogue's tables {}", portrait.tables.join(", "));
        page.line(&[(Ink::Name, "It reads: "), (Ink::Plain, &tables)]);
    }
    tool.figures_from.iter().for_each(|text| page.line(&[(Ink::Name, "Rests on: "), (Ink::Plain, text)]));
    if tool.figures_from.is_empty() {
        page.line(&[(Ink::Name, "Rests on: "), (Ink::Caution, "no source given")]);
    }
    page
}

fn asked(input: &Input, page: &mut Page) {
    page.line(&[(Ink::Plain, "  "), (Ink::Name, &input.key), (Ink::Plain, "  "), (Ink::Plain, &input.question)]);
    let mut terms = vec![input.takes()];
    match (&input.usual, input.optional) {
        (Some(usual), _) => terms.push(format!("Enter answers {usual}")),
        (None, true) => terms.push("may stay open".to_owned()),
        (None, false) => {}
    }
    if let Some(when) = &input.when {
        terms.push(format!("asked only when {} is {}", when.key, when.values.join(" or ")));
    }
    page.line(&[(Ink::Faint, "    "), (Ink::Faint, &terms.join("; "))]);
}

fn cautions(hazards: &HazardBook, portrait: &ToolSummary, page: &mut Page) {
    let none = portrait.shows.is_empty() && portrait.names.is_empty();
    page.say(Ink::Name, if none { "It shows no cautions." } else { "Cautions that it shows:" });
    let seen = portrait.shows.iter().map(|id| (id, "in its examples"));
    let named = portrait.names.iter().map(|id| (id, "named in its code, shown in none of its examples"));
    for (id, whence) in seen.chain(named) {
        if let Some(hazard) = hazards.get(id) {
            hazard_named(hazard, whence, page);
        }
    }
}
