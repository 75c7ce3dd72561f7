//! Undoes slips within one entry.

use super::super::uncertain::Uncertain;
use super::entry::{TypedWeight, Unit};
use super::kind::Slip;
use super::rates;

/// An entry with a slip undone.
pub(super) struct Undone {
    pub(super) slip: Slip,
    /// The rate of this very slip.
    pub(super) rate: f64,
    /// The reading meant.
    pub(super) reading: Uncertain,
    /// ln of grams meant per gram entered, if the slip stretched every step of the number alike.
    pub(super) ln_stretch: f64,
}

impl Undone {
    /// All digits were kept but stand for `factor` times as much. The sd stays, since a slip does not change the
    /// scale's steps, unless fewer digits were typed than the scale shows.
    fn stretched(entry: &TypedWeight, slip: Slip, rate: f64, factor: f64) -> Option<Self> {
        let reading = entry.reading();
        let last_digit = entry.step() * factor / 12_f64.sqrt();
        let sd = reading.sd().max(last_digit);
        Some(Self { slip, rate, reading: Uncertain::new(reading.value() * factor, sd).ok()?, ln_stretch: factor.ln() })
    }

    /// Another number was meant.
    fn replaced(entry: &TypedWeight, slip: Slip, rate: f64, mass: f64) -> Option<Self> {
        Some(Self { slip, rate, reading: Uncertain::new(mass, entry.reading().sd()).ok()?, ln_stretch: 0.0 })
    }
}

/// Typing slips: unit, decimal point, digits.
pub(super) fn typing_slips(entry: &TypedWeight) -> Vec<Undone> {
    let mut all = wrong_units(entry);
    all.extend(decimal_places(entry));
    all.extend(swapped_digits(entry));
    all
}

/// Weighing slips: the container, counting twice. `tares` are in grams.
pub(super) fn weighing_slips(entry: &TypedWeight, tares: &[f64]) -> Vec<Undone> {
    let mass = entry.reading().value();
    let rate = rates::TARE / tares.len() as f64;
    let tare = |tare: &f64| {
        let possible = *tare > 0.0 && *tare < mass;
        let slip = Slip::TareLeftOn { tare: *tare };
        possible.then(|| Undone::replaced(entry, slip, rate, mass - tare))?
    };
    let mut all: Vec<Undone> = tares.iter().filter_map(tare).collect();
    all.extend(Undone::replaced(entry, Slip::EnteredTwice, rates::TWICE, mass / 2.0));
    all
}

/// Pairs of units that are easily confused; any other pair is a tenth as likely.
fn readily_mistaken(a: Unit, b: Unit) -> bool {
    use Unit::{Gram, Kilogram, Ounce, Pound};
    let pairs = [(Kilogram, Pound), (Pound, Ounce), (Gram, Kilogram)];
    pairs.contains(&(a, b)) || pairs.contains(&(b, a))
}

fn wrong_units(entry: &TypedWeight) -> Vec<Undone> {
    let pairs = Unit::ALL.iter().flat_map(|m| Unit::ALL.map(|t| (*m, t)));
    let possible = |(meant, typed): &(Unit, Unit)| match entry.unit() {
        Some(unit) => *typed == unit && meant != typed,
        None => readily_mistaken(*meant, *typed),
    };
    let pairs: Vec<(Unit, Unit)> = pairs.filter(possible).collect();
    let weight = |(m, t): &(Unit, Unit)| if readily_mistaken(*m, *t) { 1.0 } else { 0.1 };
    let total: f64 = pairs.iter().map(weight).sum();
    let undo = |pair: &(Unit, Unit)| {
        let (meant, typed) = *pair;
        let slip = Slip::WrongUnit { meant, typed };
        let rate = rates::UNIT * weight(pair) / total;
        Undone::stretched(entry, slip, rate, meant.grams() / typed.grams())
    };
    pairs.iter().filter_map(undo).collect()
}

/// Up to two places either way; three would be a confusion of units.
fn decimal_places(entry: &TypedWeight) -> Vec<Undone> {
    let by_one = rates::DECIMAL * rates::DECIMAL_BY_ONE / 2.0;
    let by_two = rates::DECIMAL / 2.0 - by_one;
    let undo = |(places, rate): (i32, f64)| {
        let slip = Slip::DecimalPlace { places };
        Undone::stretched(entry, slip, rate, 10_f64.powi(-places))
    };
    let places = [(-2, by_two), (-1, by_one), (1, by_one), (2, by_two)];
    places.into_iter().filter_map(undo).collect()
}

fn swapped_digits(entry: &TypedWeight) -> Vec<Undone> {
    let swaps = entry.swaps();
    let weight = |neighbours: bool| if neighbours { rates::NEIGHBOURS } else { 1.0 };
    let total: f64 = swaps.iter().map(|s| weight(s.1)).sum();
    let undo = |(mass, neighbours): &(f64, bool)| {
        let rate = rates::SWAP * weight(*neighbours) / total;
        Undone::replaced(entry, Slip::DigitsSwapped, rate, *mass)
    };
    swaps.iter().filter_map(undo).collect()
}
