//! The columns of the tables, declared once; files, schema and documentation follow from them.

/// The type of a column.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ColumnKind {
    /// A text.
    Text,
    /// A whole number.
    Integer,
    /// An exact decimal; in JSON a string.
    Decimal,
    /// Yes or no.
    Flag,
    /// A day, `2026-11-02`.
    Day,
    /// An instant, RFC 3339 in UTC.
    Instant,
}

/// A column.
#[derive(Debug, Clone, Copy)]
pub struct Column {
    /// Its name.
    pub name: &'static str,
    /// What it holds.
    pub kind: ColumnKind,
    /// Its meaning, with the unit.
    pub means: &'static str,
}

/// A table.
#[derive(Debug, Clone, Copy)]
pub struct ExportTable {
    /// Its name, which is also that of its file.
    pub name: &'static str,
    /// What a row is.
    pub row: &'static str,
    /// Its columns in order.
    pub columns: &'static [Column],
}

const fn column(name: &'static str, kind: ColumnKind, means: &'static str) -> Column {
    Column { name, kind, means }
}

/// All tables. Removing a column or changing its meaning raises [`VERSION`].
pub const TABLES: [ExportTable; 7] = [
    ExportTable {
        name: "sessions",
        row: "a session, with what it is worth by estimate: at its own yard, with the prices of the moment on which it ended",
        columns: SESSIONS,
    },
    ExportTable { name: "answers", row: "an answer that stands", columns: ANSWERS },
    ExportTable { name: "parts", row: "a part that came out, or was looked for", columns: PARTS },
    ExportTable { name: "steps", row: "a step of the recipe and what became of it", columns: STEPS },
    ExportTable { name: "lines", row: "a line of the session's tally, an estimate", columns: LINES },
    ExportTable { name: "costs", row: "something taken off in the session's tally, an estimate", columns: COSTS },
    SALES,
];

/// The version of the tables.
pub const VERSION: u32 = 1;

const SESSION: Column = column("session", ColumnKind::Text, "the session's name");
const CURRENCY: Column = column("currency", ColumnKind::Text, "ISO 4217 code");

const SESSIONS: &[Column] = &[
    SESSION,
    column("recipe", ColumnKind::Text, "the recipe's id"),
    column("recipe_name", ColumnKind::Text, "what such a unit is called"),
    column("recipe_revision", ColumnKind::Integer, "revision of the recipe when the session began"),
    column("recipe_digest", ColumnKind::Text, "SHA-256 of the recipe's text when the session began"),
    column("program", ColumnKind::Text, "version of the program"),
    column("started", ColumnKind::Instant, "when it began"),
    column("day", ColumnKind::Day, "the day on which it began, where the person was"),
    column("person", ColumnKind::Text, "who worked"),
    column("tags", ColumnKind::Text, "the session's tags, between blanks"),
    column(
        "ended",
        ColumnKind::Text,
        "complete, stopped, refused, handed-on or open; one that is open belongs in no sum",
    ),
    column("yard", ColumnKind::Text, "the yard's id"),
    column("sample_prices", ColumnKind::Flag, "whether the yard's prices are invented samples"),
    CURRENCY,
    column("net", ColumnKind::Decimal, "estimated net, in major units"),
    column("whole", ColumnKind::Decimal, "what the unit would bring whole"),
    column("gain", ColumnKind::Decimal, "net less whole"),
    column("gain_per_hour", ColumnKind::Decimal, "gain per hour of working time"),
    column("minutes", ColumnKind::Decimal, "working time in minutes"),
    column("intake_g", ColumnKind::Decimal, "intake weight in grams"),
    column("remainder_g", ColumnKind::Decimal, "weight of what is left of the unit, in grams"),
    column("remainder_weighed", ColumnKind::Flag, "whether that was weighed, not computed"),
    column("damaged", ColumnKind::Flag, "whether the journal could be read only in part"),
];

const ANSWERS: &[Column] = &[
    SESSION,
    column("entry", ColumnKind::Integer, "position in the journal"),
    column("at", ColumnKind::Instant, "when it was given"),
    column("step", ColumnKind::Text, "the step that asked, or `unit`"),
    column("key", ColumnKind::Text, "the question's key within the step"),
    column("typed", ColumnKind::Text, "as typed"),
    column("understood", ColumnKind::Text, "as understood, in the program's exact spelling"),
    column("origin", ColumnKind::Text, "where it came from when not from the keyboard"),
];

