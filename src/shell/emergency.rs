//! The emergency cards: `help now` shows them wherever a line is read.

use super::ink::{Ink, Page};
use crate::recipe::{Emergency, EmergencyBook};

/// The command for the cards.
pub const HELP_NOW: &str = "help now";

/// Its description, for lists of words.
pub const HELP_NOW_DOES: &str = "after an accident: call for help, and what to do first";

/// Parses a line as a call for the cards; returns the accident named after it, if any.
pub fn wanted(line: &str) -> Option<String> {
    let mut words =
        line.split(|c: char| c.is_whitespace() || matches!(c, '!' | '?' | '.')).filter(|word| !word.is_empty());
    let called = HELP_NOW.split(' ').all(|known| words.next().is_some_and(|word| word.eq_ignore_ascii_case(known)));
    called.then(|| words.collect::<Vec<_>>().join(" "))
}

/// A card.
pub fn card((number, card): (usize, &Emergency)) -> Page {
    let mut page = Page::new();
    page.line(&[(Ink::Danger, "IF IT HAPPENS"), (Ink::Figure, &format!("  {number}  ")), (Ink::Heading, &card.name)]);
    page.line(&[(Ink::Name, "First: "), (Ink::Heading, &card.first.says)]);
    for (place, line) in card.lines.iter().enumerate() {
        page.line(&[(Ink::Figure, &format!("  {}. ", place + 1)), (Ink::Plain, &line.says)]);
    }
    page.say(Ink::Faint, &card.disclaimer());
    page
}

/// A card with its sources.
pub fn in_full(book: &EmergencyBook, found: (usize, &Emergency)) -> Page {
    let mut page = card(found);
    for line in std::iter::once(&found.1.first).chain(&found.1.lines) {
        let sources = line.on.iter().filter_map(|key| book.sources().get(key));
        let from: Vec<String> = sources.map(|source| format!("{} ({})", source.at, source.grade)).collect();
        if !from.is_empty() {
            page.line(&[(Ink::Faint, "Source of "), (Ink::Faint, &format!("{:?}: {}", line.says, from.join("; ")))]);
        }
    }
    page.line(&[(Ink::Faint, "Status: "), (Ink::Faint, &found.1.status)]);
    page
}

/// All cards by number and name.
pub fn list(book: &EmergencyBook) -> Page {
    let mut page = Page::new();
    page.line(&[(Ink::Danger, "IF IT HAPPENS  "), (Ink::Heading, "Call your emergency number first.")]);
    for (number, card) in book.numbered() {
        page.line(&[(Ink::Figure, &format!("{number:>4}  ")), (Ink::Plain, &card.name)]);
    }
    page.say(Ink::Faint, &format!("{HELP_NOW} NUMBER, or a word for what happened, shows one."));
    page
}

/// The cards for `help now`: those for the accident named; without one, those of the relevant hazards, nearest first.
/// All others are listed by number right under the first, so that any other accident is one number away.
pub fn now(book: &EmergencyBook, at_hand: &[String], what: &str) -> Vec<Page> {
    let mut pages = Vec::new();
    let mut shown = book.find(what);
    if shown.is_empty() {
        shown = book.at_hand(at_hand.iter().map(String::as_str));
        if !what.is_empty() {
            let mut page = Page::new();
            page.say(Ink::Caution, &format!("No card is called {what}."));
            pages.push(page);
        }
    }
    let Some(((number, nearest), further)) = shown.split_first() else {
        pages.push(list(book));
        return pages;
    };
    pages.push(card((*number, nearest)));
    let others = book.numbered().filter(|(other, _)| other != number);
    let others: Vec<String> = others.map(|(number, card)| format!("{number}\u{a0}{}", card.id)).collect();
    let mut rest = Page::new();
    rest.line(&[(Ink::Name, &format!("Others, by {HELP_NOW} NUMBER: ")), (Ink::Plain, &others.join(" · "))]);
    pages.push(rest);
    pages.extend(further.iter().map(|found| card(*found)));
    pages
}

/// The pages as screens of at most `rows` lines of `columns`: whole pages share a screen if they fit; a longer one
/// continues under its own heading.
pub fn screens(pages: &[Page], columns: usize, rows: usize) -> Vec<Page> {
    let rows = rows.max(4);
    let mut screens: Vec<Page> = Vec::new();
    for page in pages.iter().map(|page| page.wrapped(columns)) {
        match screens.last_mut().filter(|last| last.lines().len() + page.lines().len() < rows) {
            Some(last) => {
                last.blank();
                last.append(page);
            }
            None => screens.extend(page.parted(rows)),
        }
    }
    screens
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_call_is_told_from_answers() {
        for (line, what) in
            [("help now", ""), (" HELP  Now! ", ""), ("help now burn", "burn"), ("help now burnt hand", "burnt hand")]
        {
            assert_eq!(wanted(line).as_deref(), Some(what), "{line:?}");
        }
        for answer in ["help", "now", "helpnow", "help nowhere", "= help now", "note help now", "now help"] {
            assert_eq!(wanted(answer), None, "{answer:?}");
        }
    }

    #[test]
    fn a_long_page_goes_on_under_its_heading() {
        let page = |lines: usize| {
            let mut page = Page::new();
            (0..lines).for_each(|line| page.say(Ink::Plain, &format!("line {line}")));
            page
        };
        let screens = screens(&[page(3), page(4), page(12)], 40, 8);
        let shown: Vec<(usize, String)> =
            screens.iter().map(|screen| (screen.lines().len(), screen.lines()[0][0].text().to_owned())).collect();
        assert_eq!(shown, [(8, "line 0".into()), (8, "line 0".into()), (5, "line 0".into())]);
    }
}
