//! Differences between two texts as lines, each with a sign, so that nothing depends on colour alone.

use super::ink::{Ink, Page};
use crate::naming::counted;
use crate::world::{ChangedLine, Changes, Notice};

/// The most lines of changes shown next to other things.
const MOST_ASIDE: usize = 24;

/// Changes as a page of at most `most` lines.
pub fn page(changes: &Changes, most: usize) -> Page {
    let mut page = Page::new();
    for line in changes.lines.iter().take(most) {
        match line {
            ChangedLine::Gone(text) => page.line(&[(Ink::Caution, "  - "), (Ink::Caution, text)]),
            ChangedLine::New(text) => page.line(&[(Ink::Good, "  + "), (Ink::Good, text)]),
            ChangedLine::Same(text) => page.line(&[(Ink::Faint, "    "), (Ink::Faint, text)]),
            ChangedLine::Gap(line) => page.line(&[(Ink::Faint, &format!("  from line {line} on"))]),
        }
    }
    if changes.lines.len() > most {
        page.line(&[(Ink::Faint, &format!("  and {} more lines", changes.lines.len() - most))]);
    }
    page
}

/// `3 lines gone, 5 new`.
pub fn count(changes: &Changes) -> String {
    format!("{} gone, {} new", counted(changes.gone, "line"), changes.new)
}

/// The text of a notice, for the error stream.
pub(super) fn notice(notice: &Notice) -> Page {
    let mut said = Page::new();
    if notice.changes.is_empty() {
        said.say(Ink::Caution, &notice.text);
        return said;
    }
    said.say(Ink::Caution, &format!("{} ({})", notice.text, count(&notice.changes)));
    said.append(page(&notice.changes, MOST_ASIDE));
    said
}
