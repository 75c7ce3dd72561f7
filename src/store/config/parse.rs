//! Parses the settings.

use std::collections::BTreeMap;
use std::path::Path;

use toml::de::{DeTable, DeValue};

use super::super::error::StoreError;
use super::super::log::text::shown;
use super::super::toml_text::{line_at, parse_table};
use super::{CONTAINERS, Color, Config, DecimalMark, RATES, SCALE, TABLES, TRIPS, check_key};

/// Parses a settings file; `path` is for messages.
///
/// # Errors
/// [`StoreError::Content`] with the line, for invalid TOML, an unknown key (with the nearest known one), or an invalid
/// value.
pub fn parse(path: &Path, text: &str) -> Result<Config, StoreError> {
    let table = parse_table(path, text)?;
    let mut config = Config::default();
    rows(text, &table).try_for_each(|row| take(&mut config, &row)).map_err(|fault| StoreError::Content {
        path: path.to_owned(),
        line: line_at(text, fault.at),
        what: fault.what,
    })?;
    Ok(config)
}

/// Applies one setting.
fn take(config: &mut Config, row: &Row<'_>) -> Result<(), Fault> {
    match row.key {
        "yard" => config.yard = Some(row.text()?),
        "unit" => config.unit = Some(row.text()?),
        "decimal" => {
            config.decimal = Some(row.word(&[("point", DecimalMark::Point), ("comma", DecimalMark::Comma)])?);
        }
        "scale_division" => config.scale_division = Some(row.text()?),
        "person" => config.person = Some(row.text()?),
        "floor_per_hour" => config.floor_per_hour = Some(row.text()?),
        "color" => {
            let words = [("auto", Color::Auto), ("always", Color::Always), ("never", Color::Never)];
            config.color = Some(row.word(&words)?);
        }
        "plain" => config.plain = Some(row.flag()?),
        "cost_per_km" => config.cost_per_km = Some(row.text()?),
        CONTAINERS => config.containers = row.texts()?,
        TRIPS => config.trips = row.texts()?,
        RATES => config.rates = row.texts()?,
        SCALE => config.scale = row.texts()?,
        unknown => check_key(unknown).map_err(|what| row.fault(what))?,
    }
    Ok(())
}

/// A fault at an offset of the text.
struct Fault {
    at: usize,
    what: String,
}

/// One key and its value.
struct Row<'a> {
    source: &'a str,
    at: usize,
    key: &'a str,
    literal: &'a str,
    value: &'a DeValue<'a>,
}

/// The rows of a table of the text `source`.
fn rows<'a>(source: &'a str, table: &'a DeTable<'a>) -> impl Iterator<Item = Row<'a>> {
    table.iter().map(move |(key, value)| Row {
        source,
        at: key.span().start,
        key: key.get_ref(),
        literal: source.get(value.span()).unwrap_or_default(),
        value: value.get_ref(),
    })
}

impl<'a> Row<'a> {
    fn fault(&self, what: String) -> Fault {
        Fault { at: self.at, what }
    }

    /// A fault that shows the value and says what it should be.
    fn not(&self, wanted: &str) -> Fault {
        self.fault(format!("{} is {}; write {wanted}", shown(self.key), self.literal_shown()))
    }

    /// The value as written; a string already has its quotes.
    fn literal_shown(&self) -> String {
        match self.value {
            DeValue::String(text) => shown(text),
            DeValue::Table(_) => "a table".to_owned(),
            _ => shown(self.literal).trim_matches('"').to_owned(),
        }
    }

    fn text(&self) -> Result<String, Fault> {
        self.value.as_str().map(str::to_owned).ok_or_else(|| self.not("a text in quotes"))
    }

    fn flag(&self) -> Result<bool, Fault> {
        self.value.as_bool().ok_or_else(|| self.not("true or false, without quotes"))
    }

    fn word<T: Copy>(&self, words: &[(&str, T)]) -> Result<T, Fault> {
        let found = words.iter().find(|(word, _)| self.value.as_str() == Some(*word));
        found.map(|(_, meaning)| *meaning).ok_or_else(|| {
            let quoted: Vec<String> = words.iter().map(|(word, _)| format!("\"{word}\"")).collect();
            self.not(&quoted.join(" or "))
        })
    }

    /// A table of texts.
    fn texts(&self) -> Result<BTreeMap<String, String>, Fault> {
        let name = TABLES.iter().find(|(table, _)| *table == self.key).map_or("name", |(_, name)| *name);
        let wanted = format!("[{}], then a line \"NAME\" = \"TEXT\" for each {name}", self.key);
        let table = self.value.as_table().ok_or_else(|| self.not(&wanted))?;
        rows(self.source, table).map(|row| Ok((row.key.to_owned(), row.text()?))).collect()
    }
}
