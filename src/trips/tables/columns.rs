//! The columns of the tables, declared once; files, schema and documentation follow from them.

/// The type of a column.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
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
    pub kind: Kind,
    /// Its meaning, with the unit.
    pub means: &'static str,
}

/// A table.
#[derive(Debug, Clone, Copy)]
pub struct Table {
    /// Its name, which is also that of its file.
    pub name: &'static str,
    /// What a row is.
    pub row: &'static str,
    /// Its columns in order.
    pub columns: &'static [Column],
}

const fn column(name: &'static str, kind: Kind, means: &'static str) -> Column {
    Column { name, kind, means }
}

/// All tables. Removing a column or changing its meaning raises [`VERSION`].
pub const TABLES: [Table; 7] = [
    Table {
        name: "sessions",
        row: "a session, with what it is worth by estimate: at its own yard, with the prices of the moment on which it ended",
        columns: SESSIONS,
    },
    Table { name: "answers", row: "an answer that stands", columns: ANSWERS },
    Table { name: "parts", row: "a part that came out, or was looked for", columns: PARTS },
    Table { name: "steps", row: "a step of the recipe and what became of it", columns: STEPS },
    Table { name: "lines", row: "a line of the session's tally, an estimate", columns: LINES },
    Table { name: "costs", row: "something taken off in the session's tally, an estimate", columns: COSTS },
    SALES,
];

/// The version of the tables.
pub const VERSION: u32 = 1;

const SESSION: Column = column("session", Kind::Text, "the session's name");
const CURRENCY: Column = column("currency", Kind::Text, "ISO 4217 code");

const SESSIONS: &[Column] = &[
    SESSION,
    column("recipe", Kind::Text, "the recipe's id"),
    column("recipe_name", Kind::Text, "what such a unit is called"),
    column("recipe_revision", Kind::Integer, "revision of the recipe when the session began"),
    column("recipe_digest", Kind::Text, "SHA-256 of the recipe's text when the session began"),
    column("program", Kind::Text, "version of the program"),
    column("started", Kind::Instant, "when it began"),
    column("day", Kind::Day, "the day on which it began, where the person was"),
    column("person", Kind::Text, "who worked"),
    column("tags", Kind::Text, "the session's tags, between blanks"),
    column("ended", Kind::Text, "complete, stopped, refused, handed-on or open; one that is open belongs in no sum"),
    column("yard", Kind::Text, "the yard's id"),
    column("sample_prices", Kind::Flag, "whether the yard's prices are invented samples"),
    CURRENCY,
    column("net", Kind::Decimal, "estimated net, in major units"),
    column("whole", Kind::Decimal, "what the unit would bring whole"),
    column("gain", Kind::Decimal, "net less whole"),
    column("gain_per_hour", Kind::Decimal, "gain per hour of working time"),
    column("minutes", Kind::Decimal, "working time in minutes"),
    column("intake_g", Kind::Decimal, "intake weight in grams"),
    column("remainder_g", Kind::Decimal, "weight of what is left of the unit, in grams"),
    column("remainder_weighed", Kind::Flag, "whether that was weighed, not computed"),
    column("damaged", Kind::Flag, "whether the journal could be read only in part"),
];

const ANSWERS: &[Column] = &[
    SESSION,
    column("entry", Kind::Integer, "position in the journal"),
    column("at", Kind::Instant, "when it was given"),
    column("step", Kind::Text, "the step that asked, or `unit`"),
    column("key", Kind::Text, "the question's key within the step"),
    column("typed", Kind::Text, "as typed"),
    column("understood", Kind::Text, "as understood, in the program's exact spelling"),
    column("origin", Kind::Text, "where it came from when not from the keyboard"),
];

const PARTS: &[Column] = &[
    SESSION,
    column("part", Kind::Text, "the part's name"),
    column("step", Kind::Text, "the step that freed it"),
    column("host", Kind::Text, "the opened part in which it sat; empty for the unit itself"),
    column("presence", Kind::Text, "weighed, too-light or absent"),
    column("net_g", Kind::Decimal, "net weight in grams"),
    column("pieces", Kind::Integer, "number of pieces weighed together"),
    column("resolution_g", Kind::Decimal, "the smallest step that the reading tells, in grams"),
    column("foreseen_grade", Kind::Text, "the grade that the recipe foresaw"),
    column("grade", Kind::Text, "its grade"),
    column("opened_grade", Kind::Text, "the grade of what is left of it, once it was opened"),
    column("low_g", Kind::Decimal, "the recipe's low weight in grams"),
    column("usual_g", Kind::Decimal, "the recipe's usual weight in grams"),
    column("high_g", Kind::Decimal, "the recipe's high weight in grams"),
];

const STEPS: &[Column] = &[
    SESSION,
    column("place", Kind::Integer, "place in the recipe, from 1"),
    column("step", Kind::Text, "the step's id"),
    column("title", Kind::Text, "the step's title"),
    column("fate", Kind::Text, "done, skipped, begun or open"),
    column("minutes", Kind::Decimal, "how long it took, in minutes"),
    column("usual_minutes", Kind::Decimal, "what the recipe expects"),
];

const LINES: &[Column] = &[
    SESSION,
    column("line", Kind::Integer, "position in the tally, from 1"),
    column("kind", Kind::Text, "fraction, remainder or mixed"),
    column("priced_as", Kind::Text, "the grade that carries the price"),
    column("name", Kind::Text, "what the yard calls it"),
    column("parts", Kind::Text, "what is in it, with `; ` between"),
    column("net_g", Kind::Decimal, "weight as the yard's scale would show it, in grams"),
    column("pieces", Kind::Integer, "number of pieces"),
    column("price", Kind::Decimal, "price of one unit"),
    column("per", Kind::Text, "the unit of the price, or `piece`"),
    column("amount", Kind::Decimal, "what it brings"),
    CURRENCY,
];

const COSTS: &[Column] = &[
    SESSION,
    column("kind", Kind::Text, "visit-fee, consumable or trip-share"),
    column("name", Kind::Text, "what it is called"),
    column("amount", Kind::Decimal, "what it costs"),
    CURRENCY,
    column("counted", Kind::Flag, "whether it is in the sums: not in another currency"),
];

/// What the yards have paid. Its rows belong to no single session.
pub const SALES: Table = Table {
    name: "sales",
    row: "a line or a deduction of a booked ticket, whichever sessions are asked for; a ticket's amounts add up to what was paid",
    columns: &[
        column("ticket", Kind::Text, "the ticket's name"),
        column("number", Kind::Text, "the number on the ticket"),
        column("day", Kind::Day, "the day on the ticket"),
        column("yard", Kind::Text, "the yard's id"),
        column("kind", Kind::Text, "line, deduction, or rest: what was paid less all others, such as cash rounding"),
        column("name", Kind::Text, "what the yard calls it"),
        column("grade", Kind::Text, "the grade that it was paid as"),
        column("net_g", Kind::Decimal, "weight on the ticket, in grams"),
        column("pieces", Kind::Integer, "number of pieces on the ticket"),
        column("price", Kind::Decimal, "price of one unit"),
        column("per", Kind::Text, "the unit of the price, or `piece`"),
        column("amount", Kind::Decimal, "what it brought; a deduction is below zero"),
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
