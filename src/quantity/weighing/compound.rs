//! Weights in several units: `8 lb 2 oz`.

use std::ops::Range;

use rust_decimal::Decimal;

use super::super::exact;
use super::super::mass_unit::MassUnit;
use super::super::notation::Notation;
use super::super::quoted::quoted;
use super::fault::{WeighingError, WeighingFault, fault};

/// Checks that `minor` can follow `major`: an integer number of the larger unit, then less than one of it in a smaller
/// unit that divides it evenly.
pub(super) fn check_compound(
    text: &str,
    notation: Notation,
    major: &WeightPart,
    minor: &WeightPart,
) -> Result<(), WeighingError> {
    let typed = |part: &WeightPart| quoted(&text[part.at.clone()]);
    let wrong = match (major.unit, minor.unit) {
        (None, _) => WeighingFault::TwoNumbers { left: typed(major), right: typed(minor) },
        (_, None) => WeighingFault::PartWithoutUnit { number: typed(minor), before: typed(major) },
        (Some(larger), Some(smaller)) => match whole_multiple(larger, smaller) {
            None => WeighingFault::UnitOrder { major: larger.symbol(), minor: smaller.symbol() },
            Some(_) if major.step != Decimal::ONE => WeighingFault::BrokenMajor { seen: typed(major) },
            Some(per) if minor.number >= per => WeighingFault::MinorTooLarge {
                seen: typed(minor),
                major: larger.symbol(),
                instead: carried_over((major.number, larger), (minor.number, smaller), per, notation),
            },
            Some(_) => return Ok(()),
        },
    };
    Err(fault(major.at.start..minor.at.end, wrong))
}

/// The two parts with full larger units carried over: 8 lb 20 oz as `9 lb 4 oz`.
fn carried_over(
    (upper, larger): (Decimal, MassUnit),
    (lower, smaller): (Decimal, MassUnit),
    per: Decimal,
    notation: Notation,
) -> String {
    let carried = (lower / per).floor();
    let Ok(upper) = exact::sum("a mass", upper, carried) else { return format!("it in {larger} alone") };
    let lower = (lower - carried * per).normalize();
    if lower.is_zero() {
        return format!("{} {larger}", notation.show(upper));
    }
    format!("{} {larger} {} {smaller}", notation.show(upper), notation.show(lower))
}

/// How many of `smaller` make one of `larger`, if that is an integer above one.
fn whole_multiple(larger: MassUnit, smaller: MassUnit) -> Option<Decimal> {
    let per = larger.grams() / smaller.grams();
    (per > Decimal::ONE && per.fract().is_zero()).then_some(per)
}

/// A number and its unit, if it has one of its own.
pub(super) struct WeightPart {
    pub number: Decimal,
    /// One unit in the last typed digit.
    pub step: Decimal,
    pub unit: Option<MassUnit>,
    pub at: Range<usize>,
}
