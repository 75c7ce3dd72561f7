//! Questions a weight that lies far outside what the recipe expects, with the likeliest slip of hand.

use rust_decimal::prelude::ToPrimitive;

use crate::bench::{Ask, Question, Weighing};
use crate::quantity::{Estimate, Mass, MassUnit, Notation};
use crate::stats::slips::{Entry, Slip, Unit, diagnose_entry};
use crate::stats::three_point::ThreePoint;

/// How far beyond the recipe's range a weight may lie without being questioned: a third of the bound. An estimate.
const LENIENCE: f64 = 1.0 / 3.0;

/// Why this weight looks like a slip; `None` when it is plausible, or nothing is known to hold it against.
pub(super) fn doubt(question: &Question, net: Mass, unit: MassUnit, notation: Notation) -> Option<String> {
    let Ask::Weight { expected: Some(expected), what } = &question.ask else { return None };
    let grams = net.grams().to_f64()?;
    let (low, high) = (expected.low().grams().to_f64()?, expected.high().grams().to_f64()?);
    let near = grams >= low * (1.0 - LENIENCE) && grams <= high * (1.0 + LENIENCE);
    // What is left by difference is no expectation: any weight may close the balance or not.
    if near || *what == Weighing::Remainder {
        return None;
    }
    let show = |mass: Mass| mass.show_friendly(unit, notation);
    let range =
        format!("{} to {}", expected.low().show_rough(unit, notation), expected.high().show_rough(unit, notation));
    let seen = format!("{} is far outside the usual {range}", show(net));
    match likeliest(expected, grams, unit) {
        Some((slip, Some(corrected))) => Some(format!("{seen}; {slip} would make it {}", show(corrected))),
        Some((slip, None)) => Some(format!("{seen}; perhaps {slip}")),
        None => Some(format!("{seen}; a tare left on, another unit, a slipped decimal mark?")),
    }
}

fn likeliest(expected: &Estimate<Mass>, grams: f64, unit: MassUnit) -> Option<(String, Option<Mass>)> {
    let value = |mass: Mass| mass.grams().to_f64();
    let range = ThreePoint::new(value(expected.low())?, value(expected.usual())?, value(expected.high())?).ok()?;
    let expected = range.expected(grams.abs() * 0.01).ok()?;
    let typed = match unit {
        MassUnit::Gram => Unit::Gram,
        MassUnit::Ounce => Unit::Ounce,
        MassUnit::Pound => Unit::Pound,
        _ => Unit::Kilogram,
    };
    let shown = crate::stats::Uncertain::new(grams, grams.abs() * 0.001).ok()?;
    let diagnosis = diagnose_entry(&Entry::new(shown).typed(typed, 3), &expected, &[]);
    let candidate = diagnosis.likeliest().filter(|_| diagnosis.is_alarm())?;
    let corrected =
        rust_decimal::Decimal::try_from(candidate.corrected).ok().and_then(|g| Mass::from_grams(g.round_dp(1)).ok());
    let words = match candidate.slip {
        Slip::WrongUnit { meant, typed } => format!("{} typed for {}", typed.plural(), meant.plural()),
        Slip::DecimalPlace { .. } => "the decimal mark one place off".to_owned(),
        Slip::DigitsSwapped => "two digits swapped".to_owned(),
        _ => return None,
    };
    Some((words, corrected))
}
