//! The page at the end of a session: how it ended, and what the user should know besides the tally.

use crate::bench::{End, Presence, Unfit};
use crate::review;
use crate::sessions::Session;
use crate::shell::ink::{Ink, Page};
use crate::shell::stock;
use crate::world::World;

/// How the session ended and what the user should know besides the tally.
pub fn ending(world: &World, session: &Session<'_>) -> Page {
    let mut page = Page::new();
    if let Some(why) = session.why_not_counted() {
        page.line(&[(Ink::Caution, "Note: "), (Ink::Plain, &why)]);
    }
    let hazards = world.host().catalogue().hazards();
    let name = |id: &str| hazards.get(id).map_or(id.to_owned(), |hazard| hazard.name.clone());
    match &session.run_result().end {
        End::Waits(question) => page.line(&[(Ink::Caution, "Not finished: "), (Ink::Plain, &question.text)]),
        End::Complete => page.line(&[(Ink::Good, "Done. "), (Ink::Plain, "Every open step is done or left out.")]),
        End::Stopped => page.line(&[(Ink::Plain, "Stopped here. What is left is taken as it is.")]),
        End::Refused(id) => {
            page.line(&[(Ink::Danger, "Ended at a guard: "), (Ink::Plain, &name(id))]);
            page.say(Ink::Plain, "The hazard is still in the unit. Work no further on it; tell whoever takes it.");
        }
        End::HandedOn(id) => {
            page.line(&[(Ink::Caution, "Handed on whole: "), (Ink::Plain, &name(id))]);
            page.say(Ink::Plain, "What is left of the unit goes to a licensed person and is not valued.");
        }
    }
    if let Some(hazard) = match &session.run_result().end {
        End::Refused(id) | End::HandedOn(id) => hazards.get(id),
        _ => None,
    } {
        page.line(&[(Ink::Name, "Stop: "), (Ink::Plain, &hazard.stop)]);
        page.line(&[(Ink::Name, "Where it goes: "), (Ink::Plain, &hazard.disposal)]);
    }
    let skipped = session.skipped();
    if !skipped.is_empty() {
        page.line(&[(Ink::Plain, "Left out: "), (Ink::Plain, &skipped.join("; "))]);
    }
    if session.has_ended() {
        left_behind(session, &mut page);
        let out = session.run_result().state.parts.iter().filter(|part| part.presence != Presence::Absent);
        page.append(stock::keeping(world, out.map(|part| part.grade.as_str())));
    }
    page
}

fn left_behind(session: &Session<'_>, page: &mut Page) {
    let inside = session.still_inside();
    if !inside.is_empty() {
        let items = inside.iter().map(|item| annex_item(item)).collect::<Vec<_>>().join("; ");
        page.line(&[(Ink::Danger, "Still inside: "), (Ink::Plain, &items)]);
        page.say(Ink::Plain, "Tell whoever takes the remainder, or hand it to a licensed treater.");
    }
    session.run_result().unfit.iter().for_each(|known| page.append(unfit(known)));
}

/// An answer without a matching question.
pub fn unfit(unfit: &Unfit) -> Page {
    let mut page = Page::new();
    let text = format!("{} = {}: {}", unfit.name, unfit.exact, unfit.why);
    page.line(&[(Ink::Caution, "Answer not used: "), (Ink::Plain, &text)]);
    page
}

/// An item of WEEE Annex VII in our own words, with its number.
pub fn annex_item(item: &str) -> String {
    match review::annex_item(item) {
        Some(what) => format!("{what} ({item})"),
        None => format!("item {item} of WEEE Annex VII"),
    }
}
