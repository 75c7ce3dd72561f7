//! A bundle: one script for passing on, with its imports and test session, as one readable text.
//!
//! # Digest
//!
//! The digest covers the content, not how its TOML is written: SHA-256 over one record for each key in the order
//! `format`, `version`, `kind`, `id`, `name`, `author`, `licence`, `revision`, `needs_api`, `notes`, `source`,
//! `session`, then `imports.NAME` by name. A record is the key, a line feed, the value's length in bytes in decimal, a
//! line feed, the bytes, a line feed. Without a session there is no `session` record. Line ends count as line feeds, so
//! that a bundle survives a mail program. The digest reveals a change; it is not a signature and does not prove who
//! wrote the bundle.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::Path;

use serde::Deserialize;
use toml::de::{DeTable, DeValue};

use super::disk::Disk;
use super::error::StoreError;
use super::files;
use super::home::{MAX_SCRIPT, Shelf};
use super::log::text::shown;
use super::name::Id;
use super::toml_text::{fault, line_at, parse_table};
use crate::naming::is_unsafe;

/// The value of the `format` key.
pub const FORMAT: &str = "knockdown-bundle";
/// The format version that is written and read.
pub const VERSION: u32 = 1;
/// The largest bundle accepted, in bytes.
pub const MAX_FILE: u64 = 2 * 1024 * 1024;
/// The longest name, author or licence, in characters.
const MAX_LINE: usize = 200;
/// The most modules that travel with a script.
const MAX_IMPORTS: usize = 20;

/// A script to pass on: valid bundle contents, and their digest.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Bundle {
    contents: Contents,
    digest: String,
}

impl std::ops::Deref for Bundle {
    type Target = Contents;

    fn deref(&self) -> &Contents {
        &self.contents
    }
}

/// The kind of script in a bundle.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum BundleKind {
    /// A recipe.
    Recipe,
    /// A yard.
    Yard,
    /// A bench tool.
    Tool,
    /// A report: a tool that reads sessions.
    Report,
}

impl BundleKind {
    /// All kinds.
    pub const ALL: [Self; 4] = [Self::Recipe, Self::Yard, Self::Tool, Self::Report];

    /// The kind as a word.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Recipe => "recipe",
            Self::Yard => "yard",
            Self::Tool => "tool",
            Self::Report => "report",
        }
    }

    /// The folder for scripts of this kind.
    #[must_use]
    pub fn shelf(self) -> Shelf {
        match self {
            Self::Recipe => Shelf::Recipes,
            Self::Yard => Shelf::Yards,
            Self::Tool => Shelf::Tools,
            Self::Report => Shelf::Reports,
        }
    }

    /// The kind of the scripts in a folder; `None` for modules, which travel with what imports them.
    #[must_use]
    pub fn of(shelf: Shelf) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.shelf() == shelf)
    }

    /// Whether such a script has a test session. A tool's tests are the examples in its script.
    #[must_use]
    pub fn has_session(self) -> bool {
        self == Self::Recipe
    }
}

/// The contents of a bundle.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Contents {
    /// `recipe`, `yard`, `tool` or `report`.
    pub kind: BundleKind,
    /// The script's id.
    pub id: String,
    /// The display name of what it describes.
    pub name: String,
    /// Its author; empty if not stated.
    pub author: String,
    /// The licence for passing it on; empty if not stated.
    pub licence: String,
    /// Its revision.
    pub revision: u32,
    /// The script API version it requires.
    pub needs_api: u32,
    /// A message to the recipient; may be empty.
    pub notes: String,
    /// The script.
    pub source: String,
    /// Its test session, an answers file.
    #[serde(default)]
    pub session: Option<String>,
    /// The modules it imports that are not shipped, by name.
    #[serde(default)]
    pub imports: BTreeMap<String, String>,
}

impl Bundle {
    /// Seals contents: normalises line ends and computes the digest.
    ///
    /// # Errors
    /// [`StoreError::Refused`] or [`StoreError::BadName`] for what a bundle may not contain: a name that could be a
    /// path, control characters, an overlong text.
    pub fn seal(mut contents: Contents) -> Result<Self, StoreError> {
        contents.settle_lines();
        contents.check().map_err(|(_, error)| error)?;
        Ok(Self { digest: contents.digest(), contents })
    }

