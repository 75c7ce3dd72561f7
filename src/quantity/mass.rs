//! Mass, exact in grams.

super::serde_text::serde_as_text!(Mass);

#[cfg(test)]
mod tests;

use std::fmt;
use std::str::FromStr;

use rust_decimal::{Decimal, RoundingStrategy};

use super::exact;
use super::limits::{MAX_GRAMS, QuantityError, within};
use super::mass_unit::MassUnit;
use super::notation::Notation;
use super::quoted::quoted;
use super::text::ReadError;

/// An exact mass, held in grams. May be negative as the result of a difference, never as an answer.
///
/// The text form (and the serde form) is grams with the unit, `"1632.93 g"`, and reads back to the same mass.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Default)]
pub struct Mass {
    grams: Decimal,
}

impl Mass {
    /// Zero mass.
    pub const ZERO: Mass = Mass { grams: Decimal::ZERO };

    /// `amount` of `unit`, exactly.
    ///
    /// # Errors
    /// [`QuantityError::TooFine`] if the product is not exactly representable, [`QuantityError::TooLarge`] past a
    /// million tonnes.
    pub fn of(amount: Decimal, unit: MassUnit) -> Result<Mass, QuantityError> {
        Mass::from_grams(exact::product("a mass", amount, unit.grams())?)
    }

    /// A mass from its grams.
    ///
    /// # Errors
    /// [`QuantityError::TooLarge`] past a million tonnes.
    pub fn from_grams(grams: Decimal) -> Result<Mass, QuantityError> {
        Ok(Mass { grams: within("a mass", grams, MAX_GRAMS, "g", "a million tonnes")? })
    }

    /// The mass in grams.
    pub fn grams(self) -> Decimal {
        self.grams
    }

    /// The mass in `unit`: exact if 28 digits allow it (always for g, kg and t).
    pub fn in_unit(self, unit: MassUnit) -> Decimal {
        // Bounded by MAX_GRAMS over one grain, so the quotient always fits; only its tail may be cut at 28 digits.
        self.grams.checked_div(unit.grams()).unwrap_or_default().normalize()
    }

    /// Whether it is below zero.
    pub fn is_negative(self) -> bool {
        self.grams.is_sign_negative() && !self.grams.is_zero()
    }

    /// Whether it is zero.
    pub fn is_zero(self) -> bool {
        self.grams.is_zero()
    }

    /// The sum.
    ///
    /// # Errors
    /// As [`Mass::of`].
    pub fn plus(self, other: Mass) -> Result<Mass, QuantityError> {
        Mass::from_grams(exact::sum("a mass", self.grams, other.grams)?)
    }

    /// The difference, which may be negative.
    ///
    /// # Errors
    /// As [`Mass::of`].
    pub fn minus(self, other: Mass) -> Result<Mass, QuantityError> {
        Mass::from_grams(exact::sum("a mass", self.grams, -other.grams)?)
    }

    /// This mass times `factor`.
    ///
    /// # Errors
    /// As [`Mass::of`].
    pub fn times(self, factor: Decimal) -> Result<Mass, QuantityError> {
        Mass::from_grams(exact::product("a mass", self.grams, factor)?)
    }

    /// What a scale of this `division` shows: the nearest multiple, half away from zero. A zero division changes
    /// nothing.
    pub fn on_scale(self, division: Mass) -> Mass {
        Mass { grams: exact::nearest_multiple(self.grams, division.grams).unwrap_or(self.grams) }
    }

    /// The mass as text in `unit`, with at most `places` decimals (half away from zero), trailing zeros dropped.
    pub fn show(self, unit: MassUnit, places: u32, notation: Notation) -> String {
        format!("{} {}", notation.show(rounded(self.in_unit(unit), places)), unit.symbol())
    }

    /// The mass as text in the handier unit of `unit`'s system: kg from 1 kg, else g; lb from 1 lb, else oz; other troy
    /// units and grains as they are. At most 3 decimals, 1 for g and oz; but a non-zero mass never shows as 0: it then
    /// has as many decimals as its first digit needs.
    pub fn show_friendly(self, unit: MassUnit, notation: Notation) -> String {
        let unit = self.handy_unit(unit);
        let most = if matches!(unit, MassUnit::Gram | MassUnit::Ounce) { 1 } else { 3 };
        let places = (most..=Decimal::MAX_SCALE).find(|places| !self.in_unit(unit).trunc_with_scale(*places).is_zero());
        self.show(unit, places.unwrap_or(most), notation)
    }

    /// An expected mass as text: as [`Mass::show_friendly`], but to three significant digits. Never for a weighed or a
    /// paid weight.
    pub fn show_rough(self, unit: MassUnit, notation: Notation) -> String {
        let unit = self.handy_unit(unit);
        let value = self.in_unit(unit).round_sf(3).unwrap_or_default().normalize();
        format!("{} {}", notation.show(value), unit.symbol())
    }

    /// The handier unit of `unit`'s system.
    fn handy_unit(self, unit: MassUnit) -> MassUnit {
        use MassUnit::{Grain, Gram, Kilogram, Ounce, Pennyweight, Pound, Tonne, TroyOunce};
        let (large, small) = match unit {
            Gram | Kilogram | Tonne => (Kilogram, Gram),
            TroyOunce | Pennyweight | Grain => (unit, unit),
            _ => (Pound, Ounce),
        };
        if self.grams.abs() < large.grams() { small } else { large }
    }

    /// The sum of many.
    ///
    /// # Errors
    /// As [`Mass::of`].
    pub fn sum(masses: impl IntoIterator<Item = Mass>) -> Result<Mass, QuantityError> {
        masses.into_iter().try_fold(Mass::ZERO, Mass::plus)
    }
}

impl FromStr for Mass {
    type Err = ReadError;

    /// Reads a signed number with a decimal point and any unit: `1632.93 g`, `-0.5 lb`.
    fn from_str(text: &str) -> Result<Self, ReadError> {
        let text = text.trim();
        let Some(unit_at) = text.find(char::is_alphabetic) else {
            return Err(ReadError::Missing { seen: quoted(text), missing: "unit", example: "1632.93 g" });
        };
        let (number, unit) = text.split_at(unit_at);
        Ok(Mass::of(Notation::Point.read_signed(number)?, unit.parse()?)?)
    }
}

impl fmt::Display for Mass {
    /// Exact grams: `1632.93 g`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} g", self.grams)
    }
}

fn rounded(value: Decimal, places: u32) -> Decimal {
    value.round_dp_with_strategy(places, RoundingStrategy::MidpointAwayFromZero).normalize()
}
