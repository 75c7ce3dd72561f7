//! Texts taken over from others: whether they still are what they were when they were pinned.

use std::collections::BTreeSet;

use super::changes::Changes;
use super::shelves::{Found, Origin, noun};
use super::world::World;
use crate::store::digest;
use crate::store::home::{Pin, Shelf};

/// Something that a person should hear about a script although it is used all the same.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Notice {
    /// What there is to say.
    pub text: String,
    /// What changed, where that is known.
    pub changes: Changes,
}

/// What is to be said, and of which texts it was said already.
#[derive(Debug, Default)]
pub(super) struct Reports {
    said: BTreeSet<(&'static str, String)>,
    waiting: Vec<Notice>,
}

impl World {
    /// What has come up since this was asked last, to be said once.
    pub fn notices(&self) -> Vec<Notice> {
        std::mem::take(&mut self.reports.borrow_mut().waiting)
    }

    /// Reports a script of the person's own that was pinned and changed, as it is loaded.
    pub(super) fn report_if_changed(&self, found: &Found) {
        if matches!(found.origin, Origin::Own(_)) {
            self.report_change(found.shelf, &found.id, &found.text);
        }
    }

    /// Reports a pinned text that was changed, once a run of the program. It is used as it is: it lies in the person's own
    /// folder, and a change there is theirs to make; what it must not do is pass unseen.
    pub(super) fn report_change(&self, shelf: Shelf, id: &str, text: &str) {
        let notice = match self.home.pins() {
            Ok(pins) => pins
                .get(shelf, id)
                .filter(|pin| pin.script != digest(text.as_bytes()))
                .map(|pin| self.change_since(shelf, id, text, pin)),
            Err(error) => {
                Some(Notice { text: format!("what was pinned cannot be told: {error}"), changes: Changes::default() })
            }
        };
        let mut reports = self.reports.borrow_mut();
        if let Some(notice) = notice
            && reports.said.insert((shelf.folder(), id.to_owned()))
        {
            reports.waiting.push(notice);
        }
    }

    fn change_since(&self, shelf: Shelf, id: &str, text: &str, pin: &Pin) -> Notice {
        let day = pin.adopted.split('T').next().unwrap_or_default();
        let text_then = self.home.seen_script(&pin.script).ok().flatten();
        let said =
            format!("the {} {id} was changed after it was taken in on {day}; it is used as it is now", noun(shelf));
        match text_then {
            Some(then) => Notice { text: said, changes: Changes::between(&then, text) },
            None => {
                let text = format!("{said}. What it was then cannot be shown: the kept copy is gone");
                Notice { text, changes: Changes::default() }
            }
        }
    }
}
