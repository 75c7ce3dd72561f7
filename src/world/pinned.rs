//! Texts adopted from others: have they changed since they were pinned?

use super::changes::Changes;
use super::door::World;
use super::error::AppError;
use super::found::{FoundScript, Origin, noun};
use super::notices::{LOGS, Notice};
use crate::store::digest;
use crate::store::home::{Pin, Shelf, Single};
use crate::store::log::{Ending, LogReading};

impl World {
    /// Takes the notices that have come up since the last call.
    pub fn notices(&self) -> Vec<Notice> {
        std::mem::take(&mut self.reports.borrow_mut().waiting)
    }

    /// Reads a log of the folder. One that ends in a torn entry or before damage is read up to there and reported once
    /// per command.
    pub(crate) fn log<L: Single>(&self) -> Result<Option<LogReading<L>>, AppError> {
        let reading = self.home.log::<L>()?;
        let ending = reading.as_ref().map_or(&Ending::Whole, |reading| &reading.ending);
        if let Some(told) = self.home.told::<L>(ending) {
            let notice = Notice { text: format!("warning: {told}"), changes: Changes::default() };
            self.report((LOGS, L::FILE.to_owned()), notice);
        }
        Ok(reading)
    }

    /// Called when a command has ended, so that the next one reports damaged logs again.
    pub fn end_command(&self) {
        self.reports.borrow_mut().said.retain(|(kind, _)| *kind != LOGS);
    }

    fn report(&self, what: (&'static str, String), notice: Notice) {
        let mut reports = self.reports.borrow_mut();
        if reports.said.insert(what) {
            reports.waiting.push(notice);
        }
    }

    /// Reports one of the user's own scripts on loading if it was pinned and has changed.
    pub(crate) fn report_if_changed(&self, found: &FoundScript) {
        if matches!(found.origin, Origin::Own(_)) {
            self.report_change(found.shelf, &found.id, &found.text);
        }
    }

    /// Reports a changed pinned text once per run. It is used as it is: it lies in the user's own folder and is theirs
    /// to change, but a change must not go unnoticed.
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
