//! Where scripts come from: the user's folder first, then those shipped with the program.

use std::collections::BTreeMap;

use super::door::World;
use super::error::AppError;
use super::found::{FoundScript, Origin, noun};
use super::shipped;
use crate::naming::suggest;
use crate::recipe::{API_VERSION, Mark};
use crate::script::{Glance, ScriptError};
use crate::store::Id;
use crate::store::home::Shelf;

/// A script as a listing shows it.
#[derive(Debug, Clone)]
pub struct ListedScript {
    /// The id, which is the file name.
    pub id: String,
    /// Where it comes from.
    pub origin: Origin,
    /// The script's head, or why it cannot be read.
    pub glance: Result<Glance, Box<ScriptError>>,
    /// The script API version it requires, if newer than ours; the script is then switched off.
    pub needs_newer: Option<u32>,
}

impl ListedScript {
    /// Why the script is switched off, if it needs a newer program.
    pub fn switched_off(&self) -> Option<String> {
        let version = self.needs_newer?;
        Some(format!("switched off: needs script version {version}, this program speaks {API_VERSION}"))
    }

    /// Display name; the id if the script cannot be read.
    pub fn name(&self) -> &str {
        match &self.glance {
            Ok(Glance::Recipe(unit)) => &unit.name,
            Ok(Glance::Yard { name, .. }) => name,
            Ok(Glance::Tool { title, .. }) => title,
            Err(_) => &self.id,
        }
    }
}

/// A readable script, or the id of an unreadable one and the reason.
type Shelved = Result<FoundScript, (String, Origin, AppError)>;

/// A script in a listing by name.
#[derive(Debug, Clone)]
pub struct Title {
    /// The id, which is the file name.
    pub id: String,
    /// Display name, or why the head cannot be read.
    pub name: Result<String, Box<ScriptError>>,
    /// Whether it lies in the user's folder.
    pub own: bool,
    /// Why the script is switched off, if it needs a newer program.
    pub switched_off: Option<String>,
}

impl Title {
    /// Display name; the id if the script cannot be read.
    pub fn shown(&self) -> &str {
        self.name.as_deref().unwrap_or(&self.id)
    }
}

impl World {
    /// All scripts of a kind; the user's own replace shipped ones of the same name.
    ///
    /// # Errors
    /// The user's folder cannot be read.
    pub fn listed(&self, shelf: Shelf) -> Result<Vec<ListedScript>, AppError> {
        Ok(self.all(shelf)?.into_iter().map(|shelved| self.glance(shelved)).collect())
    }

    /// The names of all scripts of a kind. Shipped heads are read as plain text, without the script engine, so that a
    /// list of names appears at once.
    ///
    /// # Errors
    /// The user's folder cannot be read.
    pub fn titles(&self, shelf: Shelf) -> Result<Vec<Title>, AppError> {
        let title = |shelved: Shelved| {
            if let Ok(found) = &shelved
                && let (Origin::Shipped, Some(name)) = (&found.origin, shipped::title(&found.text))
            {
                return Title { name: Ok(name.to_owned()), own: false, switched_off: None, id: found.id.clone() };
            }
            let listed = self.glance(shelved);
            let own = matches!(listed.origin, Origin::Own(_));
            let name = listed.glance.as_ref().map(|_| listed.name().to_owned()).map_err(Clone::clone);
            Title { name, own, switched_off: listed.switched_off(), id: listed.id }
        };
        Ok(self.all(shelf)?.into_iter().map(title).collect())
    }

    /// All scripts of a kind, sorted by name. An unreadable one does not keep the others from being listed.
    fn all(&self, shelf: Shelf) -> Result<Vec<Shelved>, AppError> {
        let mut all: BTreeMap<String, Shelved> =
            shipped::scripts(shelf).map(|script| (script.0.to_owned(), Ok(from_shipped(shelf, script)))).collect();
        for id in self.home.scripts(shelf)?.ids {
            let shelved = match self.own(shelf, &id) {
                Ok(None) => continue,
                Ok(Some(found)) => Ok(found),
                Err(error) => Err((id.to_string(), Origin::Own(self.home.script_file(shelf, &id)), error)),
            };
            all.insert(id.to_string(), shelved);
        }
        Ok(all.into_values().collect())
    }

    fn glance(&self, shelved: Shelved) -> ListedScript {
        let found = match shelved {
            Ok(found) => found,
            Err((id, origin, error)) => {
                let file = format!("{id}.rhai").into();
                let error = ScriptError::new(&file, &"".into(), Mark::default(), &error.to_string(), "");
                return ListedScript { id, origin, glance: Err(Box::new(error)), needs_newer: None };
            }
        };
        ListedScript {
            glance: self.host().glance(&found.file(), &found.text),
            needs_newer: self.host().needs_newer(&found.text),
            id: found.id,
            origin: found.origin,
        }
    }

