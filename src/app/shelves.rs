//! Where recipes and yards come from: the person's folder first, then what is shipped; and how one is picked by a word.

use std::path::PathBuf;

use nucleo_matcher::pattern::{CaseMatching, Normalization, Pattern};
use nucleo_matcher::{Config, Matcher, Utf32Str};

use super::error::AppError;
use super::shipped;
use super::world::World;
use crate::naming::{nearest, suggest};
use crate::recipe::API_VERSION;
use crate::script::{Glance, ScriptError};
use crate::store::Id;
use crate::store::home::Shelf;

/// Where a script comes from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Origin {
    /// It comes with the program.
    Shipped,
    /// It lies in the person's folder.
    Own(PathBuf),
    /// It is looked at before it is taken in.
    Offered,
}

/// A script that is looked at before it is taken in, with what travels with it.
pub(super) struct Guest {
    pub shelf: Shelf,
    pub id: String,
    pub text: String,
    pub session: Option<String>,
    pub modules: Vec<(String, String)>,
}

/// A script as a listing shows it.
#[derive(Debug, Clone)]
pub struct Listed {
    /// Its id, which is its file's name.
    pub id: String,
    /// Where it comes from.
    pub origin: Origin,
    /// What its first statement says, or why it cannot be read.
    pub glance: Result<Glance, Box<ScriptError>>,
    /// The script version that it needs, if that is newer than ours: then it is switched off.
    pub needs_newer: Option<u32>,
}

impl Listed {
    /// Why the script is switched off, if it needs a newer program.
    pub fn switched_off(&self) -> Option<String> {
        let version = self.needs_newer?;
        Some(format!("switched off: needs script version {version}, this program speaks {API_VERSION}"))
    }

    /// What people call it; the id where the script cannot be read.
    pub fn name(&self) -> &str {
        match &self.glance {
            Ok(Glance::Recipe(unit)) => &unit.name,
            Ok(Glance::Yard { name, .. }) => name,
            Ok(Glance::Tool { title, .. }) => title,
            Err(_) => &self.id,
        }
    }
}

/// What a listing by name shows of a script.
#[derive(Debug, Clone)]
pub struct Title {
    /// Its id, which is its file's name.
    pub id: String,
    /// What people call it, or why its head cannot be read.
    pub name: Result<String, Box<ScriptError>>,
    /// Whether it lies in the person's folder.
    pub own: bool,
    /// Why the script is switched off, if it needs a newer program.
    pub switched_off: Option<String>,
}

impl Title {
    /// What people call it; the id where the script cannot be read.
    pub fn shown(&self) -> &str {
        self.name.as_deref().unwrap_or(&self.id)
    }
}

/// A script's text and where it comes from.
#[derive(Debug, Clone)]
pub(super) struct Found {
    pub shelf: Shelf,
    pub id: String,
    pub text: String,
    pub origin: Origin,
}

impl Found {
    /// The file as people know it: the path of their own, the name of a shipped one.
    pub fn file(&self) -> String {
        match &self.origin {
            Origin::Shipped | Origin::Offered => format!("{}.rhai", self.id),
            Origin::Own(path) => path.display().to_string(),
        }
    }
}

/// What a word picks.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Pick {
    /// One, without doubt.
    One(String),
    /// Several that fit, best first: ids with their names.
    Several(Vec<(String, String)>),
}

/// Words for a kind of script.
pub(super) fn noun(shelf: Shelf) -> &'static str {
    match shelf {
        Shelf::Recipes => "recipe",
        Shelf::Yards => "yard",
        Shelf::Tools => "tool",
        Shelf::Reports => "report",
        Shelf::Library => "library",
    }
}

impl World {
    /// All scripts of a kind, the person's own in place of shipped ones of the same name.
    ///
    /// # Errors
    /// The person's folder cannot be read.
    pub fn listed(&self, shelf: Shelf) -> Result<Vec<Listed>, AppError> {
        Ok(self.all(shelf)?.into_iter().map(|found| self.glance(found)).collect())
    }

