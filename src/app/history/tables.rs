//! Past sessions as flat tables, for engines that take over where this program ends. The columns are declared here, once: files,
//! schema and documentation all follow.

use rust_decimal::Decimal;

use super::archive::{Archive, RecipeChoice};
use super::past::Past;
use super::record::Record;
use crate::app::error::AppError;
use crate::app::ticket_file::{FileLine, TicketFile};
use crate::bench::{End, Fate, FreePart, Presence};
use crate::market::Tally;
use crate::market::haul::WeightSource;
use crate::quantity::{Basis, Mass, Money, Price};

/// What a column holds.
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
    /// What that means, with its unit.
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

/// One value; `None` is missing.
pub type Cell = Option<String>;

const fn column(name: &'static str, kind: Kind, means: &'static str) -> Column {
    Column { name, kind, means }
}

/// All tables. A change that takes a column away or gives it another meaning raises [`VERSION`].
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

/// What the yards have paid. Its rows belong to no one session.
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

/// The rows of one session, a list for each of [`TABLES`] but [`SALES`], and what a reader should know.
pub struct Rows {
    /// The rows, table by table.
    pub tables: [Vec<Vec<Cell>>; 6],
    /// Damage, copies that are gone.
    pub remarks: Vec<String>,
    /// Whether the journal could be read only in part.
    pub damaged: bool,
}

/// The rows of a booked ticket.
///
/// # Errors
/// Its amounts run out of bounds.
pub fn sales(ticket: &TicketFile) -> Result<Vec<Vec<Cell>>, AppError> {
    let row = |kind: &str, name: &str, goods: [Cell; 5], amount: Money| {
        let head = [text(&ticket.name), ticket.number.clone(), text(&ticket.date), text(&ticket.yard), text(kind)];
        let tail = [money(amount), text(amount.currency().code())];
        head.into_iter().chain([text(name)]).chain(goods).chain(tail).collect()
    };
    let line = |line: &FileLine| {
        let pieces = (line.pieces > 0).then(|| line.pieces.to_string());
        let (price, per) = (number(line.price.amount()), per(line.price));
        let goods = [line.grade.clone(), line.weight.and_then(grams), pieces, price, text(per)];
        row("line", &line.name, goods, line.amount)
    };
    let off = ticket.deduction.iter().map(|off| (off.name.as_str(), off.amount.negated()));
    let amounts = ticket.line.iter().map(|line| line.amount).chain(off.clone().map(|(_, amount)| amount));
    let rest = amounts.into_iter().try_fold(ticket.paid, Money::minus);
    let rest = rest.map_err(|error| AppError::Refused(format!("the ticket {}: {error}", ticket.name)))?;
    let rows = ticket.line.iter().map(line).chain(off.map(|(name, amount)| row("deduction", name, NOTHING, amount)));
    Ok(rows.chain((!rest.amount().is_zero()).then(|| row("rest", "", NOTHING, rest))).collect())
}

/// What a row of sales says of goods where it is about none.
const NOTHING: [Cell; 5] = [None, None, None, None, None];

/// The unit of a price.
fn per(price: Price) -> &'static str {
    match price.basis() {
        Basis::Weight(unit) => unit.symbol(),
        Basis::Piece => "piece",
    }
}

/// The rows of a session.
///
/// # Errors
/// As [`Archive::play`]; its yard cannot be had.
pub fn rows(archive: &Archive<'_>, record: Record) -> Result<Rows, AppError> {
    let past = archive.play(record, &RecipeChoice::AsRan)?;
    let mut remarks = past.remarks.clone();
    let valuation = archive.as_it_was(&past, &mut remarks)?;
    let tally = past.tally(archive, &valuation)?;
    let tables = [
        vec![session(&past, &tally, archive)],
        answers(&past),
        past.run_result.state.parts.iter().map(|free| part(&past, free)).collect(),
        steps(&past),
        lines(&past, &tally),
        costs(&past, &tally),
    ];
    Ok(Rows { tables, remarks, damaged: past.is_damaged() })
}

fn text(text: impl Into<String>) -> Cell {
    Some(text.into()).filter(|text| !text.is_empty())
}

fn number(value: Decimal) -> Cell {
    Some(value.normalize().to_string())
}

fn grams(mass: Mass) -> Cell {
    number(mass.grams())
}

fn money(amount: Money) -> Cell {
    Some(amount.digits(crate::quantity::Notation::Point))
}

fn flag(yes: bool) -> Cell {
    Some(if yes { "true" } else { "false" }.to_owned())
}

