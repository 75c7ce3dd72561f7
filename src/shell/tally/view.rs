//! The content of a tally for the reader, in words and in the yard's notation, before any layout.

mod notes;
mod tail;
mod weight;

use rust_decimal::Decimal;

use crate::market::Tally;
use crate::market::tally::{CostKind, Line};
use crate::quantity::{Basis, Money, Notation};
use crate::shell::ink::Ink;

pub(super) use tail::tail;
use weight::places;
pub(super) use weight::weight_digits;

/// One row of the table. Cells without content are empty.
#[derive(Default)]
pub(super) struct ViewRow {
    pub(super) label: String,
    /// Digits of the net weight or the number of pieces.
    pub(super) weight: String,
    /// Their unit, with a leading blank.
    pub(super) unit: String,
    pub(super) price: String,
    pub(super) per: String,
    pub(super) amount: String,
    pub(super) notes: Vec<String>,
    /// A sum rather than an entry.
    pub(super) strong: bool,
    /// The ink of the amount.
    pub(super) ink: Option<Ink>,
}

/// `Countertop microwave oven at Hollow Lane Metals`
pub(super) fn title(tally: &Tally) -> String {
    format!("{} at {}", tally.unit_name, tally.yard.name)
}

/// What applies to all figures, most important first: problems, samples, days and origin of the prices.
pub(super) fn head(tally: &Tally) -> Vec<(Ink, String)> {
    let (unit, notation, prices) = (tally.yard.unit, tally.yard.notation, &tally.prices);
    let problems = tally.problems.iter();
    let mut head: Vec<_> =
        problems.map(|problem| (Ink::Danger, format!("Wrong: {}", problem.words(unit, notation)))).collect();
    if prices.sample {
        head.push((Ink::Caution, "Sample prices: invented, not those of a real yard.".into()));
    }
    head.push((Ink::Plain, format!("Estimated on {}, with prices of {}.", prices.date, prices.as_of)));
    if prices.later {
        head.push((Ink::Caution, "Note: these prices were taken down after the day of the valuation.".into()));
    }
    for quote in &prices.quotes {
        let price = quote.price.show(notation);
        head.push((Ink::Plain, format!("Quote for {}: {price}, {}, {}.", quote.grade, quote.date, quote.origin)));
    }
    for (quote, why) in &prices.set_aside {
        let price = quote.price.show(notation);
        head.push((Ink::Caution, format!("Quote for {} of {price} does not count: {}.", quote.grade, why.words())));
    }
    if let Some(why) = &tally.handed_on {
        head.push((Ink::Caution, format!("Handed on to somebody licensed: {why}.")));
    }
    head
}

/// The table from the first line to the gain per hour.
pub(super) fn rows(tally: &Tally) -> Vec<ViewRow> {
    let notation = tally.yard.notation;
    let mut rows: Vec<ViewRow> = tally.lines.iter().map(|line| line_row(line, tally)).collect();
    rows.extend(cost_rows(tally, |kind| kind == CostKind::VisitFee));
    if !tally.rounding.amount().is_zero() {
        let step = tally.yard.pays_to.map(|step| notation.show(step)).unwrap_or_default();
        rows.push(entry(format!("Cash rounding to {step}"), signed(tally.rounding, notation)));
    }
    let deducts = tally.costs.iter().any(|cost| cost.counted && cost.kind != CostKind::VisitFee);
    if deducts {
        rows.push(sum("The yard pays", tally.paid.digits(notation)));
        rows.extend(cost_rows(tally, |kind| kind != CostKind::VisitFee));
    }
    rows.push(sum("Net", tally.net.digits(notation)));
    rows.push(whole_row(tally));
    rows.extend(gain_rows(tally));
    rows
}

fn entry(label: String, amount: String) -> ViewRow {
    ViewRow { label, amount, ..ViewRow::default() }
}

fn sum(label: &str, amount: String) -> ViewRow {
    ViewRow { strong: true, ink: Some(Ink::Money), ..entry(label.to_owned(), amount) }
}

