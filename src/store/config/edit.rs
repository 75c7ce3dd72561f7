//! Changes one setting and nothing else in the file.

use std::path::Path;

use toml_edit::{DocumentMut, Item, Table, Value};

use super::super::error::StoreError;
use super::{TABLES, check_key, parse};

/// The settings file with one setting changed. Order, comments and everything else stay; only the comment that belongs
/// to a setting goes when the setting is removed.
///
/// `key` is one of [`super::KEYS`]; for a table, its name, `.`, and the name in it, as in `containers.bucket`. `None`
/// removes the setting; removing a missing one changes nothing.
///
/// # Errors
/// [`StoreError::Refused`] for an unknown key or an invalid value; [`StoreError::Content`] if the existing text is
/// invalid.
pub fn edit(path: &Path, text: &str, key: &str, value: Option<&str>) -> Result<String, StoreError> {
    parse(path, text)?;
    let refused = |what: String| StoreError::Refused { what };
    let mut document: DocumentMut =
        text.parse().map_err(|error: toml_edit::TomlError| refused(error.message().to_owned()))?;
    let in_table = |(table, _): &(&'static str, _)| Some((*table, key.strip_prefix(table)?.strip_prefix('.')?));
    match TABLES.iter().find_map(in_table) {
        Some((table, name)) => change(table_of(&mut document, table)?, name, value.map(Value::from)),
        None => {
            if let Some((table, what)) = TABLES.iter().find(|(table, _)| *table == key) {
                return Err(refused(format!("say which {what}: {table}.NAME")));
            }
            check_key(key).map_err(refused)?;
            change(document.as_table_mut(), key, value.map(|value| typed(key, value)));
        }
    }
    let changed = document.to_string();
    match parse(path, &changed) {
        Ok(_) => Ok(changed),
        Err(StoreError::Content { what, .. }) => Err(refused(format!("{key} cannot be set so: {what}"))),
        Err(error) => Err(error),
    }
}

/// A table of the settings, created if missing.
fn table_of<'d>(document: &'d mut DocumentMut, table: &str) -> Result<&'d mut dyn toml_edit::TableLike, StoreError> {
    let item = document.entry(table).or_insert_with(|| Item::Table(Table::new()));
    item.as_table_like_mut().ok_or_else(|| StoreError::Refused { what: format!("{table} is no table in the settings") })
}

/// Sets or removes one key. Comments above and beside a key that is set stay.
fn change(table: &mut dyn toml_edit::TableLike, key: &str, value: Option<Value>) {
    let Some(mut value) = value else {
        table.remove(key);
        return;
    };
    match table.get_mut(key) {
        Some(item) => {
            if let Some(old) = item.as_value() {
                *value.decor_mut() = old.decor().clone();
            }
            *item = Item::Value(value);
        }
        None => drop(table.insert(key, Item::Value(value))),
    }
}

/// The value in its key's type. An invalid word is left as text, for the reader to reject.
fn typed(key: &str, value: &str) -> Value {
    match (key, value.parse::<bool>()) {
        ("plain", Ok(flag)) => Value::from(flag),
        _ => Value::from(value),
    }
}
