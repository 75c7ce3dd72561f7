//! `doctor`: looks for faults in the person's folder, their scripts and sessions. Repairs nothing.

use clap::{ArgMatches, Command};

use super::{Code, Outcome};
use crate::app::{Session, World, quotes};
use crate::shell::face::Face;
use crate::shell::ink::{Ink, Page};
use crate::store::home::Shelf;

pub(super) fn declare() -> Command {
    Command::new("doctor").about("Look for faults in your folder, scripts and sessions")
}

/// What was looked at, and what was found wrong with it.
struct Finding {
    what: String,
    wrong: Option<String>,
}

pub(super) fn run(face: &mut Face, _: &ArgMatches) -> Outcome {
    let findings = examine(&face.world);
    let mut page = Page::new();
    for finding in &findings {
        match &finding.wrong {
            None => page.line(&[(Ink::Good, "sound  "), (Ink::Plain, &finding.what)]),
            Some(wrong) => {
                // Several faults of one script come a line each.
                for wrong in wrong.lines() {
                    page.line(&[
                        (Ink::Danger, "FAULT  "),
                        (Ink::Name, &finding.what),
                        (Ink::Plain, ": "),
                        (Ink::Plain, wrong),
                    ]);
                }
            }
        }
    }
    let faults = findings.iter().filter(|finding| finding.wrong.is_some()).count();
    page.say(Ink::Heading, &format!("{} looked at, {faults} at fault", findings.len()));
    face.show(&page);
    Ok(if faults == 0 { Code::Done } else { Code::Failed })
}

fn examine(world: &World) -> Vec<Finding> {
    let mut findings = Vec::new();
    let mut look = |what: String, wrong: Option<String>| findings.push(Finding { what, wrong });
    look(format!("folder {}", world.home.root().display()), folder(world));
    let clock = (world.clock.now().as_second() < 1_700_000_000)
        .then(|| format!("the clock says {}, long past", world.clock.stamp()));
    look("clock".into(), clock);
    look("settings".into(), world.examine_settings().err().map(|error| error.to_string()));
    look(
        "quotes".into(),
        match quotes(world) {
            Ok((_, warnings)) if warnings.is_empty() => None,
            Ok((_, warnings)) => Some(warnings.join("; ")),
            Err(error) => Some(error.to_string()),
        },
    );
    for (shelf, noun) in [(Shelf::Recipes, "recipe"), (Shelf::Yards, "yard")] {
        let others = world.home.scripts(shelf).map(|list| list.others).unwrap_or_default();
        for other in others {
            look(
                format!("{noun}s/{other}"),
                Some("this is no script that the program can use: name it like-this.rhai".into()),
            );
        }
        match world.ids(shelf) {
            Err(error) => look(format!("{noun}s"), Some(error.to_string())),
            Ok(ids) => {
                for id in ids {
                    let read =
                        if shelf == Shelf::Recipes { world.recipe(&id).map(drop) } else { world.yard(&id).map(drop) };
                    look(format!("{noun} {id}"), read.err().map(|error| error.to_string()));
                }
            }
        }
    }
    match world.home.sessions() {
        Err(error) => look("sessions".into(), Some(error.to_string())),
        Ok(list) => {
            for id in &list.ids {
                let wrong = match Session::view(world, id.as_str(), None, None) {
                    Ok((_, damage)) => damage,
                    Err(error) => Some(error.to_string()),
                };
                look(format!("session {id}"), wrong);
            }
            for other in &list.others {
                look(
                    format!("sessions/{other}"),
                    Some("the program did not put this file there; move it elsewhere".into()),
                );
            }
        }
    }
    findings
}

fn folder(world: &World) -> Option<String> {
    match world.home.exists() {
        Err(error) => Some(error.to_string()),
        Ok(false) => None,
        // Taking the lock is the least that writing needs.
        Ok(true) => world.home.lock(&world.clock.stamp()).err().map(|error| error.to_string()),
    }
}
