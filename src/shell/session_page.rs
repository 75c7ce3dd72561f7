//! The pages of sessions: a list of all, and one with its answers.

use super::ink::{Ink, Page};
use super::page;
use crate::bench::{Ask, MENDED};
use crate::sessions::Session;
use crate::sessions::history::Archive;
use crate::world::{AppError, World};

/// All sessions, one line each: its state and what it nets.
///
/// # Errors
/// The folder cannot be read, or a tally cannot be computed.
pub fn list(world: &World) -> Result<Page, AppError> {
    let mut page = Page::new();
    let list = world.home.sessions()?;
    let archive = Archive::new(world)?;
    for id in &list.ids {
        match Session::view(&archive, id, None, None) {
            Ok((session, seen)) => {
                let state = match session.run_result().waits() {
                    _ if seen.damaged => "damaged".to_owned(),
                    _ if session.standing().is_discarded() => {
                        page.line(&[(Ink::Name, &format!("{id}  ")), (Ink::Plain, "set aside, counts nowhere")]);
                        continue;
                    }
                    Some(question) if !session.has_ended() => format!("waits at {}", question.name()),
                    _ => "ended".to_owned(),
                };
                let net = session.tally()?.net.show(session.valuation().notation);
                page.line(&[
                    (Ink::Name, &format!("{id}  ")),
                    (Ink::Plain, &state),
                    (Ink::Plain, "  estimated net "),
                    (Ink::Money, &net),
                ]);
                // Damage is reported above.
                for why in seen.remarks.into_iter().skip(usize::from(seen.damaged)) {
                    page.line(&[(Ink::Plain, "  "), (Ink::Caution, &why)]);
                }
            }
            Err(error) => page.line(&[
                (Ink::Name, &format!("{id}  ")),
                (Ink::Danger, "cannot be read: "),
                (Ink::Plain, &error.to_string()),
            ]),
        }
    }
    if list.ids.is_empty() {
        page.say(Ink::Plain, "There is no session yet; bench RECIPE begins one.");
    }
    Ok(page)
}

/// A session in full: its answers and notes, and its state.
///
/// # Errors
/// It cannot be loaded.
pub fn page(world: &World, id: &str) -> Result<Page, AppError> {
    let (session, seen) = Session::look(world, id, None, None)?;
    let header = session.header();
    let mut page = Page::new();
    page.line(&[
        (Ink::Heading, &header.recipe_name),
        (Ink::Faint, &format!("  {}, begun {}", header.id, header.started)),
    ]);
    for remark in &seen.remarks {
        page.say(if seen.damaged { Ink::Danger } else { Ink::Caution }, remark);
    }
    for asked in &session.run_result().asked {
        let name = asked.question.name();
        let given = session.standing().answer(&name);
        let typed = given.map(|given| given.typed.clone()).unwrap_or_default();
        let mended = given.filter(|given| given.origin.as_deref() == Some(MENDED));
        let mended = mended.map(|given| format!("  (corrected on {})", given.at.get(..10).unwrap_or(&given.at)));
        page.line(&[
            (Ink::Name, &name),
            (Ink::Plain, " = "),
            (Ink::Plain, &typed),
            (Ink::Faint, mended.as_deref().unwrap_or_default()),
        ]);
    }
    for (at, text) in session.standing().notes() {
        page.line(&[(Ink::Faint, at), (Ink::Plain, "  "), (Ink::Plain, text)]);
    }
    page.append(page::ending(world, &session));
    Ok(page)
}

/// The answers of a session that can be corrected: all except those to guards.
pub fn correctable(session: &Session<'_>) -> Page {
    let mut page = Page::new();
    for asked in session.run_result().asked.iter().filter(|asked| !matches!(asked.question.ask, Ask::Guard { .. })) {
        let name = asked.question.name();
        page.line(&[(Ink::Name, &name), (Ink::Plain, " = "), (Ink::Plain, &answer_of(session, &name))]);
    }
    page.say(Ink::Plain, &format!("Put one right with: correct {} NAME", session.id()));
    page
}

/// The text typed for a question.
pub fn answer_of(session: &Session<'_>, name: &str) -> String {
    session.standing().answer(name).map(|given| given.typed.clone()).unwrap_or_default()
}
