//! Settings: one TOML file that a person may also edit by hand.

mod edit;
mod parse;

use super::log::text::shown;
use std::collections::BTreeMap;

pub use edit::edit;
pub use parse::parse;

/// The largest file of settings, in bytes.
pub const MAX_FILE: u64 = 1024 * 1024;

/// The settings; what is not set is `None`. Weights, prices and units are text here, understood by the rooms above.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Config {
    /// The yard that values sessions unless another is named.
    pub yard: Option<String>,
    /// The unit of a weight that is typed without one: `kg`.
    pub unit: Option<String>,
    /// What separates whole from fraction in a number.
    pub decimal: Option<DecimalMark>,
    /// The division of the person's scale: `5 g`.
    pub scale_division: Option<String>,
    /// Who works, for the journal.
    pub person: Option<String>,
    /// What an hour has to bring at least, a decimal number in the yard's currency: `15`.
    pub floor_per_hour: Option<String>,
    /// When to use colour.
    pub color: Option<Color>,
    /// Whether to print plain lines only.
    pub plain: Option<bool>,
    /// What the person's containers weigh empty: name and weight.
    pub containers: BTreeMap<String, String>,
    /// What a kilometre of driving costs, a decimal number in the yard's currency: `0.60`.
    pub cost_per_km: Option<String>,
    /// What a trip to a yard takes: yard and cost, distance or time: `12.50`, `24 km 35 min`.
    pub trips: BTreeMap<String, String>,
    /// The connected scale, by its parts: `kind`, `port` and the like.
    pub scale: BTreeMap<String, String>,
    /// What one of a currency was in another on a day: `USD-CAD`, `1.37 on 2026-11-02`.
    pub rates: BTreeMap<String, String>,
}

/// What separates whole from fraction in a number.
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
    /// When the output is a terminal that shows it.
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

/// The table of rates between currencies.
const RATES: &str = "rates";

/// The table of what is known of the connected scale.
const SCALE: &str = "scale";

/// The keys that are tables, each with what one of its names is.
const TABLES: [(&str, &str); 4] = [
    (CONTAINERS, "container"),
    (TRIPS, "yard"),
    (RATES, "pair of currencies"),
    (SCALE, "part of it, such as kind or port"),
];

/// Refuses a key that is not known, with the nearest that is.
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
