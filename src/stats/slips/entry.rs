//! A weight as it was typed.

use std::fmt;

use super::super::uncertain::Uncertain;

/// A unit in which a weight may be typed, or with which it may be confused.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unit {
    /// Gram.
    Gram,
    /// Kilogram.
    Kilogram,
    /// Avoirdupois ounce.
    Ounce,
    /// Avoirdupois pound.
    Pound,
}

impl Unit {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::Gram, Self::Kilogram, Self::Ounce, Self::Pound];

    /// Its mass in grams: 1 lb = 453.59237 g exactly, 16 oz to the pound (NIST Handbook 44, appendix C; from memory).
    #[must_use]
    pub fn grams(self) -> f64 {
        match self {
            Self::Gram => 1.0,
            Self::Kilogram => 1000.0,
            Self::Ounce => 453.592_37 / 16.0,
            Self::Pound => 453.592_37,
        }
    }

    /// Its plural, for sentences.
    #[must_use]
    pub fn plural(self) -> &'static str {
        match self {
            Self::Gram => "grams",
            Self::Kilogram => "kilograms",
            Self::Ounce => "ounces",
            Self::Pound => "pounds",
        }
    }
}

/// An entered weight, in grams, and how it was typed, if known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TypedWeight {
    reading: Uncertain,
    typed: Option<(Unit, u32)>,
}

impl TypedWeight {
    /// A weight of which only the mass is known. Its digits are then those of grams.
    #[must_use]
    pub fn new(reading: Uncertain) -> Self {
        Self { reading, typed: None }
    }

    /// The same weight, typed in `unit` with so many `decimals` (more than nine count as nine).
    #[must_use]
    pub fn typed(self, unit: Unit, decimals: u32) -> Self {
        Self { typed: Some((unit, decimals.min(9))), ..self }
    }

    /// Mass and sd in grams.
    #[must_use]
    pub fn reading(&self) -> Uncertain {
        self.reading
    }

    /// The unit that it was typed in, if known.
    #[must_use]
    pub fn unit(&self) -> Option<Unit> {
        self.typed.map(|(unit, _)| unit)
    }

    /// The mass of one step in the last typed digit, in grams.
    pub(super) fn step(&self) -> f64 {
        let (unit, decimals) = self.typing();
        unit.grams() / 10_f64.powi(decimals as i32)
    }

    /// Unit and decimals as typed, or else grams with as many decimals (up to three) as the mass has.
    fn typing(&self) -> (Unit, u32) {
        let whole = |decimals: &u32| {
            let count = self.reading.value() * 10_f64.powi(*decimals as i32);
            (count - count.round()).abs() < 1e-6
        };
        self.typed.unwrap_or_else(|| (Unit::Gram, (0..3).find(whole).unwrap_or(3)))
    }

    /// The masses from swapping two typed digits back, each with whether the digits are adjacent.
    ///
    /// A number with decimals has a digit before the point, if only a 0; one without does not begin with a 0.
    pub(super) fn swaps(&self) -> Vec<(f64, bool)> {
        let count = (self.reading.value() / self.step()).round();
        if !(1.0..1e12).contains(&count) {
            return Vec::new();
        }
        let decimals = self.typing().1 as usize;
        let digits = format!("{count:0width$}", width = decimals + 1).into_bytes();
        let mut swaps = Vec::new();
        for i in 0..digits.len() {
            for j in i + 1..digits.len() {
                let mut other = digits.clone();
                other.swap(i, j);
                let begins_with_zero = decimals == 0 && other[0] == b'0';
                if digits[i] != digits[j] && !begins_with_zero {
                    swaps.push((number(&other) * self.step(), j == i + 1));
                }
            }
        }
        swaps
    }
}

/// The number that decimal digits stand for.
fn number(digits: &[u8]) -> f64 {
    let shift = |n: f64, d: &u8| n * 10.0 + f64::from(d - b'0');
    digits.iter().fold(0.0, shift)
}

/// A mass in grams as a sentence shows it.
pub(super) struct Grams(pub(super) f64);

impl fmt::Display for Grams {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let decimals = usize::from(self.0.abs() < 100.0 && self.0.fract() != 0.0);
        write!(f, "{:.decimals$} g", self.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn grams(mass: f64) -> TypedWeight {
        TypedWeight::new(Uncertain::new(mass, 1.0).unwrap())
    }

    #[test]
    fn swaps_of_whole_grams() {
        let swaps = grams(120.0).swaps();
        assert_eq!(swaps, [(210.0, true), (102.0, true)]);
        assert!(grams(77.0).swaps().is_empty());
        assert!(grams(0.0).swaps().is_empty());
        assert!(grams(-5.0).swaps().is_empty());
        assert!(grams(1e300).swaps().is_empty());
    }

    #[test]
    fn swaps_of_kilograms_reach_over_the_point() {
        let swaps = grams(127.0).typed(Unit::Kilogram, 3).swaps();
        assert!(swaps.iter().any(|s| (s.0 - 1027.0).abs() < 1e-9 && s.1));
        assert!(swaps.iter().any(|s| (s.0 - 217.0).abs() < 1e-9 && s.1));
        assert_eq!(swaps.len(), 6);
    }

    #[test]
    fn swaps_of_pounds_are_swaps_of_what_was_typed() {
        let typed = 10.43 * Unit::Pound.grams();
        let swaps = grams(typed).typed(Unit::Pound, 2).swaps();
        let meant = 10.34 * Unit::Pound.grams();
        assert!(swaps.iter().any(|s| (s.0 - meant).abs() < 1e-6 && s.1));
    }
}
