//! What to do after an accident: cards that say to call for help first, and the few things on which their issuers
//! agree.

use std::collections::BTreeMap;

use serde::Deserialize;
use thiserror::Error;

use crate::naming::{Listed, Listing};

/// Printed under every card, after its reviewer.
const NO_SUBSTITUTE: &str = "No substitute for first-aid training and your local emergency services.";

/// A line of a card, and its sources.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct EmergencyCard {
    /// The line.
    pub says: String,
    /// Its sources by key; or `call` if it only says to ask, `card` if it refers to another card.
    pub on: Vec<String>,
}

/// One kind of accident.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Emergency {
    /// Its id.
    pub id: String,
    /// What happened.
    pub name: String,
    /// Other search terms.
    pub also: Vec<String>,
    /// The call for help.
    pub first: EmergencyCard,
    /// Further advice.
    pub lines: Vec<EmergencyCard>,
    /// The hazards for which it is offered, by id.
    #[serde(rename = "for")]
    pub hazards: Vec<String>,
    /// How its sources are known, and what is left out.
    pub status: String,
    /// Name, qualification and date of its reviewer; empty until a qualified person has reviewed it.
    pub reviewed_by: String,
}

impl Emergency {
    /// Who has reviewed it, and what it cannot replace.
    pub fn disclaimer(&self) -> String {
        let by = if self.reviewed_by.is_empty() { "nobody qualified" } else { &self.reviewed_by };
        format!("Reviewed by {by}. {NO_SUBSTITUTE}")
    }
}

/// The source of a line.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Issuer {
    /// `A` for the issuer's own page, `B` for a report of an official body's advice.
    pub grade: String,
    /// The page.
    pub at: String,
}

/// Why the cards were rejected.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("the emergency cards cannot be read: {0}")]
pub struct EmergencyError(String);

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct EmergencyFile {
    emergency: Vec<Emergency>,
    source: BTreeMap<String, Issuer>,
}

/// All cards. A card's number is its position, from 1.
#[derive(Debug, Clone)]
pub struct EmergencyBook {
    cards: Vec<Emergency>,
    sources: BTreeMap<String, Issuer>,
    listing: Listing,
}

impl Default for EmergencyBook {
    fn default() -> EmergencyBook {
        EmergencyBook::new(Vec::new(), BTreeMap::new())
    }
}

impl EmergencyBook {
    /// Parses a catalogue: TOML with `[[emergency]]` tables and their sources.
    ///
    /// # Errors
    /// The text is invalid.
    pub fn parse(text: &str) -> Result<EmergencyBook, EmergencyError> {
        let file: EmergencyFile = toml::from_str(text).map_err(|error| EmergencyError(error.to_string()))?;
        Ok(EmergencyBook::new(file.emergency, file.source))
    }

    fn new(cards: Vec<Emergency>, sources: BTreeMap<String, Issuer>) -> EmergencyBook {
        let listed = |card: &Emergency| Listed {
            id: card.id.clone(),
            name: card.name.clone(),
            also: card.also.clone(),
            looks: String::new(),
        };
        let listing = Listing::new("emergency", cards.iter().map(listed).collect());
        EmergencyBook { cards, sources, listing }
    }

    /// The cards with their numbers.
    pub fn numbered(&self) -> impl Iterator<Item = (usize, &Emergency)> {
        (1..).zip(&self.cards)
    }

    /// The sources by key.
    pub fn sources(&self) -> &BTreeMap<String, Issuer> {
        &self.sources
    }

    /// A card by its id.
    pub fn get(&self, id: &str) -> Option<(usize, &Emergency)> {
        self.numbered().find(|(_, card)| card.id == id)
    }

    /// The cards for some hazards, in the order of the hazards, each once.
    pub fn at_hand<'h>(&self, hazards: impl IntoIterator<Item = &'h str>) -> Vec<(usize, &Emergency)> {
        let mut found: Vec<(usize, &Emergency)> = Vec::new();
        for hazard in hazards {
            for (number, card) in self.numbered().filter(|(_, card)| card.hazards.iter().any(|id| id == hazard)) {
                if found.iter().all(|(known, _)| *known != number) {
                    found.push((number, card));
                }
            }
        }
        found
    }

    /// The card with this number or id; else those that match a description of what happened, best first.
    pub fn find(&self, what: &str) -> Vec<(usize, &Emergency)> {
        let by_number = what.parse().ok().and_then(|number: usize| self.numbered().nth(number.checked_sub(1)?));
        match by_number.or_else(|| self.get(&what.to_lowercase())) {
            Some(found) => vec![found],
            None => {
                self.listing.find(what).into_iter().take(MOST_FOUND).filter_map(|found| self.get(&found.id)).collect()
            }
        }
    }
}

/// The most cards returned for a description.
const MOST_FOUND: usize = 3;
