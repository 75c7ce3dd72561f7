//! The tally as versioned JSON.

use crate::market::Tally;
use crate::shell::ink::safe_json;

/// The document `{"format":"knockdown-tally","version":1,…}`, indented, ended by a line feed. Characters that a terminal would
/// obey are written as JSON escapes, so that the text can be printed as it is and still reads back the same.
///
/// # Errors
/// None is known; serde's own is passed on.
pub fn write(tally: &Tally) -> Result<String, serde_json::Error> {
    let text = serde_json::to_string_pretty(tally)?;
    let mut safe = safe_json(&text);
    safe.push('\n');
    Ok(safe)
}
