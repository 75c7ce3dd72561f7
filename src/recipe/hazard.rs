//! Hazards, and what a guard demands before a step starts.

use std::collections::BTreeMap;
use std::sync::{Arc, OnceLock};

use serde::Deserialize;
use thiserror::Error;

use crate::naming::{Listed, Listing};

/// What a guard demands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Action {
    /// Read the cautions and confirm.
    Caution,
    /// Do what the cautions say and type the word shown.
    Danger,
    /// Only a licensed person may do it: record who did, or hand the unit on whole.
    Licensed,
}

impl Action {
    /// The class as shown on screen.
    pub fn word(self) -> &'static str {
        match self {
            Action::Caution => "CAUTION",
            Action::Danger => "DANGER",
            Action::Licensed => "LICENSED ONLY",
        }
    }
}

/// A hazard, as in the catalogue.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Hazard {
    /// Its id.
    pub id: String,
    /// What its guard demands.
    pub class: Action,
    /// The word to type for a danger; says what the user has done.
    #[serde(default)]
    pub word: Option<String>,
    /// Its name.
    pub name: String,
    /// Where it occurs.
    pub met_in: String,
    /// How it hurts.
    pub hurts: String,
    /// The usual cautions, in working order.
    pub cautions: Vec<String>,
    /// What to wear or use.
    pub protection: Vec<String>,
    /// When to stop and hand on.
    pub stop: String,
    /// How to dispose of it.
    pub disposal: String,
    /// WEEE Annex VII items concerned.
    #[serde(default)]
    pub annex_vii: Vec<String>,
    /// Its source.
    pub source: String,
    /// Whether the source was read, derived, or is from memory.
    pub status: String,
}

/// Why a hazard catalogue was rejected.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum HazardError {
    /// The text is not a list of hazards.
    #[error("the hazard catalogue cannot be read: {0}")]
    Unreadable(String),
    /// Two hazards share an id.
    #[error("the hazard `{0}` is listed twice")]
    Twice(String),
    /// A danger without the word to type, or a word without a danger.
    #[error("the hazard `{0}`: a danger needs a `word` in capitals, and only a danger has one")]
    Word(String),
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct HazardFile {
    hazard: Vec<Hazard>,
}

/// All hazards that recipes can name.
#[derive(Debug, Clone, Default)]
pub struct HazardBook {
    hazards: BTreeMap<String, Hazard>,
    listing: OnceLock<Arc<Listing>>,
}

impl HazardBook {
    /// Parses a catalogue: TOML with `[[hazard]]` tables.
    ///
    /// # Errors
    /// `HazardError` names the faulty hazard.
    pub fn parse(text: &str) -> Result<HazardBook, HazardError> {
        let file: HazardFile = toml::from_str(text).map_err(|error| HazardError::Unreadable(error.to_string()))?;
        let mut hazards = BTreeMap::new();
        for hazard in file.hazard {
            let well_worded =
                hazard.word.as_ref().is_some_and(|w| !w.is_empty() && w.chars().all(|c| c.is_ascii_uppercase()));
            if well_worded != (hazard.class == Action::Danger) {
                return Err(HazardError::Word(hazard.id));
            }
            if let Some(former) = hazards.insert(hazard.id.clone(), hazard) {
                return Err(HazardError::Twice(former.id));
            }
        }
        Ok(HazardBook { hazards, listing: OnceLock::new() })
    }

    /// A hazard by id.
    pub fn get(&self, id: &str) -> Option<&Hazard> {
        self.hazards.get(id)
    }

    /// All hazards by id.
    pub fn iter(&self) -> impl Iterator<Item = &Hazard> {
        self.hazards.values()
    }

    /// The hazards as a searchable list; built on first use.
    pub fn listing(&self) -> &Arc<Listing> {
        self.listing.get_or_init(|| {
            let listed = |hazard: &Hazard| Listed {
                id: hazard.id.clone(),
                name: hazard.name.clone(),
                also: Vec::new(),
                looks: format!("{} {}", hazard.met_in, hazard.hurts),
            };
            Arc::new(Listing::new("hazard", self.hazards.values().map(listed).collect()))
        })
    }

    /// Known ids.
    pub fn ids(&self) -> impl Iterator<Item = &str> {
        self.hazards.keys().map(String::as_str)
    }
}
