//! The one door to the outside: folder, clock, shipped scripts, script host.

use std::cell::{OnceCell, RefCell};
use std::path::PathBuf;
use std::rc::Rc;

use super::clock::Clock;
use super::error::AppError;
use super::found::{FoundScript, OfferedScript, Origin};
use super::notices::Reports;
use super::shipped;
use crate::market::Yard;
use crate::quantity::{Mass, MassUnit, Notation, WeighingRules, weigh};
use crate::recipe::{Mark, Recipe};
use crate::scale::{self, Setup};
use crate::script::{Host, Script, ScriptError};
use crate::store::config::{Config, DecimalMark};
use crate::store::home::Shelf;
use crate::store::{Home, Id};

/// The default yard for someone who has neither chosen one nor worked at one.
const FIRST_YARD: &str = "bluegum-siding";

/// The environment a use case runs in.
pub struct World {
    /// The user's folder.
    pub home: Home,
    /// The user's settings.
    pub config: Config,
    /// The clock.
    pub clock: Rc<dyn Clock>,
    host: OnceCell<Host>,
    pub(crate) reports: RefCell<Reports>,
    pub(crate) offered: Option<OfferedScript>,
    pub(crate) ignore_user_data: bool,
    /// Whether a name is a built-in command, and so cannot name a tool.
    pub is_command: fn(&str) -> bool,
}

impl World {
    /// Opens a world over a folder and a clock, and reads the settings.
    ///
    /// # Errors
    /// The settings cannot be read.
    pub fn new(home: Home, clock: Box<dyn Clock>) -> Result<World, AppError> {
        let config = home.config()?;
        Ok(World { config, ..World::without_settings(home, clock) })
    }

    /// The same world for a test, without the user's settings, quotes and edited copies of shipped yards, so that the
    /// result does not depend on them. `offered` is a script under review before it is adopted.
    pub(crate) fn for_test(&self, offered: Option<OfferedScript>) -> World {
        let is_command = self.is_command;
        World { offered, ignore_user_data: true, is_command, ..World::bare(self.home.clone(), self.clock.clone()) }
    }

    /// A world without settings, for what must work even if the settings are broken.
    pub fn without_settings(home: Home, clock: Box<dyn Clock>) -> World {
        World::bare(home, clock.into())
    }

    fn bare(home: Home, clock: Rc<dyn Clock>) -> World {
        World {
            home,
            config: Config::default(),
            clock,
            host: OnceCell::new(),
            reports: RefCell::default(),
            offered: None,
            ignore_user_data: false,
            is_command: |_| false,
        }
    }

    /// The script host, built on first use.
    pub fn host(&self) -> &Host {
        self.host.get_or_init(|| Host::new(Rc::new(shipped::catalogue()), shipped::library(self.modules())))
    }

    /// Loads a recipe by its exact id.
    ///
    /// # Errors
    /// No such recipe, or its script is at fault.
    pub fn recipe(&self, id: &str) -> Result<(Script, Rc<Recipe>), AppError> {
        let script = self.script(&self.find(Shelf::Recipes, id)?)?;
        let recipe = self.host().recipe(&script)?;
        expect_id(&script, id, &recipe.unit().id, recipe.unit().mark)?;
        Ok((script, recipe))
    }

    /// Hazards that a recipe's questions can lead to besides those it declares, in catalogue order: those named in its
    /// code or in the library functions it calls.
    pub fn hazards_by_what_is_found(&self, script: &Script, recipe: &Recipe) -> Vec<String> {
        let declared = |id: &String| {
            recipe.unit().guards.contains(id) || recipe.steps().iter().any(|step| step.guards.contains(id))
        };
        let texts = self.host().texts_with_calls(script.source());
        let known = self.host().catalogue().hazards().iter().map(|hazard| hazard.id.clone());
        known.filter(|id| texts.contains(id) && !declared(id)).collect()
    }

    pub(crate) fn script(&self, found: &FoundScript) -> Result<Script, AppError> {
        self.report_if_changed(found);
        Ok(self.host().open(&found.file(), &found.text)?)
    }

    /// Loads a yard by its exact id.
    ///
    /// # Errors
    /// No such yard, or its script is at fault.
    pub fn yard(&self, id: &str) -> Result<(Script, Yard), AppError> {
        let id = self.yard_now(id);
        let script = self.script(&self.find(Shelf::Yards, id)?)?;
        let yard = self.host().yard(&script)?;
        expect_id(&script, id, yard.id(), Mark::default())?;
        Ok((script, yard))
    }

