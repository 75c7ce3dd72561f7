//! The yards that past sessions are valued at: as they are today, and as they were.

use std::rc::Rc;

use jiff::civil::Date;

use super::archive::{Archive, LoadError};
use super::occasion::Occasion;
use crate::market::Yard;
use crate::pricing::Valuation;
use crate::world::AppError;

impl Archive<'_> {
    /// The valuation at a yard as it is today.
    ///
    /// # Errors
    /// No such yard, or its script is at fault.
    pub fn at_yard(&self, id: &str, date: Date) -> Result<Valuation, AppError> {
        let yard = self.built(&format!("now {id}"), || self.world.yard(id).map(|(_, yard)| yard))?;
        Ok(Valuation::over(self.world, yard, self.quotes.clone(), date))
    }

    /// The valuation as it was: at the session's own yard, with the module of that time, at the moment the session
    /// ended. If no copy of the module was stored, today's is used and a remark says so.
    ///
    /// # Errors
    /// As [`Archive::at_yard`].
    pub(crate) fn as_it_was(&self, was: &Occasion<'_>, remarks: &mut Vec<String>) -> Result<Valuation, AppError> {
        let valuation = self.on_its_day(was, remarks)?;
        Ok(match was.last_act() {
            Some(moment) => valuation.known_by(moment),
            None => valuation,
        })
    }

    fn on_its_day(&self, was: &Occasion<'_>, remarks: &mut Vec<String>) -> Result<Valuation, AppError> {
        let day = was.last_day().unwrap_or_else(|| self.world.clock.today());
        let begun_at = was.header.yard.as_deref();
        // A name that was recorded is that one and no other; it is not looked for among the yards that there are now.
        let id = was.yard.or(begun_at).map_or_else(|| self.world.yard_id(None), |id| Ok(id.to_owned()))?;
        let begun_with = was.header.yard_digest.as_deref().filter(|_| begun_at == Some(id.as_str()));
        let Some(digest) = was.yard_digest.or(begun_with) else { return self.at_yard(&id, day) };
        let copy = self.built(digest, || {
            let text = self.world.text_then(digest, &format!("the yard {id}"))?;
            let script = self.world.host().open(&format!("{id} (kept copy)"), &text)?;
            Ok(self.world.host().yard(&script)?)
        });
        match copy {
            Ok(yard) => Ok(Valuation::over(self.world, yard, self.quotes.clone(), day)),
            Err(AppError::Name(missing)) => {
                remarks.push(format!("{missing}; today's prices are used"));
                self.at_yard(&id, day)
            }
            Err(other) => Err(other),
        }
    }

    fn built(&self, key: &str, build: impl FnOnce() -> Result<Yard, AppError>) -> Result<Rc<Yard>, AppError> {
        if let Some(known) = self.yards.borrow().get(key) {
            return known.clone().map_err(AppError::from);
        }
        let made = build().map(Rc::new);
        let kept = made.as_ref().map(Rc::clone).map_err(LoadError::from);
        self.yards.borrow_mut().insert(key.to_owned(), kept);
        made
    }
}
