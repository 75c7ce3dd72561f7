//! Limits on the texts, numbers and counts of a yard.

use rust_decimal::Decimal;

use crate::market::yard::YardProblem;
use crate::naming;
use crate::quantity::{Currency, Mass, MassUnit};

/// Longest name of a yard, an offer or a fee, in characters.
pub(super) const MAX_NAME: usize = 120;
/// Most prices of one yard.
pub(super) const MAX_OFFERS: usize = 1000;
/// Most tiers of one price, and most fees of a visit.
pub(super) const MAX_TIERS: usize = 60;
/// Longest remark, in characters.
pub(super) const MAX_NOTE: usize = 2000;

pub(super) fn named(what: &'static str, text: &str) -> Result<String, YardProblem> {
    if text.trim().is_empty() {
        return Err(YardProblem::NoName(what));
    }
    short(what, text, MAX_NAME)
}

pub(super) fn short(what: &'static str, text: &str, most: usize) -> Result<String, YardProblem> {
    let text = text.trim();
    let length = text.chars().count();
    if length > most {
        return Err(YardProblem::LongText { what, length, most });
    }
    match naming::first_unsafe(text) {
        Some((at, c)) => Err(YardProblem::Hidden { what, at, code: u32::from(c) }),
        None => Ok(text.to_owned()),
    }
}

pub(super) fn full(what: &'static str, there: usize, most: usize) -> Result<(), YardProblem> {
    if there < most { Ok(()) } else { Err(YardProblem::TooMany { what, most }) }
}

pub(super) fn positive(what: &'static str, value: Decimal) -> Result<Decimal, YardProblem> {
    if value > Decimal::ZERO { Ok(value) } else { Err(YardProblem::NotPositive { what, value: value.to_string() }) }
}

/// The division as a mass. The limits are far outside any scale; they keep the count of divisions computable.
pub(super) fn scale_division(division: Decimal, unit: MassUnit) -> Result<Mass, YardProblem> {
    let mass = Mass::of(division, unit)?;
    let sane = Decimal::new(1, 4)..=Decimal::from(1_000_000);
    if sane.contains(&mass.grams()) { Ok(mass) } else { Err(YardProblem::Division { division, unit }) }
}

pub(super) fn some_weight(what: &'static str, mass: Mass) -> Result<(), YardProblem> {
    if mass > Mass::ZERO { Ok(()) } else { Err(YardProblem::NotPositive { what, value: mass.to_string() }) }
}

pub(super) fn signed(amount: Decimal, charge: bool) -> Result<Decimal, YardProblem> {
    if amount < Decimal::ZERO {
        return Err(YardProblem::NegativePrice { amount });
    }
    Ok(if charge { -amount } else { amount })
}

/// The ISO 4217 code most similar to `code`.
pub(super) fn nearest_currency(code: &str) -> Option<String> {
    let letters = || 'A'..='Z';
    let triples =
        letters().flat_map(|a| letters().flat_map(move |b| letters().map(move |c| String::from_iter([a, b, c]))));
    let codes: Vec<String> = triples.filter(|triple| Currency::from_code(triple).is_some()).collect();
    naming::nearest(&code.trim().to_uppercase(), codes.iter().map(String::as_str)).map(str::to_owned)
}
