//! Output formats, and JSON that is safe to print.

use super::ink::safe_json;
use crate::quantity::{Money, Notation};
use crate::world::AppError;

/// The format of a listing or a tally.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Format {
    /// Text for people.
    Text,
    /// Versioned JSON.
    Json,
    /// Comma-separated values.
    Csv,
    /// A Markdown table.
    Markdown,
}

/// A document as JSON text that is safe to print, with a final line feed.
///
/// # Errors
/// A value that JSON cannot represent; the program has none.
pub fn json_text(value: &impl serde::Serialize) -> Result<String, AppError> {
    let text = serde_json::to_string_pretty(value).map_err(|error| AppError::Refused(format!("JSON: {error}")))?;
    Ok(safe_json(&text) + "\n")
}

/// An amount in documents: a text, so that no reader rounds it, with a decimal point and at least the minor unit's
/// places.
pub(super) fn digits(amount: Money) -> String {
    amount.digits(Notation::Point)
}
