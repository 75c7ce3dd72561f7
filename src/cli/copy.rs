//! `copy`: a shipped script into the person's folder, to edit.

use clap::{Arg, ArgMatches, Command};

use super::options::text;
use super::{Code, Outcome, script_named};
use crate::shell::face::Face;
use crate::shell::ink::Ink;

pub(super) fn declare() -> Command {
    Command::new("copy").about("Copy a shipped recipe or yard into your folder, to edit").arg(
        Arg::new("name").value_name("NAME").required(true).help("A recipe or a yard, by its id or a part of its name"),
    )
}

pub(super) fn run(face: &mut Face, matches: &ArgMatches) -> Outcome {
    let word = text(matches, "name").unwrap_or_default();
    let (shelf, id) = script_named(&face.world, word)?;
    for path in face.world.copy_script(shelf, &id)? {
        face.say(Ink::Plain, &format!("Copied to {}", path.display()));
    }
    face.say(Ink::Plain, "It is used in place of the shipped one from here on.");
    Ok(Code::Done)
}