    /// The names of all scripts of a kind. Of shipped ones only the text of the head is read, without the script engine: a list of
    /// names is shown at once.
    ///
    /// # Errors
    /// The person's folder cannot be read.
    pub fn titles(&self, shelf: Shelf) -> Result<Vec<Title>, AppError> {
        let title = |found: Found| {
            if let (Origin::Shipped, Some(name)) = (&found.origin, shipped::title(&found.text)) {
                return Title { name: Ok(name.to_owned()), own: false, switched_off: None, id: found.id };
            }
            let own = matches!(found.origin, Origin::Own(_));
            let listed = self.glance(found);
            let name = listed.glance.as_ref().map(|_| listed.name().to_owned()).map_err(Clone::clone);
            Title { name, own, switched_off: listed.switched_off(), id: listed.id }
        };
        Ok(self.all(shelf)?.into_iter().map(title).collect())
    }

    fn all(&self, shelf: Shelf) -> Result<Vec<Found>, AppError> {
        let mut found: Vec<Found> = shipped::scripts(shelf).map(|script| from_shipped(shelf, script)).collect();
        for id in self.home.scripts(shelf)?.ids {
            found.retain(|shipped| shipped.id != id.as_str());
            found.extend(self.own(shelf, &id)?);
        }
        found.sort_by(|a, b| a.id.cmp(&b.id));
        Ok(found)
    }

    fn glance(&self, found: Found) -> Listed {
        Listed {
            glance: self.host().glance(&found.file(), &found.text),
            needs_newer: self.host().needs_newer(&found.text),
            id: found.id,
            origin: found.origin,
        }
    }

    /// The ids of all scripts of a kind, without reading them.
    ///
    /// # Errors
    /// The person's folder cannot be read.
    pub fn ids(&self, shelf: Shelf) -> Result<Vec<String>, AppError> {
        let mut ids: Vec<String> = shipped::scripts(shelf).map(|(id, _)| id.to_owned()).collect();
        ids.extend(self.home.scripts(shelf)?.ids.iter().map(ToString::to_string));
        ids.sort();
        ids.dedup();
        Ok(ids)
    }

    fn own(&self, shelf: Shelf, id: &Id) -> Result<Option<Found>, AppError> {
        let text = self.home.script(shelf, id)?;
        let origin = Origin::Own(self.home.script_file(shelf, id));
        Ok(text.map(|text| Found { shelf, id: id.to_string(), text, origin }))
    }

    /// The modules that scripts may import beside those shipped: those that travel with a guest, then the person's own. One
    /// that cannot be read is missing where it is imported, which then says so.
    pub(super) fn modules(&self) -> Vec<(String, String)> {
        let mut modules = self.guest.as_ref().map(|guest| guest.modules.clone()).unwrap_or_default();
        for id in self.home.scripts(Shelf::Library).unwrap_or_default().ids {
            let travels = modules.iter().any(|(name, _)| name == id.as_str());
            if let Some(text) = self.home.script(Shelf::Library, &id).ok().flatten().filter(|_| !travels) {
                self.report_change(Shelf::Library, id.as_str(), &text);
                modules.push((id.to_string(), text));
            }
        }
        modules
    }

    /// The test session that belongs to a script: it comes from where the script does.
    pub(super) fn test_session_of(&self, found: &Found) -> Result<Option<String>, AppError> {
        if found.shelf != Shelf::Recipes {
            return Ok(None);
        }
        Ok(match found.origin {
            Origin::Shipped => shipped::session_of(&found.id).map(str::to_owned),
            Origin::Own(_) => self.home.test_session(&Id::new(&found.id)?)?,
            Origin::Offered => self.guest.as_ref().and_then(|guest| guest.session.clone()),
        })
    }

