//! What makes a weight of several units: `8 lb 2 oz`.

use rust_decimal::Decimal;

use super::super::mass::MassUnit;
use super::super::notation::Notation;
use super::super::quoted::quoted;
use super::fault::{WeighingError, WeighingFault, fault};
use super::term::Part;

/// Checks that `minor` can follow `major`: a whole number of the larger unit, then less than one of it in a smaller unit
/// of which the larger one is a whole multiple.
pub(super) fn check_compound(text: &str, notation: Notation, major: &Part, minor: &Part) -> Result<(), WeighingError> {
    let typed = |part: &Part| quoted(&text[part.at.clone()]);
    let wrong = match (major.unit, minor.unit) {
        (None, _) => WeighingFault::TwoNumbers { left: typed(major), right: typed(minor) },
        (_, None) => WeighingFault::PartWithoutUnit { number: typed(minor), before: typed(major) },
        (Some(larger), Some(smaller)) => match whole_multiple(larger, smaller) {
            None => WeighingFault::UnitOrder { major: larger.symbol(), minor: smaller.symbol() },
            Some(_) if major.step != Decimal::ONE => WeighingFault::BrokenMajor { seen: typed(major) },
            Some(per) if minor.number >= per => {
                let carried = (minor.number / per).floor();
                let (upper, lower) = (major.number + carried, (minor.number - carried * per).normalize());
                let (upper, lower) = (notation.show(upper), notation.show(lower));
                let instead = format!("{upper} {larger} {lower} {smaller}");
                WeighingFault::MinorTooLarge { seen: typed(minor), major: larger.symbol(), instead }
            }
            Some(_) => return Ok(()),
        },
    };
    Err(fault(major.at.start..minor.at.end, wrong))
}

/// How many of `smaller` make one of `larger`, if that is a whole number above one.
fn whole_multiple(larger: MassUnit, smaller: MassUnit) -> Option<Decimal> {
    let per = larger.grams() / smaller.grams();
    (per > Decimal::ONE && per.fract().is_zero()).then_some(per)
}
