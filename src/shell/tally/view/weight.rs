//! Formats the weights of a tally.

use rust_decimal::{Decimal, RoundingStrategy};

use crate::quantity::{Mass, MassUnit, Notation};

/// A weight in the yard's unit, to about a gram (a hundredth of a gram for small units).
pub(in crate::shell::tally) fn weight(mass: Mass, unit: MassUnit, notation: Notation) -> String {
    format!("{} {unit}", weight_digits(mass, unit, places(unit), notation))
}

/// The digits of a weight in `unit`, with at most `places` decimal places, halves rounded away from zero.
pub(in crate::shell::tally) fn weight_digits(mass: Mass, unit: MassUnit, places: u32, notation: Notation) -> String {
    let value = mass.in_unit(unit).round_dp_with_strategy(places, RoundingStrategy::MidpointAwayFromZero);
    notation.show(value.normalize())
}

/// Decimal places for a resolution of a gram or better; of a hundredth of a gram for a unit under 100 g.
pub(super) fn places(unit: MassUnit) -> u32 {
    let resolution = if unit.grams() < Decimal::ONE_HUNDRED { Decimal::new(1, 2) } else { Decimal::ONE };
    (0..9).find(|places| unit.grams() * Decimal::new(1, *places) <= resolution).unwrap_or(9)
}
