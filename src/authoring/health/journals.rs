//! The sessions: their journals, the script copies they ran under, and what their times say about the clock.

use jiff::Timestamp;

use super::folder::is_ahead;
use super::scripts::is_no_folder;
use super::{Findings, Health};
use crate::sessions::Session;
use crate::sessions::history::{Archive, SessionRecord};
use crate::store::Id;
use crate::store::home::Results;
use crate::world::{AppError, World};

pub(super) fn examine(world: &World, findings: &mut Findings) {
    let list = match world.home.sessions() {
        // Reported with the folders.
        Err(error) if is_no_folder(&error) => return,
        result => findings.add_error("sessions", result),
    };
    let Some(list) = list else { return };
    let Some(archive) = findings.add_error("sessions", Archive::new(world)) else { return };
    let results = world.home.results();
    for id in &list.ids {
        let found = session(&archive, &results, id);
        findings.add(format!("session {id}"), found);
    }
    for other in &list.others {
        let what = "the program did not put this file there; move it elsewhere";
        findings.add(format!("sessions/{other}"), Health::Wrong(what.to_owned()));
    }
    if let Some(ahead) = list.ids.iter().find_map(|id| dated_ahead(world, id)) {
        findings.add("clock", Health::Wrong(ahead));
    }
}

fn session(archive: &Archive<'_>, results: &Results, id: &Id) -> Health {
    let world = archive.world();
    let record = match SessionRecord::read(&world.home, id) {
        Ok(record) => record,
        Err(error) => return Health::Wrong(error.to_string()),
    };
    if let Some(wrong) = record.damage() {
        return Health::Wrong(wrong.to_owned());
    }
    for digest in record.texts() {
        // A changed copy is reported with the copies.
        if let Ok(None) = world.home.seen_script(digest) {
            let what = format!(
                "no copy of a script that it ran under is kept (scripts-seen/{digest}.rhai): once the script changes, it \
                 can be replayed only by the changed one"
            );
            return Health::Wrong(what);
        }
    }
    let (session, seen) = match Session::view(archive, id, None, None) {
        Ok(found) => found,
        Err(error) => return Health::Wrong(error.to_string()),
    };
    if !seen.remarks.is_empty() {
        return Health::Wrong(seen.remarks.join("; "));
    }
    let header = session.header();
    if record.result().is_some_and(|kept| session.haul_played().is_ok_and(|played| !kept.is_same_goods(&played))) {
        let what = "its answers come to something else under this version of the program; what its journal says counts";
        return Health::Note(what.to_owned());
    }
    if archive.is_kept_right(results, id, record).is_ok_and(|is_right| !is_right) {
        let what = "results.txt says something else of it than its journal. Remove that file: it is made anew";
        return Health::Wrong(what.to_owned());
    }
    // The copy is kept, so nothing is lost; a recipe that is at fault is found with the recipes.
    if let Err(AppError::Name(_)) = world.recipe(&header.recipe) {
        let (recipe, digest) = (&header.recipe, &header.recipe_digest);
        return Health::Note(format!(
            "the recipe {recipe} is gone. Nothing is lost: that copy is scripts-seen/{digest}.rhai; put it back as recipes/{recipe}.rhai to have \
             the recipe again"
        ));
    }
    set_back(session.entries().iter().map(|entry| entry.at.as_str())).map_or(Health::Sound, Health::Note)
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
