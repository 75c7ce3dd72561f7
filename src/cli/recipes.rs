//! `recipes`: lists recipes.

use clap::{ArgMatches, Command};
use serde_json::json;

use super::options::{self, Format};
use super::{Code, Outcome};
use crate::app::Origin;
use crate::script::Glance;
use crate::shell::face::Face;
use crate::shell::ink::{Ink, Page};
use crate::store::home::Shelf;

pub(super) fn declare() -> Command {
    Command::new("recipes").about("List recipes: yours first in force, then those shipped").arg(options::format(&["text", "json"]))
}

pub(super) fn run(face: &mut Face, matches: &ArgMatches) -> Outcome {
    let listed = face.world.listed(Shelf::Recipes)?;
    if options::format_of(matches) == Format::Json {
        let rows: Vec<_> = listed
            .iter()
            .map(|listed| {
                let unit = match &listed.glance {
                    Ok(Glance::Recipe(unit)) => Some(unit),
                    _ => None,
                };
                json!({
                    "id": listed.id,
                    "name": listed.name(),
                    "revision": unit.map(|unit| unit.revision),
                    "whole_grade": unit.map(|unit| unit.whole_grade.clone()),
                    "usual_weight": unit.map(|unit| unit.weighs.usual().to_string()),
                    "own": matches!(listed.origin, Origin::Own(_)),
                    "switched_off": listed.switched_off(),
                    "error": listed.glance.as_ref().err().map(ToString::to_string),
                })
            })
            .collect();
        face.put(&options::json(&json!({ "format": "knockdown-recipes", "version": 1, "recipes": rows }))?);
        return Ok(Code::Done);
    }
    let widest = listed.iter().map(|listed| listed.id.len()).max().unwrap_or(0);
    let mut page = Page::new();
    for listed in &listed {
        let id = format!("{:<widest$}  ", listed.id);
        let own = if matches!(listed.origin, Origin::Own(_)) { "  (yours)" } else { "" };
        match (&listed.glance, listed.switched_off()) {
            (_, Some(why)) => page.line(&[(Ink::Name, &id), (Ink::Plain, listed.name()), (Ink::Caution, &format!("  ({why})"))]),
            (Ok(_), None) => page.line(&[(Ink::Name, &id), (Ink::Plain, listed.name()), (Ink::Faint, own)]),
            (Err(error), None) => page.line(&[(Ink::Name, &id), (Ink::Danger, "cannot be read: "), (Ink::Plain, &error.to_string())]),
        }
    }
    face.show(&page);
    Ok(Code::Done)
}
