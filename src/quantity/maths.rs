//! Roots, logarithms and powers of exact decimals, to a stated precision.
//!
//! A decimal holds 28 digits, so no root or logarithm is exact. These are accurate to one part in 10²⁰ for arguments
//! and results from 10⁻⁶ to 10¹²; closer to zero, the remaining of the 28 decimal places limit the accuracy. The
//! decimal crate's own arithmetic stops its series for powers of e at 2 · 10⁻⁷, which is too coarse for a table of
//! wires.

use rust_decimal::{Decimal, MathematicalOps};

/// ln 2, to as many digits as a decimal holds.
const LN_2: Decimal = Decimal::from_parts(2_860_148_159, 2_180_329_217, 375_755_839, false, 28);

/// π, to 28 digits.
pub const PI: Decimal = Decimal::PI;

/// Number of terms after which no series here changes any more.
const MOST_TERMS: u32 = 60;

/// The square root; `None` below zero.
#[must_use]
pub fn sqrt(x: Decimal) -> Option<Decimal> {
    x.sqrt().map(|root| root.normalize())
}

/// The natural logarithm; `None` for zero and below.
#[must_use]
pub fn ln(x: Decimal) -> Option<Decimal> {
    if x <= Decimal::ZERO {
        return None;
    }
    let (low, high) = (Decimal::new(75, 2), Decimal::new(15, 1));
    let (mut near_one, mut halvings) = (x, 0_i64);
    // The power of two is exact, so that x is divided once rather than repeatedly.
    let mut power = Decimal::ONE;
    while near_one > high {
        power = power.checked_mul(Decimal::TWO)?;
        halvings += 1;
        near_one = x.checked_div(power)?;
    }
    while near_one < low {
        power = power.checked_mul(Decimal::TWO)?;
        halvings -= 1;
        near_one = x.checked_mul(power)?;
    }
    // ln y = 2 artanh((y - 1) / (y + 1)): the ratio is at most 1/5.
    let ratio = (near_one - Decimal::ONE).checked_div(near_one + Decimal::ONE)?;
    let square = ratio.checked_mul(ratio)?;
    let (mut sum, mut odd_power) = (Decimal::ZERO, ratio);
    for term in 0..MOST_TERMS {
        let part = odd_power.checked_div(Decimal::from(2 * term + 1))?;
        if part.is_zero() {
            break;
        }
        sum += part;
        odd_power = odd_power.checked_mul(square)?;
    }
    (Decimal::TWO * sum).checked_add(LN_2.checked_mul(Decimal::from(halvings))?).map(|sum| sum.normalize())
}

/// e to the power of x; `None` if the result is not representable.
#[must_use]
pub fn exp(x: Decimal) -> Option<Decimal> {
    if x.abs() > Decimal::from(66) {
        return None;
    }
    let whole = x.round();
    let rest = x - whole;
    let (mut sum, mut part) = (Decimal::ONE, Decimal::ONE);
    for term in 1..MOST_TERMS {
        part = part.checked_mul(rest)?.checked_div(Decimal::from(term))?;
        if part.is_zero() {
            break;
        }
        sum += part;
    }
    let steps: i64 = whole.try_into().ok()?;
    let powers = whole_power(Decimal::E, steps.unsigned_abs())?;
    let result = if steps < 0 { sum.checked_div(powers) } else { sum.checked_mul(powers) };
    result.map(|result| result.normalize())
}

/// x to the power of y: by multiplication for an integer y, else by logarithm. `None` if it has no representable value.
#[must_use]
pub fn pow(x: Decimal, y: Decimal) -> Option<Decimal> {
    if y.fract().is_zero() && y.abs() <= Decimal::from(1000) {
        let steps: i64 = y.normalize().try_into().ok()?;
        let power = whole_power(x, steps.unsigned_abs())?;
        let result = if steps < 0 { Decimal::ONE.checked_div(power) } else { Some(power) };
        return result.map(|result| result.normalize());
    }
    if x.is_zero() && y > Decimal::ZERO {
        return Some(Decimal::ZERO);
    }
    exp(ln(x)?.checked_mul(y)?)
}

fn whole_power(x: Decimal, mut steps: u64) -> Option<Decimal> {
    let (mut result, mut square) = (Decimal::ONE, x);
    while steps > 0 {
        if steps % 2 == 1 {
            result = result.checked_mul(square)?;
        }
        steps /= 2;
        if steps > 0 {
            square = square.checked_mul(square)?;
        }
    }
    Some(result)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(found: Option<Decimal>, wanted: &str) {
        let (found, wanted) = (found.unwrap(), wanted.parse::<Decimal>().unwrap());
        let gap = ((found - wanted) / wanted).abs();
        assert!(gap <= Decimal::new(1, 20), "{found} is not {wanted}");
    }

    /// The constants' digits are those of the NIST Digital Library of Mathematical Functions (from memory); the others
    /// were computed to 40 digits with an arbitrary-precision calculator.
    #[test]
    fn known_values() {
        close(ln(Decimal::TWO), "0.6931471805599453094172321214");
        close(ln(Decimal::TEN), "2.3025850929940456840179914546");
        close(ln(Decimal::new(1, 6)), "-13.81551055796427410410794873");
        close(exp(Decimal::ONE), "2.7182818284590452353602874713");
        close(exp(Decimal::new(-5, 1)), "0.6065306597126334236037995349");
        close(sqrt(Decimal::TWO), "1.4142135623730950488016887242");
        close(exp(Decimal::new(265, 1)), "322703570371.1548307849194555");
        assert_eq!(pow(Decimal::TWO, Decimal::from(10)), Some(Decimal::from(1024)));
        assert_eq!(pow(Decimal::TWO, Decimal::from(-2)), Some(Decimal::new(25, 2)));
    }

    #[test]
    fn what_one_undoes_the_other_did() {
        for text in ["0.000001", "0.02", "0.75", "1", "1.5", "34", "2800", "123456789"] {
            let x: Decimal = text.parse().unwrap();
            close(exp(ln(x).unwrap()), text);
            close(pow(sqrt(x).unwrap(), Decimal::TWO), text);
            close(pow(pow(x, Decimal::new(5, 1)).unwrap(), Decimal::TWO), text);
        }
    }

    #[test]
    fn what_has_no_value_gives_none() {
        assert_eq!(ln(Decimal::ZERO), None);
        assert_eq!(ln(-Decimal::ONE), None);
        assert_eq!(sqrt(-Decimal::ONE), None);
        assert_eq!(exp(Decimal::from(67)), None);
        assert_eq!(pow(Decimal::ZERO, -Decimal::ONE), None);
        assert_eq!(pow(-Decimal::TWO, Decimal::new(5, 1)), None);
        assert_eq!(pow(Decimal::MAX, Decimal::TWO), None);
        for x in [Decimal::MAX, Decimal::new(1, 28)] {
            let _kept = (ln(x), exp(x), sqrt(x), pow(x, Decimal::new(7, 1)));
        }
    }
}
