//! The welcome text of the shell: for a newcomer what to try, without a yard how to choose one, and for everybody which
//! session is waiting.

use super::ink::{Ink, Page};
use crate::sessions::Session;
use crate::store::home::Shelf;
use crate::world::World;

/// What a newcomer can try, in the order of a first evening.
const FIRST: [(&str, &str); 5] = [
    ("demo", "a whole session played through to its tally; nothing is written"),
    ("recipes", "what can be taken apart; show NAME tells what is in it"),
    ("yards", "who buys, with invented prices; new yard enters those of yours"),
    ("settings yard NAME", "the yard that you sell to"),
    ("bench NAME", "take a unit apart, one question at a time"),
];

/// The page; empty if there is nothing to say.
pub fn page(world: &World) -> Page {
    let mut page = Page::new();
    match world.home.exists() {
        Ok(false) => newcomer(world, &mut page),
        // Faults of the folder are reported by whatever needs it.
        Ok(true) | Err(_) => {
            if world.config.yard.is_none() {
                no_yard(world, &mut page);
            }
            waiting(world, &mut page);
        }
    }
    page
}

fn newcomer(world: &World, page: &mut Page) {
    page.say(Ink::Plain, "Take discarded appliances apart by recipe, safely, and see what it nets at your yard.");
    page.line(&[
        (Ink::Plain, "Your folder will be "),
        (Ink::Name, &world.home.root().display().to_string()),
        (Ink::Plain, "; it is made with the first thing that you keep."),
    ]);
    page.say(Ink::Plain, "To begin:");
    for (command, does) in FIRST {
        page.line(&[(Ink::Name, &format!("  {command:<18}  ")), (Ink::Plain, does)]);
    }
    no_yard(world, page);
}

/// Whose prices are used until a yard is chosen, and which yards there are to choose from.
fn no_yard(world: &World, page: &mut Page) {
    let Ok(current) = world.yard_id(None) else { return };
    let others = world.ids(Shelf::Yards).unwrap_or_default().join(", ");
    page.line(&[
        (Ink::Caution, "No yard is chosen: "),
        (Ink::Plain, &format!("prices are those of {current}. Choose with settings yard NAME, one of {others}.")),
    ]);
}

/// The latest session, if it has not ended.
fn waiting(world: &World, page: &mut Page) {
    if let Ok((session, _)) = Session::look(world, "", None, None)
        && !session.has_ended()
    {
        page.line(&[(Ink::Plain, "A session waits: "), (Ink::Name, session.id()), (Ink::Plain, "; resume goes on.")]);
    }
}
