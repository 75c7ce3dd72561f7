//! The one door to what lies outside the rooms: folder, clock, shipped scripts, script host.

use std::cell::{OnceCell, RefCell};
use std::path::PathBuf;
use std::rc::Rc;

use super::clock::Clock;
use super::error::AppError;
use super::found::{Found, OfferedScript, Origin};
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

/// The yard that is used as long as the person has chosen none and worked at none.
const FIRST_YARD: &str = "bluegum-siding";

/// What a use case works in.
pub struct World {
    /// The person's folder.
    pub home: Home,
    /// Their settings.
    pub config: Config,
    /// The clock.
    pub clock: Rc<dyn Clock>,
    host: OnceCell<Host>,
    pub(crate) reports: RefCell<Reports>,
    pub(crate) offered: Option<OfferedScript>,
    pub(crate) ignore_user_data: bool,
    /// Whether a command of the program's own goes by a name, which no tool can have then.
    pub is_command: fn(&str) -> bool,
}

impl World {
    /// A world over a folder and a clock; reads the settings.
    ///
    /// # Errors
    /// The settings cannot be read.
    pub fn new(home: Home, clock: Box<dyn Clock>) -> Result<World, AppError> {
        let config = home.config()?;
        Ok(World { config, ..World::without_settings(home, clock) })
    }

    /// The same world for a test: without settings, quotes and edited copies of shipped yards, which are the person's alone
    /// and would make the result theirs alone; and with `offered`, a script that is looked at before it is taken in.
    pub(crate) fn for_test(&self, offered: Option<OfferedScript>) -> World {
        let is_command = self.is_command;
        World { offered, ignore_user_data: true, is_command, ..World::bare(self.home.clone(), self.clock.clone()) }
    }

    /// A world in which nothing is set, for what must work whatever is wrong with the settings.
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

    /// A recipe by its exact id, with its script.
    ///
    /// # Errors
    /// There is none, or its script is at fault.
    pub fn recipe(&self, id: &str) -> Result<(Script, Rc<Recipe>), AppError> {
        let script = self.script(&self.find(Shelf::Recipes, id)?)?;
        let recipe = self.host().recipe(&script)?;
        expect_id(&script, id, &recipe.unit().id, recipe.unit().mark)?;
        Ok((script, recipe))
    }

    /// The ids of the hazards that a recipe's questions can lead to besides those that it declares, in the order of the catalogue:
    /// those whose name stands in its code, or in the functions of libraries that it calls.
    pub fn hazards_by_what_is_found(&self, script: &Script, recipe: &Recipe) -> Vec<String> {
        let declared = |id: &String| {
            recipe.unit().guards.contains(id) || recipe.steps().iter().any(|step| step.guards.contains(id))
        };
        let texts = self.host().texts_with_calls(script.source());
        let known = self.host().catalogue().hazards().iter().map(|hazard| hazard.id.clone());
        known.filter(|id| texts.contains(id) && !declared(id)).collect()
    }

    pub(crate) fn script(&self, found: &Found) -> Result<Script, AppError> {
        self.report_if_changed(found);
        Ok(self.host().open(&found.file(), &found.text)?)
    }

    /// A yard by its exact id, with its script.
    ///
    /// # Errors
    /// There is none, or its script is at fault.
    pub fn yard(&self, id: &str) -> Result<(Script, Yard), AppError> {
        let id = self.yard_now(id);
        let script = self.script(&self.find(Shelf::Yards, id)?)?;
        let yard = self.host().yard(&script)?;
        expect_id(&script, id, yard.id(), Mark::default())?;
        Ok((script, yard))
    }