    /// Reads a bundle from a file.
    ///
    /// # Errors
    /// As for [`files::read_text`] and [`Bundle::parse`].
    pub fn read(disk: &dyn Disk, path: &Path) -> Result<Self, StoreError> {
        Self::parse(path, &files::read_text(disk, path, MAX_FILE)?)
    }

    /// Parses a bundle; `path` is for messages.
    ///
    /// # Errors
    /// One clear error: invalid TOML, not a bundle, a later version, a missing or unknown key, a value that a bundle
    /// may not contain, or a digest that does not match the contents.
    pub fn parse(path: &Path, text: &str) -> Result<Self, StoreError> {
        let mut table = parse_table(path, text)?;
        expect_format(path, text, &table)?;
        let lines: BTreeMap<String, usize> =
            table.keys().map(|key| (key.get_ref().to_string(), line_at(text, key.span().start))).collect();
        let wrong = |key: &str, what: String| StoreError::Content {
            path: path.to_owned(),
            line: lines.get(key).copied().unwrap_or(1),
            what,
        };
        table.remove("format");
        table.remove("version");
        let digest = match table.remove("digest").map(toml::Spanned::into_inner) {
            Some(DeValue::String(digest)) => digest.into_owned(),
            _ => return Err(wrong("digest", "`digest` is missing or no text".to_owned())),
        };
        let mut contents =
            Contents::deserialize(toml::de::Deserializer::from(toml::Spanned::new(0..text.len(), table)))
                .map_err(|error| fault(path, text, &error))?;
        contents.settle_lines();
        contents.check().map_err(|(key, error)| wrong(key, error.to_string()))?;
        let computed = contents.digest();
        if digest != computed {
            let what = format!(
                "the digest is {}, but the contents have {computed}. Something was changed on the way: get the bundle anew",
                shown(&digest)
            );
            return Err(wrong("digest", what));
        }
        Ok(Self { contents, digest })
    }

    /// The digest of the contents: 64 hexadecimal digits.
    #[must_use]
    pub fn digest(&self) -> &str {
        &self.digest
    }

    /// The bundle as text that people can read and mail can carry.
    #[must_use]
    pub fn text(&self) -> String {
        let mut text = String::from(
            "# To take this in: knockdown adopt FILE. It shows what this is and asks before it keeps anything.\n\n",
        );
        let mut line = |key: &str, value: String| {
            // Writing to a string cannot fail.
            let _ = writeln!(text, "{key} = {value}");
        };
        line("format", quoted(FORMAT));
        line("version", VERSION.to_string());
        line("kind", quoted(self.kind.word()));
        line("id", quoted(&self.id));
        line("name", quoted(&self.name));
        line("author", quoted(&self.author));
        line("licence", quoted(&self.licence));
        line("revision", self.revision.to_string());
        line("needs_api", self.needs_api.to_string());
        line("notes", quoted(&self.notes));
        line("digest", quoted(&self.digest));
        line("source", literal(&self.source));
        if let Some(session) = &self.session {
            line("session", literal(session));
        }
        if !self.imports.is_empty() {
            text.push_str("\n[imports]\n");
        }
        for (name, module) in &self.imports {
            let _ = writeln!(text, "{name} = {}", literal(module));
        }
        text
    }
}

impl Contents {
    /// Computes the digest of the contents.
    fn digest(&self) -> String {
        let mut records = String::new();
        let mut record = |key: &str, value: &str| {
            let _ = write!(records, "{key}\n{}\n{value}\n", value.len());
        };
        record("format", FORMAT);
        record("version", &VERSION.to_string());
        record("kind", self.kind.word());
        record("id", &self.id);
        record("name", &self.name);
        record("author", &self.author);
        record("licence", &self.licence);
        record("revision", &self.revision.to_string());
        record("needs_api", &self.needs_api.to_string());
        record("notes", &self.notes);
        record("source", &self.source);
        if let Some(session) = &self.session {
            record("session", session);
        }
        for (name, module) in &self.imports {
            record(&format!("imports.{name}"), module);
        }
        super::digest(records.as_bytes())
    }

    fn settle_lines(&mut self) {
        let texts =
            [&mut self.notes, &mut self.source].into_iter().chain(&mut self.session).chain(self.imports.values_mut());
        for text in texts.filter(|text| text.contains('\r')) {
            *text = text.replace("\r\n", "\n");
        }
    }