    /// A script by its exact id, the person's own before the shipped one.
    pub(super) fn find(&self, shelf: Shelf, id: &str) -> Result<Found, AppError> {
        if let Some(guest) = self.guest.as_ref().filter(|guest| guest.shelf == shelf && guest.id == id) {
            return Ok(Found { shelf, id: id.to_owned(), text: guest.text.clone(), origin: Origin::Offered });
        }
        let shipped = shipped::script(shelf, id).map(|text| from_shipped(shelf, (id, text)));
        if let Some(shipped) = shipped.clone().filter(|_| self.apart && shelf == Shelf::Yards) {
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

    /// Picks a script by an id, a part of its name, or letters of it in order.
    ///
    /// # Errors
    /// Nothing fits; then near names are given.
    pub fn pick(&self, shelf: Shelf, word: &str) -> Result<Pick, AppError> {
        if self.ids(shelf)?.iter().any(|id| id == word) {
            return Ok(Pick::One(word.to_owned()));
        }
        let listed = self.titles(shelf)?;
        let held = |title: &&Title| {
            let word = word.to_lowercase();
            !word.is_empty() && (title.id.contains(&word) || title.shown().to_lowercase().contains(&word))
        };
        let mut fitting: Vec<&Title> = listed.iter().filter(held).collect();
        if fitting.is_empty() {
            fitting = fuzzy(&listed, word);
            // A word that is almost an id was meant to be that one: anything else that holds its letters is chance.
            if let Some(meant) = nearest(word, listed.iter().map(|listed| listed.id.as_str())) {
                fitting.retain(|listed| listed.id == meant);
            }
        }
        match fitting.as_slice() {
            [] => self.find(shelf, word).map(|found| Pick::One(found.id)),
            [only] => Ok(Pick::One(only.id.clone())),
            several => Ok(Pick::Several(several.iter().map(|l| (l.id.clone(), l.shown().to_owned())).collect())),
        }
    }

    /// Picks exactly one script by a word.
    ///
    /// # Errors
    /// Nothing fits, or several do; then they are named.
    pub fn pick_one(&self, shelf: Shelf, word: &str) -> Result<String, AppError> {
        match self.pick(shelf, word)? {
            Pick::One(id) => Ok(id),
            Pick::Several(several) => {
                let ids: Vec<_> = several.iter().take(8).map(|(id, _)| id.as_str()).collect();
                Err(AppError::Name(format!("`{}` can mean {}; write which one", word.escape_debug(), ids.join(", "))))
            }
        }
    }
}

fn from_shipped(shelf: Shelf, (id, text): (&str, &str)) -> Found {
    Found { shelf, id: id.to_owned(), text: text.to_owned(), origin: Origin::Shipped }
}

/// What each letter of a word must score on average to count as meant: what the matcher gives a letter by itself. Letters
/// scattered over a name score less, since every gap costs; letters that stand together or begin a word score more.
const LETTER: u32 = 16;

/// Scripts that hold the letters of the word in order, best first. Those that hold them only scattered, or that score far
/// below the best, are left out.
fn fuzzy<'a>(listed: &'a [Title], word: &str) -> Vec<&'a Title> {
    let pattern = Pattern::parse(word, CaseMatching::Ignore, Normalization::Smart);
    let least = LETTER * u32::try_from(word.chars().count()).unwrap_or(u32::MAX / LETTER);
    let mut matcher = Matcher::new(Config::DEFAULT);
    let mut buffer = Vec::new();
    let mut scored: Vec<(u32, &Title)> = listed
        .iter()
        .filter_map(|listed| {
            let text = format!("{} {}", listed.id, listed.shown());
            pattern.score(Utf32Str::new(&text, &mut buffer), &mut matcher).map(|score| (score, listed))
        })
        .collect();
    scored.sort_by_key(|(score, listed)| (std::cmp::Reverse(*score), listed.id.clone()));
    let best = scored.first().map_or(0, |(score, _)| *score);
    scored.into_iter().filter(|(score, _)| *score >= least && score * 2 > best).map(|(_, listed)| listed).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::app::FixedClock;
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
