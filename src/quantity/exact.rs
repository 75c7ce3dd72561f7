//! Arithmetic that is exact or refused. The decimal type itself silently drops digits past 28.

use rust_decimal::Decimal;

use super::limits::QuantityError;

/// The product, if it is exactly representable.
pub(super) fn product(what: &'static str, left: Decimal, right: Decimal) -> Result<Decimal, QuantityError> {
    let (left, right) = (left.normalize(), right.normalize());
    if left.is_zero() || right.is_zero() {
        return Ok(Decimal::ZERO);
    }
    let product = left.checked_mul(right).filter(|product| product.scale() == left.scale() + right.scale());
    product.map(|product| product.normalize()).ok_or(QuantityError::TooFine { what })
}

/// The sum, if it is exactly representable.
pub(super) fn sum(what: &'static str, left: Decimal, right: Decimal) -> Result<Decimal, QuantityError> {
    let (left, right) = (left.normalize(), right.normalize());
    let sum = left.checked_add(right).filter(|sum| sum.is_zero() || sum.scale() == left.scale().max(right.scale()));
    sum.map(|sum| sum.normalize()).ok_or(QuantityError::TooFine { what })
}

/// The multiple of `step` nearest to `value`, half away from zero. Found from the remainder, not the quotient, so that
/// no truncated digit of a quotient can make or break a tie. `None` if `step` is not above zero, or so far below
/// `value` that the arithmetic cannot hold both: then every digit of `value` is far above the step.
pub(super) fn nearest_multiple(value: Decimal, step: Decimal) -> Option<Decimal> {
    if step <= Decimal::ZERO {
        return None;
    }
    let beyond = value.checked_rem(step)?;
    let toward_zero = value.checked_sub(beyond)?;
    let rounded = if beyond.abs() >= step.checked_sub(beyond.abs())? {
        let away = if value.is_sign_negative() { -step } else { step };
        toward_zero.checked_add(away)?
    } else {
        toward_zero
    };
    Some(rounded.normalize())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn d(text: &str) -> Decimal {
        text.parse().unwrap()
    }

    #[test]
    fn a_product_is_exact_or_refused() {
        assert_eq!(product("x", d("0.1"), d("28.349523125")).unwrap(), d("2.8349523125"));
        assert_eq!(product("x", Decimal::ZERO, Decimal::new(1, 28)), Ok(Decimal::ZERO));
        let tiny = Decimal::new(1, 20);
        assert!(product("x", tiny, tiny).is_err(), "1e-40 must not become 0");
        let third = Decimal::ONE / d("3");
        assert!(product("x", third, d("0.7")).is_err());
    }

    #[test]
    fn a_sum_is_exact_or_refused() {
        assert_eq!(sum("x", d("0.1"), d("0.20")).unwrap(), d("0.3"));
        assert_eq!(sum("x", d("-1.5"), d("1.5")).unwrap(), Decimal::ZERO);
        assert_eq!(sum("x", d("0.25"), d("0.75")), Ok(Decimal::ONE));
        assert!(sum("x", d("1000000000000"), Decimal::new(1, 28)).is_err(), "the last digit must not be lost");
    }

    #[test]
    fn the_nearest_multiple_takes_ties_away_from_zero() {
        for (value, step, want) in [
            ("2.02", "0.05", "2.00"),
            ("2.03", "0.05", "2.05"),
            ("2.025", "0.05", "2.05"),
            ("-2.025", "0.05", "-2.05"),
            ("2.0249999999999999999999999", "0.05", "2"),
            ("7", "3", "6"),
            ("8", "3", "9"),
            ("0.4", "1", "0"),
            ("-0.5", "1", "-1"),
        ] {
            assert_eq!(nearest_multiple(d(value), d(step)), Some(d(want)), "{value} to {step}");
        }
        assert_eq!(nearest_multiple(d("1"), d("0")), None);
        assert_eq!(nearest_multiple(d("1"), d("-1")), None);
    }
}
