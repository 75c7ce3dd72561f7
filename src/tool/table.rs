//! Catalogue tables: published figures that tools look up, each row with its source.

use std::collections::BTreeMap;

use rust_decimal::Decimal;
use thiserror::Error;

/// One value of a row.
#[derive(Debug, Clone, PartialEq)]
pub enum TableCell {
    /// A number.
    Number(Decimal),
    /// Words.
    Text(String),
    /// Yes or no.
    Yes(bool),
}

/// One row.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// Its key.
    pub key: String,
    /// Its values by name, sorted by name.
    pub cells: BTreeMap<String, TableCell>,
    /// Where it comes from.
    pub source: String,
    /// How far that was checked: read, derived, from memory, estimate.
    pub status: String,
}

/// A table: rows in the order of the file.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Table {
    /// Its contents and their units.
    pub about: String,
    /// Its rows.
    pub rows: Vec<Row>,
}

/// Why a table was rejected.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum TableError {
    /// The text is not a table.
    #[error("the table `{table}` cannot be read: {why}")]
    Unreadable {
        /// Its name.
        table: String,
        /// What is wrong.
        why: String,
    },
    /// A row that lacks something, or has a value of an unsupported kind.
    #[error("the table `{table}`, row {row}: {why}")]
    Row {
        /// Its name.
        table: String,
        /// The row, from 1.
        row: usize,
        /// What is wrong.
        why: String,
    },
}

/// All tables by name.
#[derive(Debug, Clone, Default)]
pub struct Tables(BTreeMap<String, Table>);

impl Tables {
    /// Parses tables from their names and TOML texts: `about`, and `[[row]]` with `key`, `source`, `status` and values.
    ///
    /// # Errors
    /// `TableError` with the faulty row.
    pub fn parse<'a>(texts: impl IntoIterator<Item = (&'a str, &'a str)>) -> Result<Tables, TableError> {
        texts
            .into_iter()
            .map(|(name, text)| Ok((name.to_owned(), table(name, text)?)))
            .collect::<Result<_, _>>()
            .map(Tables)
    }

    /// A table by its name.
    #[must_use]
    pub fn get(&self, name: &str) -> Option<&Table> {
        self.0.get(name)
    }

    /// All names.
    pub fn names(&self) -> impl Iterator<Item = &str> + Clone {
        self.0.keys().map(String::as_str)
    }
}

impl Table {
    /// The row with that key.
    #[must_use]
    pub fn row(&self, key: &str) -> Option<&Row> {
        self.rows.iter().find(|row| row.key == key)
    }
}

fn table(name: &str, text: &str) -> Result<Table, TableError> {
    let unreadable = |why: String| TableError::Unreadable { table: name.to_owned(), why };
    let parsed: toml::Table = text.parse().map_err(|error: toml::de::Error| unreadable(error.to_string()))?;
    let about =
        parsed.get("about").and_then(toml::Value::as_str).ok_or_else(|| unreadable("it has no `about`".into()))?;
    let rows =
        parsed.get("row").and_then(toml::Value::as_array).ok_or_else(|| unreadable("it has no [[row]]".into()))?;
    let mut table = Table { about: about.to_owned(), rows: Vec::new() };
    for (place, value) in rows.iter().enumerate() {
        let wrong = |why: String| TableError::Row { table: name.to_owned(), row: place + 1, why };
        let row = row(value).map_err(wrong)?;
        if table.row(&row.key).is_some() {
            return Err(wrong(format!("the key `{}` stands twice", row.key)));
        }
        table.rows.push(row);
    }
    Ok(table)
}

fn row(value: &toml::Value) -> Result<Row, String> {
    let fields = value.as_table().ok_or("it is no table")?;
    let text = |name: &str| {
        let found = fields.get(name).and_then(toml::Value::as_str).filter(|text| !text.is_empty());
        found.map(str::to_owned).ok_or_else(|| format!("it has no `{name}`"))
    };
    let (key, source, status) = (text("key")?, text("source")?, text("status")?);
    let own = fields.iter().filter(|(name, _)| !matches!(name.as_str(), "key" | "source" | "status"));
    let cells = own.map(|(name, value)| Ok((name.clone(), cell(name, value)?))).collect::<Result<_, String>>()?;
    Ok(Row { key, cells, source, status })
}

fn cell(name: &str, value: &toml::Value) -> Result<TableCell, String> {
    match value {
        toml::Value::Integer(number) => Ok(TableCell::Number(Decimal::from(*number))),
        // The shortest text that parses back to this float is what was written, up to 15 digits; longer ones are
        // rejected.
        toml::Value::Float(number) => {
            let text = number.to_string();
            let digits = text.chars().filter(char::is_ascii_digit).count();
            let number = text.parse().ok().filter(|_| digits <= 15);
            number.map(TableCell::Number).ok_or_else(|| format!("`{name}` has more digits than can be kept"))
        }
        toml::Value::String(text) => Ok(TableCell::Text(text.clone())),
        toml::Value::Boolean(yes) => Ok(TableCell::Yes(*yes)),
        _ => Err(format!("`{name}` is no number, no text and no yes or no")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_keep_the_digits_that_were_written() {
        let text = "about = \"x\"\n[[row]]\nkey = \"a\"\nlow = 6.03\nhigh = 8.960\nn = -3\nmagnet = true\nsource = \"s\"\nstatus = \"read\"\n";
        let tables = Tables::parse([("t", text)]).unwrap();
        let row = tables.get("t").unwrap().row("a").unwrap();
        assert_eq!(row.cells["low"], TableCell::Number("6.03".parse().unwrap()));
        assert_eq!(row.cells["high"], TableCell::Number("8.96".parse().unwrap()));
        assert_eq!(row.cells["n"], TableCell::Number(Decimal::from(-3)));
        assert_eq!(row.cells["magnet"], TableCell::Yes(true));
    }

    #[test]
    fn what_is_wrong_is_named() {
        for (text, wanted) in [
            ("about = 3", "it has no `about`"),
            ("about = \"x\"", "it has no [[row]]"),
            ("about = \"x\"\n[[row]]\nkey = \"a\"\nsource = \"s\"\n", "row 1: it has no `status`"),
            ("about = \"x\"\n[[row]]\nkey = \"a\"\nsource = \"s\"\nstatus = \"r\"\nv = [1]\n", "`v` is no number"),
            (
                "about = \"x\"\n[[row]]\nkey = \"a\"\nsource = \"s\"\nstatus = \"r\"\nv = 0.12345678901234567\n",
                "more digits",
            ),
        ] {
            let said = Tables::parse([("t", text)]).unwrap_err().to_string();
            assert!(said.contains(wanted), "{said}");
        }
    }
}
