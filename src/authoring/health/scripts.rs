//! The user's scripts and the shipped ones.

use std::path::Path;

use super::{Findings, Health};
use crate::sessions::Demo;
use crate::store::home::Shelf;
use crate::store::{Id, StoreError};
use crate::world::{AppError, ListedScript, Origin, World, noun};

pub(super) fn examine(world: &World, findings: &mut Findings) {
    for shelf in Shelf::ALL {
        strays(world, shelf, findings);
    }
    for shelf in [Shelf::Recipes, Shelf::Yards, Shelf::Tools, Shelf::Reports] {
        // Something else in a folder's place is reported with the folders.
        let Ok(listed) = world.listed(shelf) else { continue };
        for listed in &listed {
            findings.add(format!("{} {}", noun(shelf), listed.id), script(world, shelf, listed));
            if shelf == Shelf::Recipes && matches!(listed.origin, Origin::Own(_)) {
                let _sound = findings.add_error(format!("test session of {}", listed.id), session(world, &listed.id));
            }
        }
    }
}

/// Files that cannot be scripts.
fn strays(world: &World, shelf: Shelf, findings: &mut Findings) {
    for name in world.home.scripts(shelf).map(|list| list.others).unwrap_or_default() {
        let what = "this is no script that the program can use: name it like-this.rhai";
        findings.add(format!("{}/{name}", shelf.folder()), Health::Wrong(what.to_owned()));
    }
}

fn script(world: &World, shelf: Shelf, listed: &ListedScript) -> Health {
    if let Some(why) = listed.switched_off() {
        return Health::Off(why);
    }
    let read = match shelf {
        Shelf::Recipes => world.recipe(&listed.id).map(drop),
        Shelf::Tools | Shelf::Reports => world.tool(&listed.id).map(drop),
        Shelf::Yards | Shelf::Library => world.yard(&listed.id).map(drop),
    };
    read.err().map(|error| error.to_string()).into()
}

/// Reads the test session of a recipe of the user's own, if any.
fn session(world: &World, id: &str) -> Result<(), AppError> {
    let id = Id::new(id)?;
    let path = world.home.test_session_file(&id);
    match world.home.test_session(&id)? {
        Some(text) => Demo::parse(Path::new(&path), &text).map(drop),
        None => Ok(()),
    }
}

/// Whether the error is that something stands in a folder's place; that is reported with the folders.
pub(super) fn is_no_folder(error: &StoreError) -> bool {
    matches!(error, StoreError::WrongKind { wanted: "a folder", .. })
}
