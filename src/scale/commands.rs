//! The standard interface command set of laboratory scales.
//!
//! Commands are upper-case words ended by carriage return and line feed. Read in published operating instructions of
//! several makers that implement it (the pages on data interchange): `S` the weight once stable, `SI` the weight at
//! once, `Z` zero, `T` tare; a weight comes back as `S S 100.00 g` (stable) or `S D 100.00 g` (dynamic), `S I` means
//! that the scale cannot do it now, `S +` overload, `S -` below its range; `Z A` that it was zeroed. *From memory*, not
//! read: that `T` answers `T S` with the tare weight, and that `ES`, `ET` and `EL` mean that a command was not
//! understood.
//! a command was not understood.

use rust_decimal::Decimal;

use super::{ScaleAmount, Sight, State};

/// Requests the weight at once, stable or not.
pub(super) const WEIGHT: &str = "SI\r\n";
/// Zeroes the scale.
pub(super) const ZERO: &str = "Z\r\n";
/// Tares the scale.
pub(super) const TARE: &str = "T\r\n";

/// The meaning of a line from the scale; `None` if it says nothing about the weight.
pub(super) fn sight(line: &str) -> Option<Sight> {
    let mut words = line.split_whitespace();
    let command = words.next()?;
    if matches!(command, "ES" | "ET" | "EL") {
        return Some(Sight::bare(State::Fault));
    }
    let status = words.next()?;
    if !matches!(command, "S" | "SI") {
        return match (command, status) {
            ("Z", "A") | ("T", "S" | "A") => Some(Sight::bare(State::Done)),
            ("Z" | "T", "I") => Some(Sight::bare(State::Busy)),
            ("Z" | "T", "+") => Some(Sight::bare(State::Over)),
            ("Z" | "T", "-") => Some(Sight::bare(State::Under)),
            _ => None,
        };
    }
    let state = match status {
        "S" => State::Stable,
        "D" => State::Moving,
        "I" => return Some(Sight::bare(State::Busy)),
        "+" => return Some(Sight::bare(State::Over)),
        "-" => return Some(Sight::bare(State::Under)),
        _ => return None,
    };
    // Some makers put blanks between sign and digits.
    let rest: Vec<&str> = words.collect();
    let (unit, number) = rest.split_last()?;
    let value: Decimal = number.concat().trim_start_matches('+').parse().ok()?;
    let unit = unit.parse().ok()?;
    Some(Sight { state, amount: Some(ScaleAmount { value, unit }) })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::MassUnit;

    #[test]
    fn published_replies() {
        let weight = |state, value: &str, unit| {
            Some(Sight { state, amount: Some(ScaleAmount { value: value.parse().unwrap(), unit }) })
        };
        assert_eq!(sight("S S     100.00 g"), weight(State::Stable, "100.00", MassUnit::Gram));
        assert_eq!(sight("S S      129.09 kg"), weight(State::Stable, "129.09", MassUnit::Kilogram));
        assert_eq!(sight("S D      114.87 kg"), weight(State::Moving, "114.87", MassUnit::Kilogram));
        assert_eq!(sight("S S    -      8.5 g"), weight(State::Stable, "-8.5", MassUnit::Gram));
        let states = [
            ("S I", State::Busy),
            ("S +", State::Over),
            ("S -", State::Under),
            ("ES", State::Fault),
            ("Z A", State::Done),
            ("T S 1.100 kg", State::Done),
            ("T I", State::Busy),
            ("Z +", State::Over),
        ];
        for (line, state) in states {
            assert_eq!(sight(line), Some(Sight::bare(state)), "{line}");
        }
        for line in ["I4 A \"12345678\"", "", "S", "S S", "S S g", "S S x g", "S S 1 quux", "hello there"] {
            assert_eq!(sight(line), None, "{line:?}");
        }
    }
}
