//! Names that are safe as file names everywhere.

use std::fmt;

use super::error::StoreError;

/// The longest name, in characters.
const MAX_LEN: usize = 80;

/// Names that Windows reserves for devices, whatever the extension.
const DEVICES: [&str; 4] = ["con", "prn", "aux", "nul"];

/// A name of a session, recipe, yard, tool or report: `[a-z0-9-]`, at most 80 characters. It cannot be a path.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Id(String);

impl Id {
    /// Validates a name.
    ///
    /// # Errors
    /// [`StoreError::BadName`] if it is empty, too long, has another character, begins or ends with `-`, or is reserved
    /// for a device on some system.
    pub fn new(name: &str) -> Result<Self, StoreError> {
        match fault(name) {
            None => Ok(Self(name.to_owned())),
            Some(reason) => Err(StoreError::BadName { name: name.to_owned(), reason }),
        }
    }

    /// The name.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for Id {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

/// What is wrong with a name.
fn fault(name: &str) -> Option<&'static str> {
    if name.is_empty() {
        Some("it is empty")
    } else if name.chars().count() > MAX_LEN {
        Some("it is too long")
    } else if !name.bytes().all(|byte| byte.is_ascii_lowercase() || byte.is_ascii_digit() || byte == b'-') {
        Some("it has a character that is not allowed")
    } else if name.starts_with('-') || name.ends_with('-') {
        Some("it begins or ends with '-'")
    } else if is_device(name) {
        Some("some systems keep that name for a device")
    } else {
        None
    }
}

/// Whether Windows reserves a name for a device.
fn is_device(name: &str) -> bool {
    let numbered = |stem: &str| name.strip_prefix(stem).is_some_and(|rest| rest.len() == 1 && rest != "0");
    DEVICES.contains(&name) || numbered("com") || numbered("lpt")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn plain_names_pass() {
        for name in ["a", "2026-11-02-countertop-oven-1", "com10", &"x".repeat(80)] {
            assert_eq!(Id::new(name).expect(name).as_str(), name);
        }
    }

    #[test]
    fn tricks_are_refused_and_shown_without_their_escapes() {
        let long = "x".repeat(81);
        for name in ["", "..", "a/b", "a\\b", "A", "é", "a b", "-a", "a-", "nul", "com1", "a.toml", "\u{1b}[2J", &long]
        {
            let said = Id::new(name).expect_err(name).to_string();
            assert!(said.contains("Use a-z, 0-9"), "{said}");
            assert!(!said.contains('\u{1b}'), "{said:?}");
        }
    }
}
