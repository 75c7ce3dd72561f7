//! `draft`: makes a recipe of a session.

use clap::{Arg, ArgMatches, Command};

use super::options::{self, text};
use super::{Code, Outcome};
use crate::app::{Bounds, Session, Subject, check, draft};
use crate::shell::face::Face;
use crate::shell::findings;
use crate::shell::ink::Ink;
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

pub(super) fn run(face: &mut Face, matches: &ArgMatches) -> Outcome {
    let (session, seen) = Session::look(&face.world, text(matches, "session").unwrap_or_default(), None, None)?;
    for remark in seen.remarks {
        face.say_aside(&format!("warning: {}: {remark}", session.id()));
    }
    let draft = draft(&session, text(matches, "id"), text(matches, "name"))?;
    let path = face.world.write_new(Shelf::Recipes, &draft.id, &draft.script)?;
    let stamp = face.world.clock.stamp();
    face.world.home.put_test_session(&Id::new(&draft.id)?, &draft.test_session, &stamp)?;
    face.say(Ink::Good, &format!("Written: {}", path.display()));
    face.say(Ink::Plain, "The answers of the session stand beside it, as its test session.");
    let checked = check(&face.world, &[Subject::named(&face.world, Shelf::Recipes, &draft.id)?], Bounds::default())?;
    checked.iter().for_each(|one| findings::show(face, one));
    face.say(Ink::Heading, "To fill in:");
    for line in &draft.to_fill_in {
        face.say(Ink::Plain, &format!("  {line}"));
    }
    face.say(Ink::Plain, &format!("Next: edit it; then check {0}, test {0}, and bench {0}", draft.id));
    Ok(Code::Done)
}