    /// What a yard is called today that sessions, quotes or settings name: a shipped one may have had another name before, which
    /// then may be that of one of the person's own.
    pub(crate) fn yard_now<'i>(&self, id: &'i str) -> &'i str {
        let now = shipped::yard_now(id);
        // Looked for only where the name has changed: every quote comes by here.
        if now == id || self.find(Shelf::Yards, id).is_ok() { id } else { now }
    }

    /// The id of the yard to use: the one asked for, else that of the settings, else that of the last session, so that another
    /// first yard moves nobody who has worked at one, else the first shipped one.
    ///
    /// # Errors
    /// The word asked for fits none, or several.
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
    /// There is none.
    pub fn origin(&self, shelf: Shelf, id: &str) -> Result<Origin, AppError> {
        Ok(self.find(shelf, id)?.origin)
    }

    /// Copies a shipped script into the person's folder to edit, a recipe with its test session. Where they are.
    ///
    /// # Errors
    /// They have one of that name, or the folder cannot be written.
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

    /// Changes a setting, or takes it away, and reads the settings again.
    ///
    /// # Errors
    /// The key or the value is none, or the folder cannot be written.
    pub fn change_setting(&mut self, key: &str, value: Option<&str>, stamp: &str) -> Result<(), AppError> {
        if let Some(value) = value {
            check_setting(key, value)?;
        }
        self.home.configure(key, value, stamp)?;
        self.config = self.home.config()?;
        Ok(())
    }

    /// How the person writes numbers: as set, else as the yard does.
    pub fn notation(&self, yard: &Yard) -> Notation {
        match self.config.decimal {
            Some(DecimalMark::Comma) => Notation::Comma,
            Some(DecimalMark::Point) => Notation::Point,
            None => yard.notation(),
        }
    }

    /// The unit of a weight typed without one: as set, else what the yard weighs in.
    ///
    /// # Errors
    /// The setting is no unit.
    pub fn unit(&self, yard: &Yard) -> Result<MassUnit, AppError> {
        match &self.config.unit {
            Some(name) => name.parse().map_err(|error| setting("unit", error)),
            None => Ok(yard.unit()),
        }
    }

    /// What is wrong with the settings, if anything is: the first fault found.
    ///
    /// # Errors
    /// That fault.
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
    /// The settings of the scale do not suit, or one is missing.
    pub fn scale(&self) -> Result<Option<Setup>, AppError> {
        Setup::read(&self.config.scale).map_err(|error| setting("scale", error))
    }

    /// The division of the person's scale, if they said what it is.
    ///
    /// # Errors
    /// The setting is no weight.
    pub fn scale_division(&self) -> Result<Option<Mass>, AppError> {
        let read = |text: &String| read_setting("scale_division", text);
        self.config.scale_division.as_ref().map(read).transpose()
    }

    /// The weight of a named container, if the settings have it.
    pub fn container(&self, name: &str) -> Option<Mass> {
        let name = name.trim().to_lowercase();
        let found = self.config.containers.iter().find(|(known, _)| known.to_lowercase() == name);
        found.and_then(|(known, text)| read_setting(known, text).ok())
    }
}

/// Refuses a value that no command could use. What the file's own reader refuses is left to it.
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

/// Sessions and quotes are kept under the id that a script declares: one that declares another than its file is named for would
/// take over what belongs to that other.
pub(crate) fn expect_id(script: &Script, id: &str, declared: &str, mark: Mark) -> Result<(), AppError> {
    if id == declared {
        return Ok(());
    }
    let message = format!("this file is named for `{id}`, but declares `{declared}`");
    Err(Box::new(ScriptError::new(script.file(), script.source(), mark, &message, "give both the same name")).into())
}

/// Settings are written with a decimal point and a unit, whatever the yard's habits are.
fn read_setting(key: &str, text: &str) -> Result<Mass, AppError> {
    let rules = WeighingRules { notation: Notation::Point, unit: MassUnit::Gram, tare: &|_| None };
    weigh(text, &rules).map(|weighed| weighed.net).map_err(|error| setting(key, error))
}

fn setting(key: &str, error: impl std::fmt::Display) -> AppError {
    AppError::Refused(format!("the setting `{key}` in config.toml: {error}"))
}