const PARTS: &[Column] = &[
    SESSION,
    column("part", ColumnKind::Text, "the part's name"),
    column("step", ColumnKind::Text, "the step that freed it"),
    column("host", ColumnKind::Text, "the opened part in which it sat; empty for the unit itself"),
    column("presence", ColumnKind::Text, "weighed, too-light or absent"),
    column("net_g", ColumnKind::Decimal, "net weight in grams"),
    column("pieces", ColumnKind::Integer, "number of pieces weighed together"),
    column("resolution_g", ColumnKind::Decimal, "the smallest step that the reading tells, in grams"),
    column("foreseen_grade", ColumnKind::Text, "the grade that the recipe foresaw"),
    column("grade", ColumnKind::Text, "its grade"),
    column("opened_grade", ColumnKind::Text, "the grade of what is left of it, once it was opened"),
    column("low_g", ColumnKind::Decimal, "the recipe's low weight in grams"),
    column("usual_g", ColumnKind::Decimal, "the recipe's usual weight in grams"),
    column("high_g", ColumnKind::Decimal, "the recipe's high weight in grams"),
];

const STEPS: &[Column] = &[
    SESSION,
    column("place", ColumnKind::Integer, "place in the recipe, from 1"),
    column("step", ColumnKind::Text, "the step's id"),
    column("title", ColumnKind::Text, "the step's title"),
    column("fate", ColumnKind::Text, "done, skipped, begun or open"),
    column("minutes", ColumnKind::Decimal, "how long it took, in minutes"),
    column("usual_minutes", ColumnKind::Decimal, "what the recipe expects"),
];

const LINES: &[Column] = &[
    SESSION,
    column("line", ColumnKind::Integer, "position in the tally, from 1"),
    column("kind", ColumnKind::Text, "fraction, remainder or mixed"),
    column("priced_as", ColumnKind::Text, "the grade that carries the price"),
    column("name", ColumnKind::Text, "what the yard calls it"),
    column("parts", ColumnKind::Text, "what is in it, with `; ` between"),
    column("net_g", ColumnKind::Decimal, "weight as the yard's scale would show it, in grams"),
    column("pieces", ColumnKind::Integer, "number of pieces"),
    column("price", ColumnKind::Decimal, "price of one unit"),
    column("per", ColumnKind::Text, "the unit of the price, or `piece`"),
    column("amount", ColumnKind::Decimal, "what it brings"),
    CURRENCY,
];

const COSTS: &[Column] = &[
    SESSION,
    column("kind", ColumnKind::Text, "visit-fee, consumable or trip-share"),
    column("name", ColumnKind::Text, "what it is called"),
    column("amount", ColumnKind::Decimal, "what it costs"),
    CURRENCY,
    column("counted", ColumnKind::Flag, "whether it is in the sums: not in another currency"),
];

/// What the yards have paid. Its rows belong to no single session.
pub const SALES: ExportTable = ExportTable {
    name: "sales",
    row: "a line or a deduction of a booked ticket, whichever sessions are asked for; a ticket's amounts add up to what was paid",
    columns: &[
        column("ticket", ColumnKind::Text, "the ticket's name"),
        column("number", ColumnKind::Text, "the number on the ticket"),
        column("day", ColumnKind::Day, "the day on the ticket"),
        column("yard", ColumnKind::Text, "the yard's id"),
        column(
            "kind",
            ColumnKind::Text,
            "line, deduction, or rest: what was paid less all others, such as cash rounding",
        ),
        column("name", ColumnKind::Text, "what the yard calls it"),
        column("grade", ColumnKind::Text, "the grade that it was paid as"),
        column("net_g", ColumnKind::Decimal, "weight on the ticket, in grams"),
        column("pieces", ColumnKind::Integer, "number of pieces on the ticket"),
        column("price", ColumnKind::Decimal, "price of one unit"),
        column("per", ColumnKind::Text, "the unit of the price, or `piece`"),
        column("amount", ColumnKind::Decimal, "what it brought; a deduction is below zero"),
        CURRENCY,
    ],
};

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn column_names_are_plain_and_unique() {
        for table in TABLES {
            let mut names: Vec<&str> = table.columns.iter().map(|column| column.name).collect();
            assert!(names.iter().all(|name| name.bytes().all(|b| b.is_ascii_lowercase() || b == b'_')), "{names:?}");
            names.sort_unstable();
            names.dedup();
            assert_eq!(names.len(), table.columns.len(), "{}", table.name);
        }
    }
}
