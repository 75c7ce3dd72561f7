//! The sessions: their journals, the copies of the scripts that they ran under, and what their times say of the clock.

use jiff::Timestamp;

use super::folder::is_ahead;
use super::scripts::is_no_folder;
use super::{Findings, Found};
use crate::app::{AppError, Session, World};
use crate::store::Id;

pub(super) fn examine(world: &World, findings: &mut Findings) {
    let list = match world.home.sessions() {
        // Found with the folders.
        Err(error) if is_no_folder(&error) => return,
        result => findings.add_error("sessions", result),
    };
    let Some(list) = list else { return };
    for id in &list.ids {
        let found = session(world, id);
        findings.add(format!("session {id}"), found);
    }
    for other in &list.others {
        let what = "the program did not put this file there; move it elsewhere";
        findings.add(format!("sessions/{other}"), Found::Wrong(what.to_owned()));
    }
    if let Some(ahead) = list.ids.iter().find_map(|id| dated_ahead(world, id)) {
        findings.add("clock", Found::Wrong(ahead));
    }
}

fn session(world: &World, id: &Id) -> Found {
    let session = match Session::view(world, id.as_str(), None, None) {
        Ok((session, seen)) => match seen.damage {
            None => session,
            Some(wrong) => return Found::Wrong(wrong),
        },
        Err(error) => return Found::Wrong(error.to_string()),
    };
    let header = session.header();
    for digest in [Some(&header.recipe_digest), header.yard_digest.as_ref()].into_iter().flatten() {
        match world.home.seen_script(digest) {
            Ok(Some(_)) => {}
            Ok(None) => {
                let what = format!(
                    "no copy of a script that it ran under is kept (scripts-seen/{digest}.rhai): once the script changes, it \
                     can be replayed only by the changed one"
                );
                return Found::Wrong(what);
            }
            // Found with the copies.
            Err(_) => {}
        }
    }
    // The copy is kept, so nothing is lost; a recipe that is at fault is found with the recipes.
    if let Err(AppError::Name(_)) = world.recipe(&header.recipe) {
        let (recipe, digest) = (&header.recipe, &header.recipe_digest);
        return Found::Note(format!(
            "the recipe {recipe} is gone. Nothing is lost: that copy is scripts-seen/{digest}.rhai; put it back as recipes/{recipe}.rhai to have \
             the recipe again"
        ));
    }
    set_back(session.entries().iter().map(|entry| entry.at.as_str())).map_or(Found::Sound, Found::Note)
}

/// Where the times of a journal go backwards.
fn set_back<'a>(times: impl Iterator<Item = &'a str>) -> Option<String> {
    let mut former: Option<(&str, Timestamp)> = None;
    for (place, text) in (1..).zip(times) {
        let at: Timestamp = text.parse().ok()?;
        if let Some((earlier, _)) = former.filter(|(_, former)| at < *former) {
            return Some(format!(
                "entry {place} is dated {text}, before the entry above it ({earlier}): the clock was set back. No answer is \
                 affected; times that steps took are counted as 0 there"
            ));
        }
        former = Some((text, at));
    }
    None
}

/// An entry that is dated ahead of the clock.
fn dated_ahead(world: &World, id: &Id) -> Option<String> {
    let reading = world.home.session(id).ok()?;
    let ahead = |text: &&str| text.parse().is_ok_and(|at| is_ahead(world, at));
    let at = reading.records.iter().map(|entry| entry.at.as_str()).find(ahead)?;
    Some(format!(
        "an entry of {id} is dated {at}, but now it is {}. Set the clock right, or bear in mind that it was wrong then",
        world.clock.stamp()
    ))
}