    /// The ids of all scripts of a kind, without reading them.
    ///
    /// # Errors
    /// The user's folder cannot be read.
    pub fn ids(&self, shelf: Shelf) -> Result<Vec<String>, AppError> {
        let mut ids: Vec<String> = shipped::scripts(shelf).map(|(id, _)| id.to_owned()).collect();
        ids.extend(self.home.scripts(shelf)?.ids.iter().map(ToString::to_string));
        ids.sort();
        ids.dedup();
        Ok(ids)
    }

    fn own(&self, shelf: Shelf, id: &Id) -> Result<Option<FoundScript>, AppError> {
        let text = self.home.script(shelf, id)?;
        let origin = Origin::Own(self.home.script_file(shelf, id));
        Ok(text.map(|text| FoundScript { shelf, id: id.to_string(), text, origin }))
    }

    /// The modules that scripts may import besides the shipped ones: those that travel with a script under review, then
    /// the user's own. An unreadable module is left out; the import that needs it then reports it missing.
    pub(crate) fn modules(&self) -> Vec<(String, String)> {
        let mut modules = self.offered.as_ref().map(|offered| offered.modules.clone()).unwrap_or_default();
        for id in self.home.scripts(Shelf::Library).unwrap_or_default().ids {
            let travels = modules.iter().any(|(name, _)| name == id.as_str());
            if let Some(text) = self.home.script(Shelf::Library, &id).ok().flatten().filter(|_| !travels) {
                self.report_change(Shelf::Library, id.as_str(), &text);
                modules.push((id.to_string(), text));
            }
        }
        modules
    }

    /// The test session of a script, from the same place as the script.
    pub(crate) fn test_session_of(&self, found: &FoundScript) -> Result<Option<String>, AppError> {
        if found.shelf != Shelf::Recipes {
            return Ok(None);
        }
        Ok(match found.origin {
            Origin::Shipped => shipped::session_of(&found.id).map(str::to_owned),
            Origin::Own(_) => self.home.test_session(&Id::new(&found.id)?)?,
            Origin::Offered => self.offered.as_ref().and_then(|offered| offered.session.clone()),
        })
    }

    /// A script by its exact id; the user's own before a shipped one.
    pub(crate) fn find(&self, shelf: Shelf, id: &str) -> Result<FoundScript, AppError> {
        if let Some(offered) = self.offered.as_ref().filter(|offered| offered.shelf == shelf && offered.id == id) {
            return Ok(FoundScript { shelf, id: id.to_owned(), text: offered.text.clone(), origin: Origin::Offered });
        }
        let shipped = shipped::script(shelf, id).map(|text| from_shipped(shelf, (id, text)));
        if let Some(shipped) = shipped.clone().filter(|_| self.ignore_user_data && shelf == Shelf::Yards) {
            return Ok(shipped);
        }
        if let Ok(own_id) = Id::new(id)
            && let Some(found) = self.own(shelf, &own_id)?
        {
            return Ok(found);
        }
        if let Some(shipped) = shipped {
            return Ok(shipped);
        }
        let ids = self.ids(shelf)?;
        let hint = suggest(id, ids.iter().map(String::as_str));
        Err(AppError::Name(format!("there is no {} `{}`; {hint}", noun(shelf), id.escape_debug())))
    }
}

fn from_shipped(shelf: Shelf, (id, text): (&str, &str)) -> FoundScript {
    FoundScript { shelf, id: id.to_owned(), text: text.to_owned(), origin: Origin::Shipped }
}

#[cfg(test)]
mod tests {
    use super::super::clock::FixedClock;
    use super::*;
    use crate::store::Home;

    #[test]
    fn the_head_of_every_shipped_script_is_read_as_the_script_engine_reads_it() {
        let clock = FixedClock("2026-11-02T10:00:00Z".parse().unwrap());
        let world = World::without_settings(Home::at("/nowhere/at/all"), Box::new(clock));
        for shelf in [Shelf::Recipes, Shelf::Yards] {
            let listed = world.listed(shelf).unwrap();
            let titles = world.titles(shelf).unwrap();
            assert!(titles.len() >= 3);
            for (listed, title) in listed.iter().zip(&titles) {
                assert!(shipped::script(shelf, &title.id).and_then(shipped::title).is_some(), "{}", title.id);
                assert_eq!((listed.id.as_str(), listed.name()), (title.id.as_str(), title.shown()));
                assert_eq!((title.own, &title.switched_off), (false, &None));
            }
        }
    }
}
