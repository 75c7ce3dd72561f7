//! Questions a weight that lies far outside what the recipe expects, with the likeliest slip of hand.

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

use crate::bench::{Ask, Question, Reading, Weighing};
use crate::quantity::{Estimate, Mass, MassUnit, Notation};
use crate::stats::slips::{Entry, Slip, Unit, diagnose_entry};
use crate::stats::three_point::ThreePoint;

/// How far beyond the recipe's range a weight may lie without being questioned: a third of the bound. An estimate.
const LENIENCE: f64 = 1.0 / 3.0;

/// Why this weight looks like a slip; `None` when it is plausible, or nothing is known to hold it against.
pub(super) fn doubt(question: &Question, reading: Reading, unit: MassUnit, notation: Notation) -> Option<String> {
    let Ask::Weight { expected: Some(expected), what } = &question.ask else { return None };
    let net = reading.net;
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
    match likeliest(expected, reading, unit) {
        Some((slip, Some(corrected))) => Some(format!("{seen}; {slip} would make it {}", show(corrected))),
        Some((slip, None)) => Some(format!("{seen}; perhaps {slip}")),
        None => Some(format!("{seen}; a tare left on, another unit, a slipped decimal mark?")),
    }
}

/// The slip that explains the weight best, in words, and what the weight would be without it.
fn likeliest(expected: &Estimate<Mass>, reading: Reading, unit: MassUnit) -> Option<(String, Option<Mass>)> {
    let value = |mass: Mass| mass.grams().to_f64();
    let range = ThreePoint::new(value(expected.low())?, value(expected.usual())?, value(expected.high())?).ok()?;
    let grams = value(reading.net)?;
    let least = value(expected.usual())? * 0.01;
    let expected = range.expected(least).ok()?;
    let typed = match unit {
        MassUnit::Gram => Unit::Gram,
        MassUnit::Ounce => Unit::Ounce,
        MassUnit::Pound => Unit::Pound,
        _ => Unit::Kilogram,
    };
    let step = value(reading.finest).filter(|step| *step > 0.0).unwrap_or(1.0);
    // The digits that were typed: as many behind the mark as make a step that the reading resolves.
    let decimals = (0..9).find(|places| typed.grams() / 10_f64.powi(*places) <= step * 1.001).unwrap_or(9);
    let shown = crate::stats::Uncertain::new(grams, step / 12_f64.sqrt()).ok()?;
    let diagnosis = diagnose_entry(&Entry::new(shown).typed(typed, decimals.unsigned_abs()), &expected, &[]);
    let candidate = diagnosis.likeliest().filter(|_| diagnosis.is_alarm())?;
    let corrected = Decimal::try_from(candidate.corrected).ok().and_then(|g| Mass::from_grams(g.round_dp(1)).ok());
    let words = match candidate.slip {
        Slip::WrongUnit { meant, typed } => format!("{} typed for {}", typed.plural(), meant.plural()),
        Slip::DecimalPlace { places } if places.abs() == 1 => "the decimal mark one place off".to_owned(),
        Slip::DecimalPlace { .. } => "the decimal mark two places off".to_owned(),
        Slip::DigitsSwapped => "two digits swapped".to_owned(),
        _ => return None,
    };
    Some((words, corrected))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn doubted(net: &str, finest: &str, unit: MassUnit) -> Option<String> {
        let expected =
            Estimate::new("4 kg".parse().unwrap(), "6 kg".parse().unwrap(), "8 kg".parse().unwrap()).unwrap();
        let ask = Ask::Weight { expected: Some(expected), what: Weighing::Intake };
        let question = Question { step: "unit".into(), key: "intake".into(), text: String::new(), ask };
        let reading = Reading { net: net.parse().unwrap(), pieces: 1, finest: finest.parse().unwrap() };
        doubt(&question, reading, unit, Notation::Point)
    }

    #[test]
    fn the_likeliest_slip_is_one_that_a_hand_can_make() {
        for (net, finest, unit, slip) in [
            // Nobody swaps digits into 06 or 0600; and 6000 kg are grams.
            ("60 kg", "1 kg", MassUnit::Kilogram, "the decimal mark one place off would make it 6 kg"),
            ("600 kg", "1 kg", MassUnit::Kilogram, "the decimal mark two places off would make it 6 kg"),
            ("6000 kg", "1 kg", MassUnit::Kilogram, "kilograms typed for grams would make it 6 kg"),
            ("0.6 kg", "0.1 kg", MassUnit::Kilogram, "the decimal mark one place off would make it 6 kg"),
            ("13.2 kg", "0.1 kg", MassUnit::Kilogram, "kilograms typed for pounds would make it 5.987 kg"),
        ] {
            let seen = doubted(net, finest, unit).unwrap();
            assert!(seen.ends_with(slip), "{net}: {seen}");
        }
        assert_eq!(doubted("3.5 kg", "0.1 kg", MassUnit::Kilogram), None, "a little beside the range");
    }
}
