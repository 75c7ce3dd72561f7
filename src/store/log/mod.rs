//! Append-only logs: TOML that grows by one sealed entry at a time.
//!
//! A log has a header and then entries. Each *block* (the header, an entry) ends with a line `chain = "…"` whose 32
//! hexadecimal digits are the first half of SHA-256(chain of the block before + the block's own bytes up to that line).
//! So a block that was changed, moved, duplicated, removed or inserted no longer fits.
//!
//! ```toml
//! format = "knockdown-session"
//! version = 1
//! id = "2026-11-02-countertop-oven-1"
//! chain = "0b0f…"
//!
//! [[entry]]
//! seq = 1
//! at = "2026-11-02T14:03:11Z"
//! kind = "answer"
//! chain = "91c2…"
//! ```
//!
//! The program writes each text in only one way (fixed key order, one escape per character) and reads nothing else: a
//! log that reads without error is, byte for byte, the one that would be written. A [`Layout`] declares once what a
//! file may contain; reading and writing both follow it.

pub(super) mod moment;
mod read;
mod scan;
pub(super) mod text;
mod write;

use std::borrow::Cow;

pub use read::{Ending, LogReading, parse, read};
pub use write::{Opened, Tail, Writer};

/// The largest log that is read or written, in bytes.
pub const MAX_FILE: u64 = 64 * 1024 * 1024;

/// The most entries in a log.
pub const MAX_ENTRIES: usize = 100_000;

/// The longest text in one field, in bytes.
pub const MAX_TEXT: usize = 16 * 1024;

/// How the value of a field is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shape {
    /// A string.
    Text,
    /// A string; the field may be left out.
    OptionalText,
    /// A whole number, zero or more.
    Number,
}

/// One key of a block.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Field {
    /// The key.
    pub name: &'static str,
    /// How its value is written.
    pub shape: Shape,
}

impl Field {
    /// A field that is always there.
    #[must_use]
    pub const fn text(name: &'static str) -> Self {
        Self { name, shape: Shape::Text }
    }

    /// A field that may be left out.
    #[must_use]
    pub const fn optional(name: &'static str) -> Self {
        Self { name, shape: Shape::OptionalText }
    }

    /// A field with a whole number.
    #[must_use]
    pub const fn number(name: &'static str) -> Self {
        Self { name, shape: Shape::Number }
    }
}

/// The values of a block in the order of its fields; `None` where an optional one is left out.
pub type Values<'a> = Vec<Option<Cow<'a, str>>>;

/// A sealed but meaningless value: which field, and why.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BadValue {
    /// The index of the field.
    pub field: usize,
    /// What is wrong, as in `is no known kind`.
    pub why: String,
}

/// The content of a block besides the keys that every log has (`format`, `version`, `seq`, `chain`).
pub trait Block: Sized + PartialEq + std::fmt::Debug {
    /// Its keys in order.
    const FIELDS: &'static [Field];

    /// Its values in the order of [`Self::FIELDS`].
    fn values(&self) -> Values<'_>;

    /// The block with these values (one for each of [`Self::FIELDS`], in order and in its shape) at position `seq`,
    /// from 1; the header is at 0.
    ///
    /// # Errors
    /// [`BadValue`] for a value of the right shape without a meaning.
    fn from_values(seq: u64, values: Vec<Option<String>>) -> Result<Self, BadValue>;

    /// The block's own position, if it contains one; a writer rejects it anywhere else.
    fn seq(&self) -> Option<u64> {
        None
    }
}

/// One kind of log.
pub trait Layout {
    /// The value of `format` on the first line.
    const FORMAT: &'static str;
    /// The version of the format that is written, and the newest that is read.
    const VERSION: u32;
    /// The name of the entries' table.
    const TABLE: &'static str;
    /// What the header holds.
    type Header: Block;
    /// What an entry holds.
    type Record: Block;
}