/// Digits with a sign for gains and adjustments; no sign for zero.
fn signed(amount: Money, notation: Notation) -> String {
    let plus = if amount.amount() > Decimal::ZERO { "+" } else { "" };
    format!("{plus}{}", amount.digits(notation))
}

fn line_row(line: &Line, tally: &Tally) -> ViewRow {
    let (unit, notation) = (tally.yard.unit, tally.yard.notation);
    let priced = &line.priced;
    let by_piece = priced.price.basis() == Basis::Piece;
    let (weight, unit) = match line.net {
        _ if by_piece => (line.pieces.to_string(), " pc".into()),
        Some(net) => (weight_digits(net, unit, places(unit), notation), format!(" {unit}")),
        None => Default::default(),
    };
    ViewRow {
        label: if line.is_remainder() && line.mix.is_none() {
            format!("Remainder: {}", priced.name)
        } else {
            priced.name.clone()
        },
        weight,
        unit,
        price: digits(priced.price.amount(), tally, notation),
        per: priced.price.per(),
        amount: line.amount.digits(notation),
        notes: notes::notes(line, tally),
        strong: false,
        ink: None,
    }
}

/// A price's digits, with at least the places of the currency's minor unit.
fn digits(amount: Decimal, tally: &Tally, notation: Notation) -> String {
    Money::new(amount, tally.currency()).map_or_else(|_| notation.show(amount), |money| money.digits(notation))
}

fn cost_rows(tally: &Tally, which: impl Fn(CostKind) -> bool) -> Vec<ViewRow> {
    let costs = tally.costs.iter().filter(|cost| cost.counted && which(cost.kind));
    costs.map(|cost| entry(cost.name.clone(), cost.amount.negated().digits(tally.yard.notation))).collect()
}

fn whole_row(tally: &Tally) -> ViewRow {
    let notation = tally.yard.notation;
    let whole = &tally.whole;
    match (&whole.line, &whole.value) {
        (Some(line), Ok(value)) => {
            let row = line_row(line, tally);
            let takes_off = [("visit fees", whole.visit_fees.negated()), ("cash rounding", whole.rounding)]
                .into_iter()
                .filter(|(_, amount)| !amount.amount().is_zero())
                .map(|(what, amount)| format!("{what} {}", signed(amount, notation)));
            let takes_off: Vec<String> = takes_off.collect();
            let mut notes = notes::price_notes(line, tally);
            if !takes_off.is_empty() {
                notes.push(format!("line {}, {}", row.amount, takes_off.join(", ")));
            }
            ViewRow { label: format!("Sold whole: {}", row.label), amount: value.digits(notation), notes, ..row }
        }
        (_, Err(why)) => ViewRow { notes: vec![why.words(notation)], ..entry("Sold whole".into(), "unsold".into()) },
        (None, Ok(value)) => entry("Sold whole".into(), value.digits(notation)),
    }
}

fn gain_rows(tally: &Tally) -> Vec<ViewRow> {
    let notation = tally.yard.notation;
    let Some(gain) = tally.gain else {
        return vec![ViewRow {
            notes: vec!["no value whole to compare with".into()],
            ..sum("Gain", "not known".into())
        }];
    };
    let (ink, note) = match gain.amount().cmp(&Decimal::ZERO) {
        std::cmp::Ordering::Greater => (Ink::Good, "more than whole"),
        std::cmp::Ordering::Equal => (Ink::Money, "the same as whole"),
        std::cmp::Ordering::Less => (Ink::Caution, "less than whole"),
    };
    let minutes = notation.show(tally.minutes.get().normalize());
    let mut rows = vec![ViewRow { notes: vec![note.into()], ink: Some(ink), ..sum("Gain", signed(gain, notation)) }];
    rows.push(match tally.per_hour {
        Some(hourly) => {
            ViewRow { ink: Some(ink), ..sum(&format!("Gain per hour ({minutes} min)"), signed(hourly, notation)) }
        }
        None => ViewRow { notes: vec!["no working time recorded".into()], ..sum("Gain per hour", "not known".into()) },
    });
    rows
}
