//! Which session a word means.

use std::collections::BTreeSet;

use super::door::World;
use super::error::AppError;
use crate::bench::CurrentAnswers;
use crate::naming::suggest;
use crate::store::Id;
use crate::store::home::Shelf;

impl World {
    /// The session of that name. An incomplete name must match exactly one session; an empty word means the latest.
    ///
    /// # Errors
    /// No session matches, or several do.
    pub fn session_id(&self, word: &str) -> Result<Id, AppError> {
        let ids = self.home.sessions()?.ids;
        if let Some(id) = ids.iter().find(|id| id.as_str() == word) {
            return Ok(id.clone());
        }
        if ids.is_empty() {
            return Err(AppError::Name("there is no session yet; `bench RECIPE` begins one".into()));
        }
        if word.is_empty() {
            return self.latest_session(&ids);
        }
        let fitting: Vec<&Id> = ids.iter().filter(|id| id.as_str().contains(word)).collect();
        match fitting.as_slice() {
            [only] => Ok((*only).clone()),
            [] => {
                let hint = suggest(word, ids.iter().map(Id::as_str));
                Err(AppError::Name(format!("there is no session `{}`; {hint}", word.escape_debug())))
            }
            several => {
                let names: Vec<_> = several.iter().take(8).map(|id| id.as_str()).collect();
                Err(AppError::Name(format!("`{}` can mean {}; write which one", word.escape_debug(), names.join(", "))))
            }
        }
    }

    /// The yard of the last session, if a yard of that name still exists.
    pub(crate) fn yard_of_last_session(&self) -> Option<String> {
        if self.ignore_user_data {
            return None;
        }
        let last = self.latest_session(&self.home.sessions().ok()?.ids).ok()?;
        let reading = self.home.session(&last).ok()?;
        let standing = CurrentAnswers::of(reading.records);
        let yard = standing.yard().map(str::to_owned).or(reading.header.yard)?;
        self.find(Shelf::Yards, &yard).is_ok().then_some(yard)
    }

    /// The latest session that is not discarded. Names sort by day, then recipe; the headers decide among those of the
    /// last day.
    fn latest_session(&self, ids: &[Id]) -> Result<Id, AppError> {
        let day = |id: &&Id| id.as_str().get(..10).unwrap_or_default().to_owned();
        // An unreadable session must not keep the others from being found; named explicitly, it reports its own fault.
        let begun = |id: &Id| match self.home.session(id) {
            Ok(reading) => (!CurrentAnswers::of(reading.records).is_discarded()).then_some(reading.header.started),
            Err(_) => Some(String::new()),
        };
        let days: BTreeSet<String> = ids.iter().map(|id| day(&id)).collect();
        let latest = days.iter().rev().find_map(|last| {
            let of_that_day = ids.iter().filter(|id| day(id) == *last);
            of_that_day.filter_map(|id| Some((begun(id)?, id))).max()
        });
        let none = || AppError::Name("every session is set aside; `show sessions` lists them".into());
        latest.map(|(_, id)| id.clone()).ok_or_else(none)
    }
}
