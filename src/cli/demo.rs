//! `demo`: plays a shipped test session to its tally. Asks nothing and writes nothing.

use std::path::PathBuf;

use clap::{ArgMatches, Command};

use super::options::{self, Format, date_of, text};
use super::{Outcome, bench};
use crate::app::Session;
use crate::shell::face::Face;
use crate::shell::ink::Ink;
use crate::store::home::Shelf;

/// The recipe that is played when none is named.
const FIRST: &str = "countertop-oven";

pub(super) fn declare() -> Command {
    Command::new("demo")
        .about("Play a recipe's test session to its tally; asks nothing, writes nothing")
        .arg(options::recipe())
        .arg(options::yard())
        .arg(options::date())
        .arg(options::format(&["text", "json", "csv", "markdown"]))
}

pub(super) fn run(face: &mut Face, matches: &ArgMatches) -> Outcome {
    let recipe = face.world.pick_one(Shelf::Recipes, text(matches, "recipe").unwrap_or(FIRST))?;
    let demo = face.world.test_session(&recipe)?;
    let yard = face.world.yard_id(text(matches, "yard").or(demo.yard.as_deref()))?;
    let date = date_of(matches).or(demo.date);
    let mut session = Session::rehearse(&face.world, &recipe, &yard, date)?;
    if options::format_of(matches) == Format::Text {
        face.say(Ink::Heading, &session.recipe().unit().name.clone());
        face.say(Ink::Faint, "A demonstration: unit, weights and yard are invented. Nothing is written.");
        face.rest();
    }
    bench::finish_played(face, &mut session, &demo, &PathBuf::from(format!("{recipe}.session.toml")), matches)
}
