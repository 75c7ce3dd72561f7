//! The tally as versioned JSON.

use crate::market::Tally;
use crate::shell::ink::is_unsafe;

/// The document `{"format":"knockdown-tally","version":1,…}`, indented, ended by a line feed. Characters that a terminal would
/// obey are written as JSON escapes, so that the text can be printed as it is and still reads back the same.
///
/// # Errors
/// None is known; serde's own is passed on.
pub fn write(tally: &Tally) -> Result<String, serde_json::Error> {
    let text = serde_json::to_string_pretty(tally)?;
    let mut safe = String::with_capacity(text.len() + 1);
    for c in text.chars() {
        // Line feeds here are the layout's own: inside strings serde has already escaped them.
        if c != '\n' && is_unsafe(c) {
            for unit in c.encode_utf16(&mut [0; 2]) {
                safe.push_str(&format!("\\u{unit:04x}"));
            }
        } else {
            safe.push(c);
        }
    }
    safe.push('\n');
    Ok(safe)
}
