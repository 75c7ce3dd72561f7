//! The forms in which a document is written, and JSON that is safe to print.

use super::ink::safe_json;
use crate::quantity::{Money, Notation};
use crate::world::AppError;

/// What a listing or a tally is written as.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Format {
    /// For people.
    Text,
    /// Versioned JSON.
    Json,
    /// Comma-separated values.
    Csv,
    /// A Markdown table.
    Markdown,
}

/// A document as JSON text that is safe to print, ended by a line feed.
///
/// # Errors
/// A value that JSON cannot hold; none of ours is.
pub fn json_text(value: &impl serde::Serialize) -> Result<String, AppError> {
    let text = serde_json::to_string_pretty(value).map_err(|error| AppError::Refused(format!("JSON: {error}")))?;
    Ok(safe_json(&text) + "\n")
}

/// An amount as documents carry it: a text, so that no reader rounds it, with a point and the minor unit's places.
pub(super) fn digits(amount: Money) -> String {
    amount.digits(Notation::Point)
}
