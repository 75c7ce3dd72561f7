//! `doctor`: looks for faults in the person's folder, their scripts and sessions. Repairs nothing.

use clap::{ArgMatches, Command};

use super::{Code, Outcome};
use crate::app::{Listed, Session, World, quotes};
use crate::shell::face::Face;
use crate::shell::ink::{Ink, Page};
use crate::store::home::Shelf;
use crate::store::log::Ending;

pub(super) fn declare() -> Command {
    Command::new("doctor").about("Look for faults in your folder, scripts and sessions")
}

/// What was looked at, and what was found wrong with it.
struct Finding {
    what: String,
    state: State,
}

/// How something was found.
enum State {
    Sound,
    /// A script that needs a newer program: nothing is wrong with it.
    Off(String),
    Wrong(String),
}

impl Finding {
    /// Writes it behind its sign; several faults of one script come a line each.
    fn write(&self, sign: (Ink, &str), lines: &str, page: &mut Page) {
        for line in lines.lines() {
            page.line(&[sign, (Ink::Name, &self.what), (Ink::Plain, ": "), (Ink::Plain, line)]);
        }
    }
}

impl From<Option<String>> for State {
    fn from(wrong: Option<String>) -> State {
        wrong.map_or(State::Sound, State::Wrong)
    }
}

pub(super) fn run(face: &mut Face, _: &ArgMatches) -> Outcome {
    let findings = examine(&face.world);
    let mut page = Page::new();
    for finding in &findings {
        match &finding.state {
            State::Sound => page.line(&[(Ink::Good, "sound  "), (Ink::Plain, &finding.what)]),
            State::Off(why) => finding.write((Ink::Caution, "off    "), why, &mut page),
            State::Wrong(wrong) => finding.write((Ink::Danger, "FAULT  "), wrong, &mut page),
        }
    }
    let faults = findings.iter().filter(|finding| matches!(finding.state, State::Wrong(_))).count();
    page.say(Ink::Heading, &format!("{} looked at, {faults} at fault", findings.len()));
    face.show(&page);
    Ok(if faults == 0 { Code::Done } else { Code::Failed })
}

fn examine(world: &World) -> Vec<Finding> {
    let mut findings = Vec::new();
    let mut look = |what: String, state: State| findings.push(Finding { what, state });
    look(format!("folder {}", world.home.root().display()), folder(world).into());
    let clock = (world.clock.now().as_second() < 1_700_000_000)
        .then(|| format!("the clock says {}, long past", world.clock.stamp()));
    look("clock".into(), clock.into());
    look("settings".into(), world.examine_settings().err().map(|error| error.to_string()).into());
    look(
        "quotes".into(),
        match quotes(world) {
            Ok((_, warnings)) if warnings.is_empty() => State::Sound,
            Ok((_, warnings)) => State::Wrong(warnings.join("; ")),
            Err(error) => State::Wrong(error.to_string()),
        },
    );
    look("pins".into(), world.home.pins().err().map(|error| error.to_string()).into());
    look("stock and tickets".into(), yard_run(world).into());
    for (shelf, noun) in [(Shelf::Recipes, "recipe"), (Shelf::Yards, "yard")] {
        let others = world.home.scripts(shelf).map(|list| list.others).unwrap_or_default();
        for other in others {
            look(
                format!("{noun}s/{other}"),
                State::Wrong("this is no script that the program can use: name it like-this.rhai".into()),
            );
        }
        match world.listed(shelf) {
            Err(error) => look(format!("{noun}s"), State::Wrong(error.to_string())),
            Ok(listed) => {
                for listed in &listed {
                    look(format!("{noun} {}", listed.id), script(world, shelf, listed));
                }
            }
        }
    }
    match world.home.sessions() {
        Err(error) => look("sessions".into(), State::Wrong(error.to_string())),
        Ok(list) => {
            for id in &list.ids {
                let wrong = match Session::view(world, id.as_str(), None, None) {
                    Ok((_, seen)) => seen.damage.or(seen.other_text),
                    Err(error) => Some(error.to_string()),
                };
                look(format!("session {id}"), wrong.into());
            }
            for other in &list.others {
                look(
                    format!("sessions/{other}"),
                    State::Wrong("the program did not put this file there; move it elsewhere".into()),
                );
            }
        }
    }
    findings
}

fn script(world: &World, shelf: Shelf, listed: &Listed) -> State {
    if let Some(why) = listed.switched_off() {
        return State::Off(why);
    }
    let read =
        if shelf == Shelf::Recipes { world.recipe(&listed.id).map(drop) } else { world.yard(&listed.id).map(drop) };
    read.err().map(|error| error.to_string()).into()
}

/// The log of the stock, and the tickets that it names. What ended sessions freed is looked at with the sessions.
fn yard_run(world: &World) -> Option<String> {
    let reading = match world.home.stock() {
        Err(error) => return Some(error.to_string()),
        Ok(reading) => reading?,
    };
    if let Ending::Damaged(damage) = reading.ending {
        return Some(damage.to_string());
    }
    match world.tickets() {
        Err(error) => Some(error.to_string()),
        Ok((_, warnings)) => Some(warnings.join("\n")).filter(|text| !text.is_empty()),
    }
}

fn folder(world: &World) -> Option<String> {
    match world.home.exists() {
        Err(error) => Some(error.to_string()),
        Ok(false) => None,
        // Taking the lock is the least that writing needs.
        Ok(true) => world.home.lock(&world.clock.stamp()).err().map(|error| error.to_string()),
    }
}
