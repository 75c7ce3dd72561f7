//! Settings: one TOML file, which may also be edited by hand.

mod edit;
mod parse;

use super::log::text::shown;
use std::collections::BTreeMap;

pub use edit::edit;
pub use parse::parse;

/// The largest settings file, in bytes.
pub const MAX_FILE: u64 = 1024 * 1024;

/// The settings; unset ones are `None`. Weights, prices and units are text here; the rooms above parse them.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Config {
    /// The yard that values sessions by default.
    pub yard: Option<String>,
    /// The unit of a weight that is typed without one: `kg`.
    pub unit: Option<String>,
    /// The decimal separator.
    pub decimal: Option<DecimalMark>,
    /// The division of the user's scale: `5 g`.
    pub scale_division: Option<String>,
    /// The user's name, for the journal.
    pub person: Option<String>,
    /// What an hour must bring at least, a decimal number in the yard's currency: `15`.
    pub floor_per_hour: Option<String>,
    /// When to use colour.
    pub color: Option<Color>,
    /// Whether to print plain lines only.
    pub plain: Option<bool>,
    /// The tare weights of the user's containers, by name.
    pub containers: BTreeMap<String, String>,
    /// The cost of driving a kilometre, a decimal number in the yard's currency: `0.60`.
    pub cost_per_km: Option<String>,
    /// The cost, or distance and time, of a trip to each yard: `12.50`, `24 km 35 min`.
    pub trips: BTreeMap<String, String>,
    /// The settings of the connected scale: `kind`, `port` and so on.
    pub scale: BTreeMap<String, String>,
    /// Exchange rates with their dates: `USD-CAD`, `1.37 on 2026-11-02`.
    pub rates: BTreeMap<String, String>,
}

/// The decimal separator.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DecimalMark {
    /// `1.2`
    Point,
    /// `1,2`
    Comma,
}

/// When to use colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Color {
    /// If the output is a terminal that supports it.
    Auto,
    /// Always.
    Always,
    /// Never.
    Never,
}

/// The keys of the settings, in the order of [`Config`].
pub const KEYS: [&str; 13] = [
    "yard",
    "unit",
    "decimal",
    "scale_division",
    "person",
    "floor_per_hour",
    "color",
    "plain",
    CONTAINERS,
    "cost_per_km",
    TRIPS,
    RATES,
    SCALE,
];

/// The table of container weights.
const CONTAINERS: &str = "containers";

/// The table of trips.
const TRIPS: &str = "trips";

/// The table of exchange rates.
const RATES: &str = "rates";

/// The table of scale settings.
const SCALE: &str = "scale";

/// The keys that are tables, each with what a name in it stands for.
const TABLES: [(&str, &str); 4] = [
    (CONTAINERS, "container"),
    (TRIPS, "yard"),
    (RATES, "pair of currencies"),
    (SCALE, "part of it, such as kind or port"),
];

/// Rejects an unknown key, suggesting the nearest known one.
fn check_key(key: &str) -> Result<(), String> {
    if KEYS.contains(&key) {
        return Ok(());
    }
    let near = KEYS.iter().map(|known| (strsim::osa_distance(known, key), known)).min();
    Err(match near.filter(|(distance, known)| *distance <= known.len() / 2) {
        Some((_, known)) => format!("there is no setting {}. Did you mean {known}?", shown(key)),
        None => format!("there is no setting {}. The settings are {}", shown(key), KEYS.join(", ")),
    })
}

#[cfg(test)]
mod tests;
