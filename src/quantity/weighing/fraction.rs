//! Fractions such as `1/2` and `8 1/2`, accepted if their decimal form is finite.

use rust_decimal::{Decimal, RoundingStrategy};

use super::super::exact;
use super::super::notation::Notation;
use super::super::quoted::quoted;
use super::fault::WeighingFault;

/// A proper fraction, and where it ends in the answer.
pub(super) struct TypedFraction {
    pub numerator: u16,
    pub denominator: u16,
    pub end: usize,
}

impl TypedFraction {
    /// `whole` and this fraction, exactly, with one part of the (reduced) denominator as the step.
    pub fn exact(&self, whole: Decimal, seen: &str, notation: Notation) -> Result<(Decimal, Decimal), WeighingFault> {
        let divisor = gcd(self.numerator, self.denominator);
        let (numerator, denominator) = (self.numerator / divisor, self.denominator / divisor);
        let part = Decimal::from(numerator) / Decimal::from(denominator);
        if without_factor(without_factor(denominator, 2), 5) != 1 {
            let near = part.round_dp_with_strategy(3, RoundingStrategy::MidpointAwayFromZero);
            let near = exact::sum("a number", whole, near)?;
            return Err(WeighingFault::EndlessFraction { seen: quoted(seen), near: notation.show(near) });
        }
        // Both quotients are exact: a denominator below 2¹⁶ needs at most 15 decimals.
        Ok((exact::sum("a number", whole, part)?, Decimal::ONE / Decimal::from(denominator)))
    }
}

fn gcd(a: u16, b: u16) -> u16 {
    if b == 0 { a } else { gcd(b, a % b) }
}

fn without_factor(mut number: u16, factor: u16) -> u16 {
    while number != 0 && number.is_multiple_of(factor) {
        number /= factor;
    }
    number
}
