//! The units of mass that a bench and a yard use.

super::serde_text::serde_as_text!(MassUnit);

#[cfg(test)]
mod tests;

use std::fmt;
use std::str::FromStr;

use rust_decimal::Decimal;
use thiserror::Error;

use super::quoted::quoted;

/// A unit of mass. Every one is defined by an exact number of grams.
///
/// The avoirdupois and troy definitions are based on the international pound, 0.453 592 37 kg exactly (NIST SP 811,
/// App. B; relations in NIST Handbook 44, App. C).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum MassUnit {
    /// Gram.
    Gram,
    /// Kilogram, 1000 g.
    Kilogram,
    /// Tonne, 1000 kg.
    Tonne,
    /// Avoirdupois pound, 453.592 37 g.
    Pound,
    /// Avoirdupois ounce, 1/16 lb.
    Ounce,
    /// Troy ounce, 480 grains.
    TroyOunce,
    /// Pennyweight, 24 grains.
    Pennyweight,
    /// Grain, 1/7000 lb.
    Grain,
    /// Stone, 14 lb.
    Stone,
    /// Short ton, 2000 lb.
    ShortTon,
    /// Long ton, 2240 lb.
    LongTon,
}

/// One row of the unit table: symbol, exact grams (mantissa and scale), accepted spellings.
struct UnitRow {
    unit: MassUnit,
    symbol: &'static str,
    grams: (i64, u32),
    spellings: &'static [&'static str],
}

const UNITS: [UnitRow; 11] = [
    UnitRow {
        unit: MassUnit::Gram,
        symbol: "g",
        grams: (1, 0),
        spellings: &["g", "gm", "gms", "gram", "grams", "gramme", "grammes"],
    },
    UnitRow {
        unit: MassUnit::Kilogram,
        symbol: "kg",
        grams: (1000, 0),
        spellings: &["kg", "kgs", "kilo", "kilos", "kilogram", "kilograms", "kilogramme", "kilogrammes"],
    },
    UnitRow {
        unit: MassUnit::Tonne,
        symbol: "t",
        grams: (1_000_000, 0),
        spellings: &["t", "tonne", "tonnes", "metric ton", "metric tons"],
    },
    UnitRow {
        unit: MassUnit::Pound,
        symbol: "lb",
        grams: (45_359_237, 5),
        spellings: &["lb", "lbs", "pound", "pounds"],
    },
    UnitRow { unit: MassUnit::Ounce, symbol: "oz", grams: (28_349_523_125, 9), spellings: &["oz", "ounce", "ounces"] },
    UnitRow {
        unit: MassUnit::TroyOunce,
        symbol: "ozt",
        grams: (311_034_768, 7),
        spellings: &["ozt", "oz t", "troy oz", "troy ounce", "troy ounces"],
    },
    UnitRow {
        unit: MassUnit::Pennyweight,
        symbol: "dwt",
        grams: (155_517_384, 8),
        spellings: &["dwt", "pennyweight", "pennyweights"],
    },
    UnitRow { unit: MassUnit::Grain, symbol: "gr", grams: (6_479_891, 8), spellings: &["gr", "grain", "grains"] },
    UnitRow { unit: MassUnit::Stone, symbol: "st", grams: (635_029_318, 5), spellings: &["st", "stone", "stones"] },
    UnitRow {
        unit: MassUnit::ShortTon,
        symbol: "short ton",
        grams: (90_718_474, 2),
        spellings: &["short ton", "short tons", "tn"],
    },
    UnitRow {
        unit: MassUnit::LongTon,
        symbol: "long ton",
        grams: (10_160_469_088, 4),
        spellings: &["long ton", "long tons", "lt"],
    },
];

const TON: &str = "a tonne (1000 kg), a short ton (2000 lb) or a long ton (2240 lb); write t, short ton or long ton";
const HUNDREDWEIGHT: &str = "100 lb (short) or 112 lb (long); write the weight in lb";

/// The longest text, in bytes, compared with the known spellings.
const LONGEST_NAME: usize = 40;

/// Why a unit name was rejected.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum UnitError {
    /// A name that means different things in different places.
    #[error("`{name}` can mean {readings}")]
    Ambiguous {
        /// The name as typed.
        name: String,
        /// What it can mean, and what to write instead.
        readings: &'static str,
    },
    /// An unknown unit; `nearest` is a similar known one.
    #[error("`{name}` is not a unit of mass{}", hint(.nearest))]
    Unknown {
        /// The name as typed.
        name: String,
        /// The closest known symbol, if any is close.
        nearest: Option<&'static str>,
    },
}

fn hint(nearest: &Option<&'static str>) -> String {
    match nearest {
        Some(unit) => format!("; did you mean `{unit}`?"),
        None => "; known are g, kg, t, lb, oz, ozt (troy), dwt, gr (grain), st, short ton, long ton".into(),
    }
}

impl MassUnit {
    fn row(self) -> &'static UnitRow {
        &UNITS[self as usize]
    }

    /// The exact number of grams in one of this unit.
    pub fn grams(self) -> Decimal {
        let (mantissa, scale) = self.row().grams;
        Decimal::new(mantissa, scale)
    }

    /// The symbol shown on screen and written to files.
    pub fn symbol(self) -> &'static str {
        self.row().symbol
    }
}

impl FromStr for MassUnit {
    type Err = UnitError;

    /// Reads a unit name in any case, with inner spaces folded. `ton` and `cwt` alone are rejected: they differ by
    /// country.
    fn from_str(text: &str) -> Result<Self, UnitError> {
        // A symbol as shown and written to files is by far the most frequent input, and needs no folding.
        if let Some(row) = UNITS.iter().find(|row| row.symbol == text) {
            return Ok(row.unit);
        }
        let name = text.split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase();
        let ambiguous = |readings| Err(UnitError::Ambiguous { name: quoted(text.trim()), readings });
        match name.as_str() {
            "ton" | "tons" => return ambiguous(TON),
            "cwt" | "hundredweight" => return ambiguous(HUNDREDWEIGHT),
            _ => {}
        }
        if let Some(row) = UNITS.iter().find(|row| row.spellings.contains(&name.as_str())) {
            return Ok(row.unit);
        }
        let nearest = if name.len() <= LONGEST_NAME { nearest_spelling(&name) } else { None };
        Err(UnitError::Unknown { name: quoted(text.trim()), nearest })
    }
}

/// The spelling that `name` was probably meant to be: at most two slips away, and no more than one per two letters;
/// among those the nearest, with a differing first letter counting as one more slip.
fn nearest_spelling(name: &str) -> Option<&'static str> {
    UNITS
        .iter()
        .flat_map(|row| row.spellings)
        .map(|spelling| (strsim::damerau_levenshtein(spelling, name), *spelling))
        .filter(|(slips, spelling)| *slips <= 2 && slips * 2 <= spelling.len().max(name.len()))
        .min_by_key(|(slips, spelling)| {
            let other_start = spelling.chars().next() != name.chars().next();
            (slips + usize::from(other_start), other_start, *spelling)
        })
        .map(|(_, spelling)| spelling)
}

impl fmt::Display for MassUnit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.symbol())
    }
}
