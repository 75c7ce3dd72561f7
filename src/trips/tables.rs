//! Past sessions as flat tables, for analysis in other programs.

mod columns;

use rust_decimal::Decimal;

use super::ticket_file::{FileLine, TicketFile};
use crate::bench::{End, Fate, FreePart, Presence};
use crate::market::Tally;
use crate::market::haul::WeightSource;
use crate::quantity::{Basis, Mass, Money, Price};
use crate::sessions::history::{Archive, Past, RecipeChoice, Record};
use crate::world::AppError;

pub use columns::{Column, Kind, SALES, TABLES, Table, VERSION};

/// One value; `None` if missing.
pub type Cell = Option<String>;

/// The rows of one session, a list for each of [`TABLES`] except [`SALES`], and what a reader should know.
pub struct Rows {
    /// The rows, table by table.
    pub tables: [Vec<Vec<Cell>>; 6],
    /// Damage, missing copies.
    pub remarks: Vec<String>,
    /// Whether the journal could be read only in part.
    pub damaged: bool,
}

/// The rows of a booked ticket.
///
/// # Errors
/// Its amounts exceed a limit.
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

/// The goods columns of a sales row that is not about goods.
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
/// As [`Archive::play`]; its yard cannot be read.
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
