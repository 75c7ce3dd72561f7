//! A day in a grade list, written as text: `"2026-12-09"`.

use jiff::civil::Date;
use serde::de::Error;
use serde::{Deserialize, Deserializer, Serializer};

/// Writes the day, or nothing.
pub(super) fn serialize<S: Serializer>(day: &Option<Date>, serializer: S) -> Result<S::Ok, S::Error> {
    match day {
        Some(day) => serializer.collect_str(day),
        None => serializer.serialize_none(),
    }
}

/// Reads a day that is there.
pub(super) fn deserialize<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Option<Date>, D::Error> {
    let text = String::deserialize(deserializer)?;
    let wrong = |_| D::Error::custom(format!("`{}` is no day; write it as \"2026-12-09\"", text.escape_debug()));
    text.parse().map(Some).map_err(wrong)
}
