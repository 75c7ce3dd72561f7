//! Texts taken over from others: whether they still are what they were when they were pinned.

use super::changes::Changes;
use super::door::World;
use super::error::AppError;
use super::found::{Found, Origin, noun};
use super::notices::{LOGS, Notice};
use crate::store::digest;
use crate::store::home::{Pin, Shelf, Single};
use crate::store::log::{Ending, Reading};

impl World {
    /// What has come up since this was asked last, to be said once.
    pub fn notices(&self) -> Vec<Notice> {
        std::mem::take(&mut self.reports.borrow_mut().waiting)
    }

    /// A log of the folder. One that ends inside an entry, or before damage, is read as far as it is sound and reported, once
    /// a command.
    pub(crate) fn log<L: Single>(&self) -> Result<Option<Reading<L>>, AppError> {
        let reading = self.home.log::<L>()?;
        let ending = reading.as_ref().map_or(&Ending::Whole, |reading| &reading.ending);
        if let Some(told) = self.home.told::<L>(ending) {
            let notice = Notice { text: format!("warning: {told}"), changes: Changes::default() };
            self.report((LOGS, L::FILE.to_owned()), notice);
        }
        Ok(reading)
    }

    /// A command has ended: the next one tells again how logs end.
    pub fn end_command(&self) {
        self.reports.borrow_mut().said.retain(|(kind, _)| *kind != LOGS);
    }

    fn report(&self, what: (&'static str, String), notice: Notice) {
        let mut reports = self.reports.borrow_mut();
        if reports.said.insert(what) {
            reports.waiting.push(notice);
        }
    }

    /// Reports a script of the person's own that was pinned and changed, as it is loaded.
    pub(crate) fn report_if_changed(&self, found: &Found) {
        if matches!(found.origin, Origin::Own(_)) {
            self.report_change(found.shelf, &found.id, &found.text);
        }
    }

    /// Reports a pinned text that was changed, once a run of the program. It is used as it is: it lies in the person's own
    /// folder, and a change there is theirs to make; what it must not do is pass unseen.
    pub(crate) fn report_change(&self, shelf: Shelf, id: &str, text: &str) {
        let notice = match self.home.pins() {
            Ok(pins) => pins
                .get(shelf, id)
                .filter(|pin| pin.script != digest(text.as_bytes()))
                .map(|pin| self.change_since(shelf, id, text, pin)),
            Err(error) => Some(Notice {
                text: format!("note: what was pinned cannot be told: {error}"),
                changes: Changes::default(),
            }),
        };
        if let Some(notice) = notice {
            self.report((shelf.folder(), id.to_owned()), notice);
        }
    }

    fn change_since(&self, shelf: Shelf, id: &str, text: &str, pin: &Pin) -> Notice {
        let day = pin.adopted.split('T').next().unwrap_or_default();
        let text_then = self.home.seen_script(&pin.script).ok().flatten();
        let said = format!(
            "note: the {} {id} was changed after it was taken in on {day}; it is used as it is now",
            noun(shelf)
        );
        match text_then {
            Some(then) => Notice { text: said, changes: Changes::between(&then, text) },
            None => {
                let text = format!("{said}. What it was then cannot be shown: the kept copy is gone");
                Notice { text, changes: Changes::default() }
            }
        }
    }
}