    /// Today's id of a yard named by a session, a quote or a setting. A shipped yard may have been renamed, and its old
    /// name may now belong to one of the user's own.
    pub(crate) fn yard_now<'i>(&self, id: &'i str) -> &'i str {
        let now = shipped::yard_now(id);
        // Read the folder only for renamed yards: every quote passes through here.
        if now == id || self.find(Shelf::Yards, id).is_ok() { id } else { now }
    }

    /// The id of the yard to use: the one asked for, else the one in the settings, else that of the last session (so
    /// that a new default moves nobody who has already worked at a yard), else the first shipped one.
    ///
    /// # Errors
    /// The word asked for matches no yard, or several.
    pub fn yard_id(&self, asked: Option<&str>) -> Result<String, AppError> {
        match asked {
            Some(word) => self.pick_one(Shelf::Yards, word),
            None => {
                let known = self.config.yard.clone().or_else(|| self.yard_of_last_session());
                Ok(known.map_or_else(|| FIRST_YARD.to_owned(), |known| self.yard_now(&known).to_owned()))
            }
        }
    }

    /// Where a script comes from.
    ///
    /// # Errors
    /// No such script.
    pub fn origin(&self, shelf: Shelf, id: &str) -> Result<Origin, AppError> {
        Ok(self.find(shelf, id)?.origin)
    }

    /// Copies a shipped script into the user's folder for editing, a recipe together with its test session. Returns the
    /// paths.
    ///
    /// # Errors
    /// A script of that name is already there, or the folder cannot be written.
    pub fn copy_script(&self, shelf: Shelf, id: &str) -> Result<Vec<PathBuf>, AppError> {
        let found = self.find(shelf, id)?;
        let (id, stamp) = (Id::new(id)?, self.clock.stamp());
        let session = self.test_session_of(&found)?;
        let mut paths = vec![self.home.add_script(shelf, &id, &found.text, &stamp)?];
        if let Some(session) = session {
            paths.push(self.home.put_test_session(&id, &session, &stamp)?);
        }
        Ok(paths)
    }

    /// Changes or removes a setting and reads the settings again.
    ///
    /// # Errors
    /// The key or value is invalid, or the folder cannot be written.
    pub fn change_setting(&mut self, key: &str, value: Option<&str>, stamp: &str) -> Result<(), AppError> {
        if let Some(value) = value {
            check_setting(key, value)?;
        }
        self.home.configure(key, value, stamp)?;
        self.config = self.home.config()?;
        Ok(())
    }

    /// How the user writes numbers: as set, else as the yard does.
    pub fn notation(&self, yard: &Yard) -> Notation {
        match self.config.decimal {
            Some(DecimalMark::Comma) => Notation::Comma,
            Some(DecimalMark::Point) => Notation::Point,
            None => yard.notation(),
        }
    }

    /// The unit of a weight typed without one: as set, else the yard's unit.
    ///
    /// # Errors
    /// The setting is not a unit.
    pub fn unit(&self, yard: &Yard) -> Result<MassUnit, AppError> {
        match &self.config.unit {
            Some(name) => name.parse().map_err(|error| setting("unit", error)),
            None => Ok(yard.unit()),
        }
    }

    /// Checks the settings and reports the first fault.
    ///
    /// # Errors
    /// The first fault.
    pub fn examine_settings(&self) -> Result<(), AppError> {
        let config = self.home.config()?;
        if let Some(id) = &config.yard {
            self.yard(id)?;
        }
        let single = [
            ("unit", &config.unit),
            ("scale_division", &config.scale_division),
            ("floor_per_hour", &config.floor_per_hour),
        ];
        single.iter().try_for_each(|(key, value)| value.as_ref().map_or(Ok(()), |value| check_setting(key, value)))?;
        Setup::read(&config.scale).map_err(|error| setting("scale", error))?;
        config.containers.iter().try_for_each(|(name, weight)| check_setting(&format!("containers.{name}"), weight))
    }

    /// The connected scale, if the settings name one.
    ///
    /// # Errors
    /// The scale settings are invalid or incomplete.
    pub fn scale(&self) -> Result<Option<Setup>, AppError> {
        Setup::read(&self.config.scale).map_err(|error| setting("scale", error))
    }

    /// The division of the user's scale, if set.
    ///
    /// # Errors
    /// The setting is not a weight.
    pub fn scale_division(&self) -> Result<Option<Mass>, AppError> {
        let read = |text: &String| read_setting("scale_division", text);
        self.config.scale_division.as_ref().map(read).transpose()
    }

    /// The weight of a named container, if set.
    pub fn container(&self, name: &str) -> Option<Mass> {
        let name = name.trim().to_lowercase();
        let found = self.config.containers.iter().find(|(known, _)| known.to_lowercase() == name);
        found.and_then(|(known, text)| read_setting(known, text).ok())
    }
}

/// Rejects a value that no command could use. What the file's own reader rejects is left to it.
fn check_setting(key: &str, value: &str) -> Result<(), AppError> {
    match key {
        "unit" => value.parse::<MassUnit>().map(drop).map_err(|error| setting(key, error)),
        "scale_division" => read_setting(key, value).map(drop),
        "floor_per_hour" => Notation::Point.read(value).map(drop).map_err(|error| setting(key, error)),
        _ if key.starts_with("containers.") => read_setting(key, value).map(drop),
        _ if key.starts_with("scale.") => {
            scale::check(&key["scale.".len()..], value).map_err(|error| setting(key, error))
        }
        _ => Ok(()),
    }
}

/// Sessions and quotes are stored under the id a script declares. A script whose declared id differs from its file name
/// would take over another script's data.
pub(crate) fn expect_id(script: &Script, id: &str, declared: &str, mark: Mark) -> Result<(), AppError> {
    if id == declared {
        return Ok(());
    }
    let message = format!("this file is named for `{id}`, but declares `{declared}`");
    Err(Box::new(ScriptError::new(script.file(), script.source(), mark, &message, "give both the same name")).into())
}

/// Settings are written with a decimal point and a unit, whatever the yard's conventions.
fn read_setting(key: &str, text: &str) -> Result<Mass, AppError> {
    let rules = WeighingRules { notation: Notation::Point, unit: MassUnit::Gram, tare: &|_| None };
    weigh(text, &rules).map(|weighed| weighed.net).map_err(|error| setting(key, error))
}

fn setting(key: &str, error: impl std::fmt::Display) -> AppError {
    AppError::Refused(format!("the setting `{key}` in config.toml: {error}"))
}