fn key(past: &Past) -> Cell {
    text(&past.header.id)
}

fn session(past: &Past, tally: &Tally, archive: &Archive<'_>) -> Vec<Cell> {
    let header = &past.header;
    let ended = match &past.run_result.end {
        End::Waits(_) => "open",
        End::Complete => "complete",
        End::Stopped => "stopped",
        End::Refused(_) => "refused",
        End::HandedOn(_) => "handed-on",
    };
    let haul = past.haul(archive);
    let left = haul.remainders.first();
    vec![
        key(past),
        text(&header.recipe),
        text(&header.recipe_name),
        text(header.revision.to_string()),
        text(&header.recipe_digest),
        text(&header.program),
        text(&header.started),
        past.day().map(|day| day.to_string()),
        header.person.clone(),
        text(past.standing.tags().join(" ")),
        text(ended),
        text(&tally.yard.id),
        flag(tally.prices.sample),
        text(tally.currency().code()),
        money(tally.net),
        tally.whole.value.as_ref().ok().copied().and_then(money),
        tally.gain.and_then(money),
        tally.per_hour.and_then(money),
        number(tally.minutes.get()),
        tally.intake.and_then(grams),
        left.and_then(|left| left.mass).and_then(grams),
        left.and_then(|left| flag(left.how == WeightSource::Weighed)),
        flag(past.is_damaged()),
    ]
}

fn answers(past: &Past) -> Vec<Vec<Cell>> {
    let row = |name: &str| {
        let given = past.standing.answer(name)?;
        let (step, question) = name.split_once('/')?;
        Some(vec![
            key(past),
            text(given.seq.to_string()),
            text(&given.at),
            text(step),
            text(question),
            text(&given.typed),
            text(&given.exact),
            given.origin.clone(),
        ])
    };
    past.standing.names().filter_map(row).collect()
}

fn part(past: &Past, free: &FreePart) -> Vec<Cell> {
    let (presence, reading) = match free.presence {
        Presence::Weighed(reading) => ("weighed", Some(reading)),
        Presence::TooLight => ("too-light", None),
        Presence::Absent => ("absent", None),
    };
    vec![
        key(past),
        text(&free.part),
        text(&free.step),
        free.host.clone(),
        text(presence),
        reading.and_then(|reading| grams(reading.net)),
        reading.and_then(|reading| text(reading.pieces.to_string())),
        reading.and_then(|reading| grams(reading.finest)),
        text(&free.foreseen),
        text(&free.grade),
        free.opened.clone(),
        grams(free.expected.low()),
        grams(free.expected.usual()),
        grams(free.expected.high()),
    ]
}

fn steps(past: &Past) -> Vec<Vec<Cell>> {
    let state = &past.run_result.state;
    let steps = past.recipe().steps().iter().zip(&state.fates).enumerate();
    let row = |(place, (step, fate)): (usize, (&crate::recipe::Step, &Fate))| {
        let fate = match fate {
            Fate::Done => "done",
            Fate::Skipped => "skipped",
            Fate::Begun => "begun",
            Fate::Open | Fate::Later(_) => "open",
        };
        let minutes = state.minutes.iter().find(|(id, _)| *id == step.id).and_then(|(_, m)| number(m.get()));
        let usual = number(step.minutes.usual().get());
        vec![key(past), text((place + 1).to_string()), text(&step.id), text(&step.title), text(fate), minutes, usual]
    };
    steps.map(row).collect()
}

fn lines(past: &Past, tally: &Tally) -> Vec<Vec<Cell>> {
    let row = |(place, line): (usize, &crate::market::tally::Line)| {
        let parts: Vec<&str> = line.items.iter().map(|item| item.part.as_str()).collect();
        vec![
            key(past),
            text((place + 1).to_string()),
            text(line.kind()),
            text(&line.priced.priced_as),
            text(&line.priced.name),
            text(parts.join("; ")),
            line.net.and_then(grams),
            text(line.pieces.to_string()),
            number(line.priced.price.amount()),
            text(per(line.priced.price)),
            money(line.amount),
            text(line.amount.currency().code()),
        ]
    };
    tally.lines.iter().enumerate().map(row).collect()
}

fn costs(past: &Past, tally: &Tally) -> Vec<Vec<Cell>> {
    let row = |cost: &crate::market::tally::Cost| {
        vec![
            key(past),
            text(cost.kind.code()),
            text(&cost.name),
            money(cost.amount),
            text(cost.amount.currency().code()),
            flag(cost.counted),
        ]
    };
    tally.costs.iter().map(row).collect()
}

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
