//! Questions a weight as it is typed (too far from what is expected, or more than the unit weighed), with the likely
//! slip and what was meant.

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

use crate::quantity::{Estimate, Mass, MassUnit, Notation, Weighed};
use crate::stats::Uncertain;
use crate::stats::balance::{GapVerdict, gap_so_far};
use crate::stats::slips::{Candidate, Slip, TypedWeight, Unit, diagnose_entry};

/// How far beyond the expected range a weight may lie without a question if no slip explains it: a third of the bound.
/// An estimate.
const LENIENCE: f64 = 1.0 / 3.0;

/// Why a weight looks like a slip.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Doubt {
    /// What is odd about it, in a sentence.
    pub why: String,
    /// What was meant if the likely slip was made, as it would be typed.
    pub corrected: Option<String>,
}

/// A typed weight, and what it is checked against.
pub(super) struct Typed<'a> {
    /// The weight as understood.
    pub weighed: Weighed,
    /// The expected weight, as a range to show and as mean and sd in grams.
    pub expected: (Estimate<Mass>, Uncertain),
    /// Containers that may have been weighed along, in grams.
    pub tares: &'a [f64],
    /// What has come out so far of what the part sat in, including this weight; `None` if that was not weighed.
    pub so_far: Option<SoFar>,
    /// The unit and number format for showing weights.
    pub shown_in: (MassUnit, Notation),
}

/// Weights that cannot exceed another: the parts from the unit, or from an opened part.
pub(super) struct SoFar {
    /// The whole's display name: `the whole unit`, or the part.
    pub name: String,
    /// What the whole weighed.
    pub whole: Uncertain,
    /// What came out of it.
    pub parts: Vec<Uncertain>,
}

