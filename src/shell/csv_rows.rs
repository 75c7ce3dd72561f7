//! Reads and writes CSV rows, written so that a spreadsheet shows them and computes nothing.

use std::borrow::Cow;

use csv::{Terminator, WriterBuilder};

use super::ink::sanitize;

/// Why a table could not be written.
pub type Unwritten = csv::Error;

/// CSV rows under their header, with line feeds as row ends.
///
/// A text that a spreadsheet would take for a formula gets a leading apostrophe, unless it is a plain number; unsafe
/// characters become visible escapes.
///
/// # Errors
/// None is known; errors of the CSV writer are passed on.
pub fn write_csv(heads: &[&str], rows: impl Iterator<Item = Vec<String>>) -> Result<String, Unwritten> {
    let mut writer = WriterBuilder::new().terminator(Terminator::Any(b'\n')).from_writer(Vec::new());
    writer.write_record(heads)?;
    for row in rows {
        writer.write_record(row.iter().map(|cell| cell_text(cell).into_owned()))?;
    }
    let bytes = writer.into_inner().map_err(|e| csv::Error::from(std::io::Error::other(e.to_string())))?;
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}

/// A cell: a decimal number unchanged, any other text guarded.
fn cell_text(cell: &str) -> Cow<'_, str> {
    if cell.parse::<rust_decimal::Decimal>().is_ok() { Cow::Borrowed(cell) } else { guarded(cell) }
}

/// Guards a text against evaluation by a spreadsheet: if its first visible character is `=`, `+`, `-` or `@` (plain or
/// full width), it gets a leading apostrophe.
pub fn guarded(text: &str) -> Cow<'_, str> {
    let text = sanitize(text);
    if text.trim_start().starts_with(['=', '+', '-', '@', '＝', '＋', '－', '＠']) {
        return format!("'{text}").into();
    }
    text
}

/// Reads comma-separated values, or semicolon-separated ones, as programs write them if the comma is their decimal
/// mark.
pub fn csv_reader(source: &str) -> csv::Reader<&[u8]> {
    let head = source.lines().next().unwrap_or_default();
    let separator = if head.contains(';') { b';' } else { b',' };
    csv::ReaderBuilder::new().delimiter(separator).trim(csv::Trim::All).from_reader(source.as_bytes())
}
