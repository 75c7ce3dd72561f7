//! Rows of the exported tables as CSV or NDJSON, and the schema beside them.

use serde_json::{Map, Value, json};

use crate::trips::tables::{Cell, Column, ColumnKind, ExportTable, TABLES, VERSION};

/// The file format.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    /// Comma-separated values with a header row; a missing value is an empty field, a text is always quoted.
    Csv,
    /// One JSON object per line; decimals are strings, so that no reader rounds them; a missing value is null.
    Ndjson,
}

impl Form {
    /// The file name of a table.
    pub fn file(self, table: &ExportTable) -> String {
        format!("{}.{}", table.name, if self == Form::Csv { "csv" } else { "ndjson" })
    }

    /// The text before the rows.
    pub fn head(self, table: &ExportTable) -> String {
        match self {
            Form::Csv => table.columns.iter().map(|column| column.name).collect::<Vec<_>>().join(",") + "\n",
            Form::Ndjson => String::new(),
        }
    }

    /// One row, with its line feed.
    pub fn row(self, table: &ExportTable, cells: &[Cell]) -> String {
        match self {
            Form::Csv => {
                let fields = table.columns.iter().zip(cells).map(|(column, cell)| field(column, cell));
                fields.collect::<Vec<_>>().join(",") + "\n"
            }
            Form::Ndjson => {
                let values = table.columns.iter().zip(cells);
                let object: Map<String, Value> =
                    values.map(|(column, cell)| (column.name.to_owned(), value(column, cell))).collect();
                Value::Object(object).to_string() + "\n"
            }
        }
    }
}

/// A CSV field as specified in RFC 4180. These files are for engines: texts are kept unchanged, unlike in tables meant
/// for spreadsheets.
fn field(column: &Column, cell: &Cell) -> String {
    match (cell, column.kind) {
        (None, _) => String::new(),
        (Some(text), ColumnKind::Text) => format!("\"{}\"", text.replace('"', "\"\"")),
        (Some(text), _) => text.clone(),
    }
}

fn value(column: &Column, cell: &Cell) -> Value {
    let Some(text) = cell else { return Value::Null };
    match column.kind {
        ColumnKind::Integer => text.parse::<u64>().map_or_else(|_| json!(text), |number| json!(number)),
        ColumnKind::Flag => json!(text == "true"),
        ColumnKind::Text | ColumnKind::Decimal | ColumnKind::Day | ColumnKind::Instant => json!(text),
    }
}

/// The schema's word for a kind of column, which SQL engines know as a type.
fn sql(kind: ColumnKind) -> &'static str {
    match kind {
        ColumnKind::Text => "VARCHAR",
        ColumnKind::Integer => "BIGINT",
        ColumnKind::Decimal => "DECIMAL(28,10)",
        ColumnKind::Flag => "BOOLEAN",
        ColumnKind::Day => "DATE",
        ColumnKind::Instant => "TIMESTAMPTZ",
    }
}

/// The schema: every table with its file, columns, their types and meanings.
pub fn schema(form: Form) -> Value {
    let tables = TABLES.iter().map(|table| {
        let columns = table.columns.iter().map(|c| json!({ "name": c.name, "type": sql(c.kind), "means": c.means }));
        json!({ "name": table.name, "file": form.file(table), "row": table.row, "columns": columns.collect::<Vec<_>>() })
    });
    json!({ "format": "knockdown-tables", "version": VERSION, "tables": tables.collect::<Vec<_>>() })
}

/// The schema as Markdown, for the documentation.
pub fn schema_markdown() -> String {
    let mut text = String::new();
    for table in TABLES {
        text.push_str(&format!(
            "\n**{}**: each row is {}.\n\n| column | type | what |\n|---|---|---|\n",
            table.name, table.row
        ));
        for c in table.columns {
            text.push_str(&format!("| `{}` | {} | {} |\n", c.name, sql(c.kind), c.means));
        }
    }
    text
}
