//! The tolerance of a scale reading.
//!
//! Source: NIST Handbook 44, section 2.20 Scales, Table 6, maintenance tolerances, in scale divisions by the load in
//! divisions. The values for class III were read in a scale test form that cites the table; those for class III L, and
//! which scale is of which class, are *from memory*. The in-service tolerances of OIML R 76 class III are the same,
//! except for loads above 4000 divisions, where they are stricter.

use rust_decimal::Decimal;

use crate::quantity::{Mass, MassUnit};

/// The class of a scale.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ScaleClass {
    /// Class III: bench and floor scales for trade.
    Three,
    /// Class III L: vehicle and axle-load scales.
    ThreeLong,
}

impl ScaleClass {
    /// The class assumed for a scale of this division: a vehicle scale from 5 lb on (*from memory*).
    pub fn of_division(division: Mass) -> ScaleClass {
        if division.grams() >= Decimal::from(5) * MassUnit::Pound.grams() {
            ScaleClass::ThreeLong
        } else {
            ScaleClass::Three
        }
    }

    /// The maintenance tolerance in divisions, for a load in divisions.
    fn divisions(self, load: Decimal) -> Decimal {
        let steps: [(i64, i64); 3] = match self {
            ScaleClass::Three => [(500, 1), (2000, 2), (4000, 3)],
            ScaleClass::ThreeLong => [(500, 1), (1000, 2), (1000, 2)],
        };
        if let Some((_, tolerance)) = steps.iter().find(|(most, _)| load <= Decimal::from(*most)) {
            return Decimal::from(*tolerance);
        }
        match self {
            ScaleClass::Three => Decimal::from(5),
            // One more for each further 500 divisions or part of them.
            ScaleClass::ThreeLong => {
                let beyond = load.saturating_sub(Decimal::from(1000)) / Decimal::from(500);
                Decimal::TWO.saturating_add(beyond.ceil())
            }
        }
    }
}

/// The tolerance, plus or minus, of a scale of this division at this load. Zero for a division of zero, which stands
/// for an unknown scale.
pub fn tolerance(load: Mass, division: Mass) -> Mass {
    let Some(divisions) = load.grams().abs().checked_div(division.grams()) else { return Mass::ZERO };
    let tolerance = ScaleClass::of_division(division).divisions(divisions);
    // No scale has so many divisions that the product exceeds a million tonnes.
    division.times(tolerance).unwrap_or(Mass::ZERO)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lb(text: &str) -> Mass {
        Mass::of(text.parse().unwrap(), MassUnit::Pound).unwrap()
    }

    /// Worked examples derived from Handbook 44, Table 6: division, load, tolerance, in pounds.
    #[test]
    fn worked_examples() {
        let rows = include_str!("../../tests/reference/hb44_worked_examples.csv").lines().skip(1);
        let mut count = 0;
        for row in rows {
            let cells: Vec<&str> = row.split(',').collect();
            let (division, load, wanted) = (lb(cells[1]), lb(cells[2]), lb(cells[5]));
            assert_eq!(tolerance(load, division), wanted, "{row}");
            let class = if cells[0] == "III" { ScaleClass::Three } else { ScaleClass::ThreeLong };
            assert_eq!(ScaleClass::of_division(division), class, "{row}");
            count += 1;
        }
        assert_eq!(count, 24);
    }

    #[test]
    fn nothing_is_known_of_a_scale_without_a_division() {
        assert_eq!(tolerance(lb("100"), Mass::ZERO), Mass::ZERO);
        assert_eq!(tolerance(Mass::ZERO, lb("1")), lb("1"));
    }
}
