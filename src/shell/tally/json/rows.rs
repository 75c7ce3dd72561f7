//! The rows of the document.

use rust_decimal::RoundingStrategy;
use serde::Serialize;

use crate::market::PriceSource;
use crate::market::tally::{Cost, Item, Line, UnsoldItem};
use crate::quantity::{Basis, Mass, MassUnit, Money, Notation, Price};
use crate::shell::format::digits;

/// A weight: exact grams, and the yard's unit to six places for reading.
#[derive(Serialize)]
pub(super) struct Weight {
    grams: String,
    weight: String,
    unit: &'static str,
}

impl Weight {
    pub(super) fn new(mass: Mass, unit: MassUnit) -> Weight {
        let weight = mass.in_unit(unit).round_dp_with_strategy(6, RoundingStrategy::MidpointAwayFromZero).normalize();
        Weight { grams: mass.grams().normalize().to_string(), weight: weight.to_string(), unit: unit.symbol() }
    }
}

/// A price: the amount and what it is per.
#[derive(Serialize)]
pub(super) struct PriceRow {
    amount: String,
    currency: &'static str,
    per: &'static str,
}

impl PriceRow {
    pub(super) fn new(price: Price) -> PriceRow {
        let per = match price.basis() {
            Basis::Weight(unit) => unit.symbol(),
            Basis::Piece => "piece",
        };
        let amount = Money::new(price.amount(), price.currency()).map(digits);
        let amount = amount.unwrap_or_else(|_| price.amount().to_string());
        PriceRow { amount, currency: price.currency().code(), per }
    }
}

/// Where a price comes from.
#[derive(Serialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
enum SourceRow<'a> {
    Module { as_of: String },
    Index { index: &'a str, percent: String, date: String },
    Quote { date: String, origin: &'a str },
}

/// One thing in a line.
#[derive(Serialize)]
struct ItemRow<'a> {
    part: &'a str,
    grade: &'a str,
    mass: Option<Weight>,
    pieces: u32,
    how: &'static str,
    remainder: bool,
    regraded_from: Option<&'a str>,
}

#[derive(Serialize)]
struct MixRow<'a> {
    name: &'a str,
    percent_off: String,
}

/// One line.
#[derive(Serialize)]
pub(super) struct LineRow<'a> {
    kind: &'static str,
    name: &'a str,
    priced_as: &'a str,
    grades: Vec<&'a str>,
    mix: Option<MixRow<'a>>,
    mass: Option<Weight>,
    net: Option<Weight>,
    pieces: u32,
    price: PriceRow,
    tier_from: Option<Weight>,
    source: SourceRow<'a>,
    amount: String,
    items: Vec<ItemRow<'a>>,
}

impl<'a> LineRow<'a> {
    pub(super) fn new(line: &'a Line, unit: MassUnit) -> LineRow<'a> {
        let priced = &line.priced;
        LineRow {
            kind: line.kind(),
            name: &priced.name,
            priced_as: &priced.priced_as,
            grades: line.grades(),
            mix: line.mix.as_ref().map(|m| MixRow { name: &m.name, percent_off: m.percent_off.to_string() }),
            mass: line.mass.map(|mass| Weight::new(mass, unit)),
            net: line.net.map(|mass| Weight::new(mass, unit)),
            pieces: line.pieces,
            price: PriceRow::new(priced.price),
            tier_from: priced.tier.map(|mass| Weight::new(mass, unit)),
            source: match &priced.source {
                PriceSource::Module { as_of } => SourceRow::Module { as_of: as_of.to_string() },
                PriceSource::Index { name, percent, date } => {
                    SourceRow::Index { index: name, percent: percent.to_string(), date: date.to_string() }
                }
                PriceSource::Quote { date, origin } => SourceRow::Quote { date: date.to_string(), origin },
            },
            amount: digits(line.amount),
            items: line.items.iter().map(|item| item_row(item, unit)).collect(),
        }
    }
}

fn item_row(item: &Item, unit: MassUnit) -> ItemRow<'_> {
    ItemRow {
        part: &item.part,
        grade: &item.grade,
        mass: item.mass.map(|mass| Weight::new(mass, unit)),
        pieces: item.pieces,
        how: item.how.word(),
        remainder: item.remainder,
        regraded_from: item.regraded_from.as_deref(),
    }
}

/// One cost.
#[derive(Serialize)]
pub(super) struct CostRow<'a> {
    kind: &'static str,
    name: &'a str,
    amount: String,
    currency: &'static str,
    counted: bool,
}

impl<'a> CostRow<'a> {
    pub(super) fn new(cost: &'a Cost) -> CostRow<'a> {
        CostRow {
            kind: cost.kind.code(),
            name: &cost.name,
            amount: digits(cost.amount),
            currency: cost.amount.currency().code(),
            counted: cost.counted,
        }
    }
}

/// One thing that brings nothing.
#[derive(Serialize)]
pub(super) struct UnsoldRow<'a> {
    part: &'a str,
    grade: Option<&'a str>,
    mass: Option<Weight>,
    pieces: u32,
    how: &'static str,
    remainder: bool,
    reason: &'static str,
    words: String,
}

impl<'a> UnsoldRow<'a> {
    pub(super) fn new(item: &'a UnsoldItem, unit: MassUnit) -> UnsoldRow<'a> {
        UnsoldRow {
            part: &item.part,
            grade: item.grade.as_deref(),
            mass: item.mass.map(|mass| Weight::new(mass, unit)),
            pieces: item.pieces,
            how: item.how.word(),
            remainder: item.remainder,
            reason: item.reason.code(),
            words: item.reason.words(Notation::Point),
        }
    }
}