/// Why this weight looks like a slip; `None` if it is plausible.
pub(super) fn doubt(typed: &Typed<'_>) -> Option<Doubt> {
    let (unit, notation) = typed.shown_in;
    let entry = entry(&typed.weighed)?;
    let diagnosis = diagnose_entry(&entry, &typed.expected.1, typed.tares);
    let likely = diagnosis.likeliest().filter(|candidate| candidate.slip != Slip::Unexplained);
    let exceeds = |so_far: &&SoFar| gap_so_far(&so_far.whole, &so_far.parts).verdict == GapVerdict::DoesNotClose;
    let too_much = typed.so_far.as_ref().filter(exceeds);
    let far = is_far(entry.reading().value(), &typed.expected.0);
    if likely.is_none() && !far && too_much.is_none() {
        return None;
    }
    let show = |mass: Mass| mass.show_rough(unit, notation);
    let (low, high) = (typed.expected.0.low(), typed.expected.0.high());
    let net = typed.weighed.net.show_friendly(unit, notation);
    let usual = format!("the usual {} to {}", show(low), show(high));
    let odd = match (far, likely.is_some(), too_much) {
        (true, _, None) => format!("{net} is far outside {usual}"),
        (true, _, Some(so_far)) => {
            format!("{net} is far outside {usual}, and more than {} leaves room for", so_far.name)
        }
        (false, true, _) => format!("{net} is not like {usual}"),
        (false, false, so_far) => {
            let whole = so_far.map_or("the whole unit", |so_far| so_far.name.as_str());
            format!("with {net} the parts weigh more than {whole} did")
        }
    };
    match likely {
        Some(candidate) => {
            let surely = if candidate.probability >= 0.9 { "most likely" } else { "perhaps" };
            Some(Doubt {
                why: format!("{odd}. {}: {}", capital(surely), candidate.slip),
                corrected: retyped(&typed.weighed, candidate, notation),
            })
        }
        None => Some(Doubt { why: format!("{odd}. A tare left on, another unit, a part more?"), corrected: None }),
    }
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

fn is_far(grams: f64, expected: &Estimate<Mass>) -> bool {
    let bound = |mass: Mass| mass.grams().to_f64().unwrap_or_default();
    grams < bound(expected.low()) * (1.0 - LENIENCE) || grams > bound(expected.high()) * (1.0 + LENIENCE)
}

/// The weight as statistics input: mass, resolution, unit and decimals as typed.
pub(super) fn entry(weighed: &Weighed) -> Option<TypedWeight> {
    let reading = reading(weighed.net, weighed.resolution)?;
    Some(typed_as(TypedWeight::new(reading), weighed))
}

/// An entry with the unit and decimals typed.
pub(super) fn typed_as(entry: TypedWeight, weighed: &Weighed) -> TypedWeight {
    match known(weighed.unit) {
        Some(unit) => entry.typed(unit, decimals(weighed)),
        None => entry,
    }
}

/// A reading in grams with the sd of its resolution; an unknown resolution counts as a thousandth of the reading.
pub(super) fn reading(net: Mass, resolution: Mass) -> Option<Uncertain> {
    let (net, resolution) = (net.grams().to_f64()?, resolution.grams().to_f64()?);
    let division = if resolution > 0.0 { resolution } else { (net.abs() * 0.001).max(0.001) };
    Uncertain::reading(net, division).ok()
}

fn decimals(weighed: &Weighed) -> u32 {
    weighed.resolution.in_unit(weighed.unit).normalize().scale().min(9)
}

fn known(unit: MassUnit) -> Option<Unit> {
    match unit {
        MassUnit::Gram => Some(Unit::Gram),
        MassUnit::Kilogram => Some(Unit::Kilogram),
        MassUnit::Ounce => Some(Unit::Ounce),
        MassUnit::Pound => Some(Unit::Pound),
        _ => None,
    }
}

/// The corrected weight as the user would have typed it, with the same number of digits; `None` if the slip does not
/// determine it, so that the weight has to be taken again.
pub(super) fn retyped(weighed: &Weighed, candidate: &Candidate, notation: Notation) -> Option<String> {
    let (unit, places) = match candidate.slip {
        Slip::WrongUnit { meant, .. } => (unit_of(meant), decimals(weighed)),
        Slip::DecimalPlace { places } => (weighed.unit, decimals(weighed).saturating_add_signed(places)),
        Slip::EnteredTwice => (weighed.unit, decimals(weighed) + 1),
        Slip::DigitsSwapped | Slip::TareLeftOn { .. } => (weighed.unit, decimals(weighed)),
        _ => return None,
    };
    let grams = Decimal::try_from(candidate.corrected).ok()?;
    let amount = grams.checked_div(unit.grams())?.round_dp(places);
    (amount > Decimal::ZERO).then(|| format!("{} {}", notation.show(amount), unit.symbol()))
}

fn unit_of(unit: Unit) -> MassUnit {
    match unit {
        Unit::Gram => MassUnit::Gram,
        Unit::Kilogram => MassUnit::Kilogram,
        Unit::Ounce => MassUnit::Ounce,
        Unit::Pound => MassUnit::Pound,
    }
}

#[cfg(test)]
mod tests {
    use super::super::history::three_point;
    use super::*;
    use crate::quantity::{WeighingRules, weigh};

    fn kg(text: &str) -> Mass {
        Mass::of(text.parse().unwrap(), MassUnit::Kilogram).unwrap()
    }

    fn asked(text: &str, tares: &[f64]) -> Option<Doubt> {
        asked_of(Estimate::new(kg("3.0"), kg("3.7"), kg("4.6")).unwrap(), text, tares)
    }

    fn asked_of(range: Estimate<Mass>, text: &str, tares: &[f64]) -> Option<Doubt> {
        let rules = WeighingRules { notation: Notation::Point, unit: MassUnit::Kilogram, tare: &|_| None };
        doubt(&Typed {
            weighed: weigh(text, &rules).unwrap(),
            expected: (range, three_point(&range).unwrap().expected(60.0).unwrap()),
            tares,
            so_far: None,
            shown_in: (MassUnit::Kilogram, Notation::Point),
        })
    }

    #[test]
    fn plausible_weights_pass() {
        for text in ["3.0", "3.71", "4.6 kg", "8 lb 2 oz"] {
            assert_eq!(asked(text, &[]), None, "{text}");
        }
    }

    #[test]
    fn the_correction_is_what_would_have_been_typed() {
        let corrected = |text, tares: &[f64]| asked(text, tares).unwrap().corrected;
        assert_eq!(corrected("3.68 lb", &[]).as_deref(), Some("3.68 kg"));
        assert_eq!(corrected("37.2", &[]).as_deref(), Some("3.72 kg"));
        assert_eq!(corrected("0.371", &[]).as_deref(), Some("3.71 kg"));
        assert_eq!(corrected("5.92", &[2200.0]).as_deref(), Some("3.72 kg"));
    }

    #[test]
    fn the_likeliest_slip_is_one_that_a_hand_can_make() {
        let range = Estimate::new(kg("4"), kg("6"), kg("8")).unwrap();
        for (text, corrected) in [
            // Nobody swaps digits into 06 or 0600; and 6000 kg means grams.
            ("60", "6 kg"),
            ("600", "6 kg"),
            ("6000", "6000 g"),
            ("0.6", "6 kg"),
            // Twice 6.6 kg, or 13.2 lb: both fit, and the first fits a little better.
            ("13.2", "6.60 kg"),
        ] {
            assert_eq!(asked_of(range, text, &[]).unwrap().corrected.as_deref(), Some(corrected), "{text}");
        }
        assert_eq!(asked_of(range, "3.5", &[]), None, "a little beside the range");
    }

    #[test]
    fn what_nothing_explains_is_asked_without_a_correction() {
        let doubt = asked("21.3", &[]);
        assert!(doubt.is_some_and(|doubt| doubt.why.contains("far outside the usual 3 kg to 4.6 kg")));
    }
}
