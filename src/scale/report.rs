//! Data reports of USB scales: USB-IF, *HID Point of Sale Usage Tables* 1.02 (2001), weighing devices, usage page 0x8D.
//!
//! The scale data report is number 3: status, unit, scaling, weight. Status counts from 1 in the order of usages 0x71
//! to 0x78, units in that of 0x51 to 0x5C; scaling is a signed power of ten; the weight is unsigned, lowest byte first.
//! Usages and their order were read in public copies of the tables; that the usual devices number the report 3 and use
//! two bytes for the weight comes from public programs that read them, and from their recorded reports.

use rust_decimal::Decimal;
use rust_decimal::prelude::One;

use super::{ScaleAmount, Sight, State};
use crate::quantity::MassUnit;

/// Length of a data report with its number, in bytes: no more is read of a report.
pub(super) const LENGTH: usize = 6;

/// The number of the data report, and that of the report that holds the status alone.
const DATA: u8 = 3;
const STATUS: u8 = 4;

/// The meaning of a report; `None` if it says nothing about the weight. A report without its number is one byte
/// shorter.
pub(super) fn sight(report: &[u8]) -> Option<Sight> {
    match *report {
        [DATA, status, unit, scaling, low, high] | [status, unit, scaling, low, high] => {
            weight(status, unit, scaling.cast_signed(), u16::from_le_bytes([low, high]))
        }
        [STATUS, status, ..] => Some(Sight::bare(state(status)?)).filter(|sight| sight.state != State::Stable),
        _ => None,
    }
}

fn state(status: u8) -> Option<State> {
    match status {
        1 => Some(State::Fault),
        // Stable at the centre of zero, and stable.
        2 | 4 => Some(State::Stable),
        3 => Some(State::Moving),
        5 => Some(State::Under),
        6 => Some(State::Over),
        // Wants calibration, or zeroing.
        7 | 8 => Some(State::Fault),
        _ => None,
    }
}

fn weight(status: u8, unit: u8, scaling: i8, weight: u16) -> Option<Sight> {
    let state = state(status)?;
    if matches!(state, State::Over | State::Under | State::Fault) {
        return Some(Sight::bare(state));
    }
    let (unit, factor) = match unit {
        1 => (MassUnit::Gram, Decimal::new(1, 3)),
        2 => (MassUnit::Gram, Decimal::ONE),
        3 => (MassUnit::Kilogram, Decimal::ONE),
        // A metric carat is 0.2 g (NIST SP 811).
        4 => (MassUnit::Gram, Decimal::new(2, 1)),
        6 => (MassUnit::Grain, Decimal::ONE),
        7 => (MassUnit::Pennyweight, Decimal::ONE),
        8 => (MassUnit::Tonne, Decimal::ONE),
        10 => (MassUnit::TroyOunce, Decimal::ONE),
        11 => (MassUnit::Ounce, Decimal::ONE),
        12 => (MassUnit::Pound, Decimal::ONE),
        // Taels differ from place to place, and so do tons under the name of 0x59.
        _ => return Some(Sight::bare(State::Fault)),
    };
    let number = match scaling {
        0..=9 => Decimal::from(i64::from(weight) * 10_i64.pow(scaling.unsigned_abs().into())),
        -9..0 => Decimal::new(weight.into(), scaling.unsigned_abs().into()),
        _ => return None,
    };
    Some(Sight {
        state,
        amount: Some(ScaleAmount { value: if factor.is_one() { number } else { number * factor }, unit }),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shown(report: &[u8]) -> Option<String> {
        sight(report).map(|sight| match sight.amount {
            Some(amount) => format!("{:?} {} {}", sight.state, amount.value, amount.unit),
            None => format!("{:?}", sight.state),
        })
    }

    #[test]
    fn published_reports() {
        // 20 g; and 40 lb 5.2 oz as 645.2 oz: examples of a public page on the layout, with a status put in.
        assert_eq!(shown(&[3, 4, 0x02, 0x00, 0x14, 0x00]).as_deref(), Some("Stable 20 g"));
        assert_eq!(shown(&[3, 4, 0x0B, 0xFF, 0x34, 0x19]).as_deref(), Some("Stable 645.2 oz"));
        assert_eq!(shown(&[4, 0x02, 0x00, 0x90, 0x00]).as_deref(), Some("Stable 144 g"));
        assert_eq!(shown(&[3, 3, 0x03, 0xFD, 0x10, 0x0E]).as_deref(), Some("Moving 3.600 kg"));
        assert_eq!(shown(&[3, 2, 0x0C, 0xFE, 0, 0]).as_deref(), Some("Stable 0.00 lb"));
        for (status, state) in [(1, "Fault"), (5, "Under"), (6, "Over"), (7, "Fault"), (8, "Fault")] {
            assert_eq!(shown(&[3, status, 2, 0, 9, 9]).as_deref(), Some(state));
        }
    }

    #[test]
    fn no_report_does_harm() {
        for status in 0..=255 {
            for unit in 0..=255 {
                for scaling in [0, 1, 127, 128, 200, 255] {
                    let _any = sight(&[3, status, unit, scaling, 255, 255]);
                }
            }
        }
        for length in 0..12 {
            let _any = sight(&vec![3; length]);
        }
        assert_eq!(shown(&[1, 0x2A, 2]), None);
        assert_eq!(shown(&[3, 9, 2, 0, 1, 0]), None);
        assert_eq!(shown(&[3, 4, 5, 0, 1, 0]).as_deref(), Some("Fault"), "taels are not guessed");
    }
}
