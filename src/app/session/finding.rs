//! Which session a word means.

use crate::app::error::AppError;
use crate::app::world::World;
use crate::bench::Standing;
use crate::naming::suggest;
use crate::store::Id;
use crate::store::home::Shelf;

impl World {
    /// The session of that name; without a name that is complete, the only one that contains the word, or with an empty
    /// word the latest.
    ///
    /// # Errors
    /// There is none, or there are several.
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

    /// The yard at which the last session stands, if there still is one of that name.
    pub(in crate::app) fn yard_of_last_session(&self) -> Option<String> {
        if self.apart {
            return None;
        }
        let last = self.latest_session(&self.home.sessions().ok()?.ids).ok()?;
        let reading = self.home.session(&last).ok()?;
        let standing = Standing::of(reading.records);
        let yard = standing.yard().map(str::to_owned).or(reading.header.yard)?;
        self.find(Shelf::Yards, &yard).is_ok().then_some(yard)
    }

    /// The session that was begun last. Names sort by day, then recipe: among those of the last day the header decides.
    fn latest_session(&self, ids: &[Id]) -> Result<Id, AppError> {
        let day = |id: &Id| id.as_str().get(..10).unwrap_or_default().to_owned();
        let last = ids.iter().map(day).max().unwrap_or_default();
        let of_that_day = ids.iter().filter(|id| day(id) == last);
        // One that cannot be read is no reason not to find the others; named, it says what is wrong with it.
        let begun = |id: &Id| self.home.session(id).map(|reading| reading.header.started).unwrap_or_default();
        let latest = of_that_day.max_by_key(|id| begun(id)).cloned();
        latest.ok_or_else(|| AppError::Name("there is no session yet; `bench RECIPE` begins one".into()))
    }
}
