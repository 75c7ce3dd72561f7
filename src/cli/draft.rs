//! `draft`: makes a recipe from a session.

use clap::{Arg, ArgMatches, Command};

use super::options::{self, text};
use super::{Code, Outcome};
use crate::authoring::{Bounds, Subject, check, draft};
use crate::sessions::Session;
use crate::shell::findings;
use crate::shell::ink::Ink;
use crate::shell::recipe_page;
use crate::shell::terminal::Terminal;
use crate::store::Id;
use crate::store::home::Shelf;

pub(super) fn declare() -> Command {
    Command::new("draft")
        .about("Make a recipe of a session, in your folder, and list what it still lacks")
        .after_help("Above all for a session of an unfamiliar unit: its steps were made up at the bench. Every range rests on one\nsession and is marked as a guess. Examples: draft · draft 2026-11-02-unfamiliar-unit-1 --id bread-maker")
        .arg(options::session())
        .arg(Arg::new("id").long("id").value_name("ID").help("The recipe's id [else made from the unit's name]"))
        .arg(Arg::new("name").long("name").value_name("NAME").help("What such a unit is called [else as in the session]"))
}

pub(super) fn run(terminal: &mut Terminal, matches: &ArgMatches) -> Outcome {
    let id = terminal.world.counted_session(text(matches, "session").unwrap_or_default())?;
    let (session, seen) = Session::look(&terminal.world, id.as_str(), None, None)?;
    for remark in seen.remarks {
        terminal.say_aside(&format!("warning: {}: {remark}", session.id()));
    }
    let draft = draft(&session, text(matches, "id"), text(matches, "name"))?;
    let path = terminal.world.write_new(Shelf::Recipes, &draft.id, &draft.script)?;
    let stamp = terminal.world.clock.stamp();
    terminal.world.home.put_test_session(&Id::new(&draft.id)?, &draft.test_session, &stamp)?;
    terminal.say(Ink::Good, &format!("Written: {}", path.display()));
    terminal.say(Ink::Plain, "The answers of the session stand beside it, as its test session.");
    let checked =
        check(&terminal.world, &[Subject::named(&terminal.world, Shelf::Recipes, &draft.id)?], Bounds::default())?;
    checked.iter().for_each(|one| findings::show(terminal, one));
    terminal.show(&recipe_page::to_fill_in(&draft));
    Ok(Code::Done)
}