    /// What a bundle may not contain, with the offending key.
    fn check(&self) -> Result<(), (&'static str, StoreError)> {
        Id::new(&self.id).map_err(|error| ("id", error))?;
        for (key, value) in [("name", &self.name), ("author", &self.author), ("licence", &self.licence)] {
            one_line(key, value).map_err(|error| (key, error))?;
        }
        let texts = [("notes", &self.notes), ("source", &self.source)].into_iter();
        let texts = texts.chain(self.session.iter().map(|session| ("session", session)));
        for (key, value) in texts.chain(self.imports.values().map(|module| ("imports", module))) {
            plain(key, value).map_err(|error| (key, error))?;
        }
        if !self.kind.has_session() && self.session.is_some() {
            let what = format!("a {} has no test session; take `session` out", self.kind.word());
            return Err(("session", StoreError::Refused { what }));
        }
        if self.imports.len() > MAX_IMPORTS {
            let what =
                format!("{} modules travel with the script; at most {MAX_IMPORTS} are taken", self.imports.len());
            return Err(("imports", StoreError::Refused { what }));
        }
        self.imports.keys().try_for_each(|name| Id::new(name).map(drop)).map_err(|error| ("imports", error))
    }
}

/// Rejects anything but a bundle of a known version, before looking at its keys.
fn expect_format(path: &Path, text: &str, table: &DeTable<'_>) -> Result<(), StoreError> {
    let value = |key: &str| table.get(key).map(toml::Spanned::get_ref);
    if !matches!(value("format"), Some(DeValue::String(format)) if format == FORMAT) {
        let seen = shown(text.lines().next().unwrap_or_default());
        return Err(StoreError::Foreign { path: path.to_owned(), wanted: FORMAT, seen });
    }
    match value("version") {
        Some(DeValue::Integer(version)) if version.as_str() == VERSION.to_string() => Ok(()),
        Some(DeValue::Integer(version)) if version.as_str().parse::<u32>().is_ok_and(|version| version > VERSION) => {
            Err(StoreError::Newer { path: path.to_owned(), version: version.as_str().to_owned(), newest: VERSION })
        }
        _ => {
            let line = table.get_key_value("version").map_or(1, |(key, _)| line_at(text, key.span().start));
            let what = format!("`version` is not {VERSION}, the only version that there is up to now");
            Err(StoreError::Content { path: path.to_owned(), line, what })
        }
    }
}

/// Rejects a value with several lines or control characters, and an overlong one.
fn one_line(key: &str, value: &str) -> Result<(), StoreError> {
    let refused = |what: String| Err(StoreError::Refused { what });
    if value.chars().any(is_unsafe) {
        return refused(format!(
            "`{key}` is {}, with a character that cannot be shown; write one plain line",
            shown(value)
        ));
    }
    match value.chars().count() {
        0..=MAX_LINE => Ok(()),
        long => refused(format!("`{key}` has {long} characters; at most {MAX_LINE} are taken")),
    }
}

/// Rejects control characters other than line ends and tabs, and a text too long for a script.
fn plain(key: &str, text: &str) -> Result<(), StoreError> {
    if text.len() as u64 > MAX_SCRIPT {
        let what = format!("`{key}` has {} bytes; at most {MAX_SCRIPT} are taken", text.len());
        return Err(StoreError::Refused { what });
    }
    for (place, line) in text.split('\n').enumerate() {
        if let Some(c) = line.chars().find(|c| c.is_control() && *c != '\t') {
            let what = format!(
                "`{key}`, its line {}: the character U+{:04X} is not allowed in a bundle",
                place + 1,
                u32::from(c)
            );
            return Err(StoreError::Refused { what });
        }
    }
    Ok(())
}

/// A value as a TOML string with escapes.
fn quoted(text: &str) -> String {
    toml::Value::String(text.to_owned()).to_string()
}

/// A text as it is, between triple quotes; with escapes if it contains triple quotes itself.
fn literal(text: &str) -> String {
    if text.contains("'''") || text.ends_with('\'') { quoted(text) } else { format!("'''\n{text}'''") }
}

#[cfg(test)]
mod tests;
