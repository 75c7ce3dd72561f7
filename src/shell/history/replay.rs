//! Replayed sessions as text.

use super::layout::PageLayout;
use super::totals::{effect_cells, totals_page};
use crate::naming::counted;
use crate::quantity::Notation;
use crate::sessions::history::{ReplayTerms, ReplayTotals, Replayed, Valued};
use crate::shell::ink::{Ink, Page};
use crate::shell::page::signed;
use crate::shell::table::TextTable;

/// The most sessions listed one by one; the totals, JSON and CSV cover all.
const LISTED: usize = 200;

/// The page of replayed sessions with their totals.
pub fn page(sessions: &[Replayed], totals: &ReplayTotals, terms: &ReplayTerms, layout: PageLayout) -> Page {
    let mut page = Page::new();
    if sessions.is_empty() {
        page.say(Ink::Plain, "No session was replayed.");
        return page;
    }
    head(sessions, terms, &mut page);
    page.blank();
    page.append(listing(sessions, layout));
    if sessions.len() > LISTED {
        let left = sessions.len() - LISTED;
        page.say(Ink::Faint, &format!("and {left} more: --format csv lists all; the totals count all that have ended"));
    }
    let going_on: Vec<&str> = sessions.iter().filter(|one| !one.ended).map(|one| one.id.as_str()).collect();
    if !going_on.is_empty() {
        page.say(Ink::Caution, &format!("Not ended, and in no total: {}", going_on.join(", ")));
    }
    if sessions.len() - going_on.len() > 1 {
        page.blank();
        page.append(totals_page(totals, &terms.yards, layout));
    }
    earlier(sessions, terms, layout.notation, &mut page);
    remarks(sessions, &mut page);
    page
}

fn head(sessions: &[Replayed], terms: &ReplayTerms, page: &mut Page) {
    page.line(&[(Ink::Heading, &format!("{}, replayed", counted(sessions.len(), "session")))]);
    let mut days: Vec<String> = Vec::new();
    for valued in sessions.iter().flat_map(|session| &session.now) {
        let sample = if valued.sample { "; its prices are invented samples" } else { "" };
        let day = format!("{} on {}{sample}", valued.yard, valued.date);
        if !days.contains(&day) {
            days.push(day);
        }
    }
    page.say(Ink::Plain, &format!("Now at: {}", days.join(" · ")));
    page.say(
        Ink::Plain,
        "As it was: own yard with the prices of the moment on which the session ended, under the recipe as it ran. All of it is \
         an estimate; what a yard has paid stands on its ticket.",
    );
    if terms.recipe != crate::sessions::history::RecipeChoice::AsRan {
        page.say(Ink::Plain, "Now under another text of the recipe; answers that no longer fit are listed below.");
    }
    if sessions.iter().flat_map(|session| &session.now).any(|valued| valued.effects.is_none()) {
        page.say(
            Ink::Plain,
            "Sums of other currencies are not compared: where it was another, no difference is given.",
        );
    }
    page.say(Ink::Faint, "price: the yard's terms · mix: what was sold as what, and costs · yield: how much was sold; they add up exactly.");
}

/// Every session at every yard: one table if it fits, else the nets side by side and then the causes of the difference,
/// else one fact per line.
fn listing(sessions: &[Replayed], layout: PageLayout) -> Page {
    let sessions = &sessions[..sessions.len().min(LISTED)];
    let whole = whole(sessions, layout.notation);
    let nets = nets(sessions, layout.notation);
    if layout.plain || whole.fits(layout.columns) || !nets.fits(layout.columns) {
        return whole.page(layout.columns, layout.plain);
    }
    let mut page = nets.page(layout.columns, false);
    let yards = sessions.first().map_or(0, |session| session.now.len());
    for place in 0..yards {
        page.blank();
        page.line(&[(Ink::Heading, &difference_at(sessions, place, yards))]);
        page.append(differences(sessions, place, layout.notation).page(layout.columns, false));
    }
    page
}

fn whole(sessions: &[Replayed], notation: Notation) -> TextTable {
    let at = !is_one_yard(sessions);
    let heads = ["session", "was", "at", "nets", "difference", "price", "mix", "yield", "per hour"];
    let mut table = TextTable::new(&heads.into_iter().filter(|head| at || *head != "at").collect::<Vec<_>>());
    for session in sessions {
        for (place, valued) in session.now.iter().enumerate() {
            let first = place == 0;
            let name = if first { session.id.as_str() } else { "" };
            let was = if first { session.was.net.show(notation) } else { String::new() };
            let mut row = vec![(Ink::Name, name.to_owned()), (Ink::Money, was)];
            row.extend(at.then(|| (Ink::Plain, valued.yard.clone())));
            row.push((Ink::Money, valued.net.show(notation)));
            row.extend(effect_cells(valued.effects.as_ref(), notation));
            row.push(hourly(valued, notation));
            table.row(row);
        }
    }
    table
}

