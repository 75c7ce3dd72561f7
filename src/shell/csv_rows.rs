//! Rows of CSV, read and written; what is written a spreadsheet shows and does not compute.

use std::borrow::Cow;

use csv::{Terminator, WriterBuilder};

use super::ink::sanitize;

/// Why a table could not be written.
pub type Unwritten = csv::Error;

/// Rows under their header, with line feeds as row ends.
///
/// A text that a spreadsheet would take for a formula gets an apostrophe in front, unless it is a plain number; unsafe
/// characters become visible escapes.
///
/// # Errors
/// None is known; the writer's own is passed on.
pub fn write_csv(heads: &[&str], rows: impl Iterator<Item = Vec<String>>) -> Result<String, Unwritten> {
    let mut writer = WriterBuilder::new().terminator(Terminator::Any(b'\n')).from_writer(Vec::new());
    writer.write_record(heads)?;
    for row in rows {
        writer.write_record(row.iter().map(|cell| cell_text(cell).into_owned()))?;
    }
    let bytes = writer.into_inner().map_err(|e| csv::Error::from(std::io::Error::other(e.to_string())))?;
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}

/// A cell: a decimal number as it is, any other text guarded.
fn cell_text(cell: &str) -> Cow<'_, str> {
    if cell.parse::<rust_decimal::Decimal>().is_ok() { Cow::Borrowed(cell) } else { guarded(cell) }
}

/// A text that no spreadsheet computes: one whose first visible character is `=`, `+`, `-` or `@` (plain or full
/// width) gets an apostrophe in front.
pub fn guarded(text: &str) -> Cow<'_, str> {
    let text = sanitize(text);
    if text.trim_start().starts_with(['=', '+', '-', '@', '＝', '＋', '－', '＠']) {
        return format!("'{text}").into();
    }
    text
}

/// Reads comma-separated values, or semicolon-separated ones, as programs write them where the comma is a decimal mark.
pub fn csv_reader(source: &str) -> csv::Reader<&[u8]> {
    let head = source.lines().next().unwrap_or_default();
    let separator = if head.contains(';') { b';' } else { b',' };
    csv::ReaderBuilder::new().delimiter(separator).trim(csv::Trim::All).from_reader(source.as_bytes())
}
