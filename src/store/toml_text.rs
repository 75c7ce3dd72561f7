//! Helpers for reading user-written TOML: its table with positions, and line numbers for messages.

use std::path::Path;

use toml::de::DeTable;

use super::error::StoreError;
use super::log::text::visible;

/// The table of a TOML text, every key and value with its position.
pub(super) fn parse_table<'a>(path: &Path, text: &'a str) -> Result<DeTable<'a>, StoreError> {
    DeTable::parse(text).map(toml::Spanned::into_inner).map_err(|error| fault(path, text, &error))
}

/// An error of the TOML reader, with its line.
pub(super) fn fault(path: &Path, text: &str, error: &toml::de::Error) -> StoreError {
    let line = line_at(text, error.span().map_or(0, |span| span.start));
    StoreError::Content { path: path.to_owned(), line, what: visible(error.message()) }
}

/// The line of an offset, from 1.
pub(super) fn line_at(text: &str, offset: usize) -> usize {
    1 + text.bytes().take(offset).filter(|byte| *byte == b'\n').count()
}