/// Whether all sessions share one yard, which the head then names.
fn is_one_yard(sessions: &[Replayed]) -> bool {
    let mut yards = sessions.iter().flat_map(|session| &session.now).map(|valued| valued.yard.as_str());
    let first = yards.next();
    yards.all(|yard| Some(yard) == first)
}

/// Each session and its net, one column per yard asked for.
fn nets(sessions: &[Replayed], notation: Notation) -> TextTable {
    let yards = sessions.first().map_or(&[][..], |session| &session.now[..]);
    let mut heads = vec!["session", "was"];
    match yards {
        [_] => heads.push("nets"),
        several => heads.extend(several.iter().map(|valued| valued.yard.as_str())),
    }
    let mut table = TextTable::new(&heads);
    for session in sessions {
        let mut row = vec![(Ink::Name, session.id.clone()), (Ink::Money, session.was.net.show(notation))];
        row.extend(session.now.iter().map(|valued| (Ink::Money, valued.net.show(notation))));
        table.row(row);
    }
    table
}

fn difference_at(sessions: &[Replayed], place: usize, yards: usize) -> String {
    let yard = sessions.first().and_then(|session| session.now.get(place)).filter(|_| yards > 1);
    yard.map_or_else(|| "What makes the difference".to_owned(), |valued| format!("The difference at {}", valued.yard))
}

fn differences(sessions: &[Replayed], place: usize, notation: Notation) -> TextTable {
    let mut table = TextTable::new(&["session", "difference", "price", "mix", "yield", "per hour"]);
    for (session, valued) in sessions.iter().filter_map(|session| Some((session, session.now.get(place)?))) {
        let mut row = vec![(Ink::Name, session.id.clone())];
        row.extend(effect_cells(valued.effects.as_ref(), notation));
        row.push(hourly(valued, notation));
        table.row(row);
    }
    table
}

fn hourly(valued: &Valued, notation: Notation) -> (Ink, String) {
    (Ink::Plain, valued.per_hour.map(|money| signed(money, notation)).unwrap_or_default())
}

/// Sessions where stopping earlier would have left more at the required hourly rate.
fn earlier(sessions: &[Replayed], terms: &ReplayTerms, notation: Notation, page: &mut Page) {
    let Some(floor) = terms.floor else { return };
    page.blank();
    page.line(&[(Ink::Heading, &format!("With an hour of your time at {}", notation.show(floor)))]);
    let mut any = false;
    for session in sessions.iter().take(LISTED) {
        for Valued { yard, earlier, .. } in &session.now {
            let Some(stop) = earlier else { continue };
            any = true;
            let place = match &stop.after {
                Some(title) => format!("stopping after “{title}”"),
                None => "selling it unopened".to_owned(),
            };
            page.line(&[
                (Ink::Name, &session.id),
                (Ink::Plain, &format!(" at {yard}: {place} would have netted {}", stop.net.show(notation))),
                (Ink::Plain, &format!(" in {} min, ", notation.show(stop.minutes.get().round_dp(1)))),
                (Ink::Money, &format!("{} better", stop.better_by.show(notation))),
            ]);
        }
    }
    if !any {
        page.say(Ink::Plain, "No session would have been better stopped earlier.");
    }
    page.say(
        Ink::Faint,
        "Along the way that was taken; places where something hazardous was still inside do not count.",
    );
}

fn remarks(sessions: &[Replayed], page: &mut Page) {
    let unfit = sessions.iter().filter(|session| !session.unfit.is_empty());
    let mut titled = false;
    for session in unfit.take(LISTED) {
        if !titled {
            page.blank();
            page.line(&[(Ink::Heading, "Answers that no longer fit")]);
            titled = true;
        }
        page.line(&[(Ink::Name, &session.id)]);
        for unfit in &session.unfit {
            page.say(Ink::Caution, &format!("  {} = {}: {}", unfit.name, unfit.exact, unfit.why));
        }
    }
    for session in sessions.iter().take(LISTED) {
        for remark in &session.remarks {
            page.line(&[(Ink::Caution, "Note "), (Ink::Name, &session.id), (Ink::Plain, &format!(": {remark}"))]);
        }
    }
}
