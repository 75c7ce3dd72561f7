//! Formats amounts, weights and counts for pages.

use crate::naming::counted;
use crate::quantity::{Estimate, Mass, MassUnit, Money, Notation};

/// Money with its sign in front, so that gain and loss differ by more than colour.
pub fn signed(money: Money, notation: Notation) -> String {
    let sign = if money.amount().is_sign_negative() { "" } else { "+" };
    format!("{sign}{}", money.show(notation))
}

/// The same without the currency, for tables whose heading names it.
pub fn signed_digits(money: Money, notation: Notation) -> String {
    let sign = if money.amount().is_sign_negative() { "" } else { "+" };
    format!("{sign}{}", money.digits(notation))
}

/// `8.2 lb (6.6 lb to 10.1 lb)` to three digits, or a single value if there is no range.
pub fn range(expected: &Estimate<Mass>, unit: MassUnit, notation: Notation) -> String {
    let show = |mass: Mass| mass.show_rough(unit, notation);
    if expected.low() == expected.high() {
        return show(expected.usual());
    }
    format!("{} ({} to {})", show(expected.usual()), show(expected.low()), show(expected.high()))
}

/// `your 6 sessions`.
pub(super) fn own_sessions(count: usize) -> String {
    format!("your {}", counted(count, "session"))
}
