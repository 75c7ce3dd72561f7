//! The tally as CSV: one row per line, cost, sum and unsold item, with its kind in the first column.

use std::borrow::Cow;

use csv::{Terminator, WriterBuilder};

use super::view;
use crate::market::Tally;
use crate::market::tally::{Cost, Line, UnsoldItem};
use crate::quantity::{Basis, Mass, MassUnit, Money, Notation};
use crate::shell::csv_rows::guarded;
use crate::shell::format::digits;

const COLUMNS: [&str; 14] = [
    "kind",
    "name",
    "grade",
    "priced_as",
    "parts",
    "pieces",
    "mass_g",
    "net",
    "unit",
    "price",
    "per",
    "amount",
    "currency",
    "note",
];

/// One row, by column.
#[derive(Default)]
struct Row {
    kind: &'static str,
    name: String,
    grade: String,
    priced_as: String,
    parts: String,
    pieces: String,
    mass: String,
    net: String,
    unit: &'static str,
    price: String,
    per: &'static str,
    amount: String,
    currency: &'static str,
    note: String,
}

/// The tally as CSV with a header row, decimal points and line feeds as row ends.
///
/// A text that a spreadsheet would take for a formula gets a leading apostrophe, and unsafe characters become visible
/// escapes.
///
/// # Errors
/// None is known; errors of the CSV writer are passed on.
pub fn write(tally: &Tally) -> Result<String, csv::Error> {
    let mut writer = WriterBuilder::new().terminator(Terminator::Any(b'\n')).from_writer(Vec::new());
    writer.write_record(COLUMNS)?;
    for row in rows(tally) {
        writer.write_record(row.cells().iter().map(|cell| cell.as_bytes()))?;
    }
    let bytes = writer.into_inner().map_err(|e| csv::Error::from(std::io::Error::other(e.to_string())))?;
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}

fn rows(tally: &Tally) -> Vec<Row> {
    let unit = tally.yard.unit;
    let mut rows = facts(tally);
    rows.extend(tally.lines.iter().map(|line| line_row(line.kind(), line, unit)));
    rows.extend(tally.costs.iter().map(cost_row));
    rows.push(sum("cash-rounding", Some(tally.rounding), ""));
    rows.push(sum("paid", Some(tally.paid), ""));
    rows.push(sum("net", Some(tally.net), ""));
    rows.push(whole_row(tally));
    rows.push(sum("gain", tally.gain, ""));
    rows.push(fact("minutes", tally.minutes.get().to_string()));
    rows.push(sum("gain-per-hour", tally.per_hour, ""));
    rows.extend(tally.unsold.iter().map(|item| unsold_row(item, unit)));
    rows.push(fact("balance", tally.balance.verdict.words()));
    rows.extend(tally.problems.iter().map(|problem| fact("problem", problem.words(unit, Notation::Point))));
    rows
}

/// Facts that apply to every row: yard, days, samples.
fn facts(tally: &Tally) -> Vec<Row> {
    let prices = &tally.prices;
    let mut rows = vec![
        Row { name: tally.unit_name.clone(), ..fact("unit", tally.recipe.clone()) },
        Row { name: tally.yard.name.clone(), ..fact("yard", tally.yard.id.clone()) },
        fact("valued-on", prices.date.to_string()),
        fact("prices-of", prices.as_of.to_string()),
    ];
    if prices.sample {
        rows.push(fact("sample-prices", "invented, not those of a real yard".into()));
    }
    if let Some(mass) = tally.intake {
        rows.push(with_mass(Row { kind: "intake", ..Row::default() }, Some(mass), Some(mass), tally.yard.unit));
    }
    rows.extend(tally.handed_on.iter().map(|why| fact("handed-on", why.clone())));
    rows
}

fn fact(kind: &'static str, note: String) -> Row {
    Row { kind, note, ..Row::default() }
}

fn sum(kind: &'static str, amount: Option<Money>, note: &str) -> Row {
    Row {
        kind,
        amount: amount.map(digits).unwrap_or_default(),
        currency: amount.map_or("", |amount| amount.currency().code()),
        note: note.to_owned(),
        ..Row::default()
    }
}

fn with_mass(row: Row, mass: Option<Mass>, net: Option<Mass>, unit: MassUnit) -> Row {
    let shown = net.map(|net| view::weight_digits(net, unit, 6, Notation::Point));
    Row {
        mass: mass.map(|mass| mass.grams().normalize().to_string()).unwrap_or_default(),
        unit: if shown.is_some() { unit.symbol() } else { "" },
        net: shown.unwrap_or_default(),
        ..row
    }
}

fn line_row(kind: &'static str, line: &Line, unit: MassUnit) -> Row {
    let priced = &line.priced;
    let parts: Vec<&str> = line.items.iter().map(|item| item.part.as_str()).collect();
    let row = Row {
        name: priced.name.clone(),
        grade: line.grades().join(" + "),
        priced_as: priced.priced_as.clone(),
        parts: parts.join("; "),
        pieces: line.pieces.to_string(),
        price: priced.price.amount().normalize().to_string(),
        per: match priced.price.basis() {
            Basis::Weight(unit) => unit.symbol(),
            Basis::Piece => "piece",
        },
        ..sum(kind, Some(line.amount), "")
    };
    with_mass(row, line.mass, line.net, unit)
}

fn cost_row(cost: &Cost) -> Row {
    let note = if cost.counted { "" } else { "not converted, not in the sums" };
    Row { name: cost.name.clone(), ..sum(cost.kind.code(), Some(cost.amount.negated()), note) }
}

fn whole_row(tally: &Tally) -> Row {
    let value = tally.whole.value.as_ref();
    let note = value.err().map(|reason| reason.words(Notation::Point)).unwrap_or_default();
    let base = sum("whole", value.ok().copied(), &note);
    match &tally.whole.line {
        Some(line) => Row { amount: base.amount, ..line_row("whole", line, tally.yard.unit) },
        None => base,
    }
}

fn unsold_row(item: &UnsoldItem, unit: MassUnit) -> Row {
    let row = Row {
        parts: item.part.clone(),
        grade: item.grade.clone().unwrap_or_default(),
        pieces: item.pieces.to_string(),
        ..fact("unsold", item.reason.words(Notation::Point))
    };
    with_mass(row, item.mass, item.mass, unit)
}

impl Row {
    /// The cells in the order of [`COLUMNS`]: texts guarded, figures unchanged.
    fn cells(&self) -> [Cow<'_, str>; 14] {
        [
            self.kind.into(),
            guarded(&self.name),
            guarded(&self.grade),
            guarded(&self.priced_as),
            guarded(&self.parts),
            self.pieces.as_str().into(),
            self.mass.as_str().into(),
            self.net.as_str().into(),
            self.unit.into(),
            self.price.as_str().into(),
            self.per.into(),
            self.amount.as_str().into(),
            self.currency.into(),
            guarded(&self.note),
        ]
    }
}
