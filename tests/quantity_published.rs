//! Quantities against published facts, each with its source.

#![allow(clippy::unwrap_used, clippy::new_without_default, reason = "a test may fail by panicking")]

use knockdown::quantity::{Basis, Currency, Mass, MassUnit, Money, Price};
use rust_decimal::Decimal;

fn d(text: &str) -> Decimal {
    text.parse().expect("a decimal")
}

/// Grams in one unit, exactly. Source: definitions file of GNU units 2.22 (read), whose avoirdupois and troy values
/// rest on the international pound of 0.453 592 37 kg; kilogram and tonne by the SI.
pub const GRAMS: [(MassUnit, &str); 11] = [
    (MassUnit::Gram, "1"),
    (MassUnit::Kilogram, "1000"),
    (MassUnit::Tonne, "1000000"),
    (MassUnit::Pound, "453.59237"),
    (MassUnit::Ounce, "28.349523125"),
    (MassUnit::TroyOunce, "31.1034768"),
    (MassUnit::Pennyweight, "1.55517384"),
    (MassUnit::Grain, "0.06479891"),
    (MassUnit::Stone, "6350.29318"),
    (MassUnit::ShortTon, "907184.74"),
    (MassUnit::LongTon, "1016046.9088"),
];

/// How many of the smaller unit make one of the larger. Source: NIST Handbook 44, Appendix C (relations, read in a
/// reprint).
const RELATIONS: [(MassUnit, i64, MassUnit); 10] = [
    (MassUnit::Pound, 16, MassUnit::Ounce),
    (MassUnit::Pound, 7000, MassUnit::Grain),
    (MassUnit::TroyOunce, 480, MassUnit::Grain),
    (MassUnit::TroyOunce, 20, MassUnit::Pennyweight),
    (MassUnit::Pennyweight, 24, MassUnit::Grain),
    (MassUnit::Stone, 14, MassUnit::Pound),
    (MassUnit::ShortTon, 2000, MassUnit::Pound),
    (MassUnit::LongTon, 2240, MassUnit::Pound),
    (MassUnit::Kilogram, 1000, MassUnit::Gram),
    (MassUnit::Tonne, 1000, MassUnit::Kilogram),
];

#[test]
fn every_unit_is_its_published_number_of_grams() {
    // A unit that is added has no place here until the table has it.
    let place = |unit| match unit {
        MassUnit::Gram => 0,
        MassUnit::Kilogram => 1,
        MassUnit::Tonne => 2,
        MassUnit::Pound => 3,
        MassUnit::Ounce => 4,
        MassUnit::TroyOunce => 5,
        MassUnit::Pennyweight => 6,
        MassUnit::Grain => 7,
        MassUnit::Stone => 8,
        MassUnit::ShortTon => 9,
        MassUnit::LongTon => 10,
    };
    for (at, (unit, grams)) in GRAMS.into_iter().enumerate() {
        assert_eq!(place(unit), at, "{unit}");
        assert_eq!(unit.grams(), d(grams), "{unit}");
        assert_eq!(Mass::of(Decimal::ONE, unit).map(Mass::grams), Ok(d(grams)), "{unit}");
    }
}

#[test]
fn units_go_into_one_another_as_published() {
    for (larger, count, smaller) in RELATIONS {
        let one = Mass::of(Decimal::ONE, larger).unwrap();
        assert_eq!(Mass::of(count.into(), smaller), Ok(one), "{larger} in {smaller}");
        assert_eq!(one.in_unit(smaller), Decimal::from(count), "{larger} in {smaller}");
    }
}

#[test]
fn cash_is_rounded_as_canada_asks() {
    // Source: Government of Canada, Budget 2012, text version of the figure "Rounding" (read): amounts ending in 1 and
    // 2 cents go down to the nearest 10, in 3 and 4 up to the nearest 5, in 6 and 7 down to the nearest 5, in 8 and 9
    // up to the nearest 10; 0 and 5 stay. Its example pays 4.92 in cash with 4.90.
    let cad = Currency::from_code("CAD").unwrap();
    let step = d("0.05");
    let paid = [0, 0, 0, 5, 5, 5, 5, 5, 10, 10];
    for dollars in [0, 2, 4, 1999] {
        for (cents, paid) in (0i64..).zip(paid) {
            let total = Money::new(Decimal::new(dollars * 100 + cents, 2), cad).unwrap();
            let want = Money::new(Decimal::new(dollars * 100 + paid, 2), cad).unwrap();
            assert_eq!(total.rounded_to(step), want, "{total}");
            assert_eq!(total.negated().rounded_to(step), want.negated(), "{total} the other way");
        }
    }
    assert_eq!(Money::new(d("4.92"), cad).unwrap().rounded_to(step).to_string(), "4.90 CAD");
}

#[test]
fn minor_units_have_the_digits_of_the_currency_standard() {
    // Source: ISO 4217, list one (from memory).
    for (code, digits) in
        [("CAD", 2), ("USD", 2), ("GBP", 2), ("EUR", 2), ("JPY", 0), ("KRW", 0), ("BHD", 3), ("KWD", 3), ("TND", 3)]
    {
        assert_eq!(Currency::from_code(code).map(Currency::minor_digits), Some(digits), "{code}");
    }
}

#[test]
fn a_lot_is_paid_to_the_cent_that_hand_arithmetic_gives() {
    let price = |text: &str, code: &str, basis| Price::new(d(text), Currency::from_code(code).unwrap(), basis).unwrap();
    let mass = |amount: &str, unit| Mass::of(d(amount), unit).unwrap();
    // 8 lb 2 oz = 8.125 lb; 8.125 × 3.40 = 27.625, a tie, away from zero.
    let lot = mass("8", MassUnit::Pound).plus(mass("2", MassUnit::Ounce)).unwrap();
    assert_eq!(price("3.40", "CAD", Basis::Weight(MassUnit::Pound)).of(lot, 1).unwrap().to_string(), "27.63 CAD");
    // 0.4335 kg × 3 = 1.3005, a tie at the third digit.
    let lot = mass("433.5", MassUnit::Gram);
    assert_eq!(price("3", "KWD", Basis::Weight(MassUnit::Kilogram)).of(lot, 1).unwrap().to_string(), "1.301 KWD");
    // 1.5 kg × 415 = 622.5 yen, a tie at the whole yen.
    let lot = mass("1.5", MassUnit::Kilogram);
    assert_eq!(price("415", "JPY", Basis::Weight(MassUnit::Kilogram)).of(lot, 1).unwrap().to_string(), "623 JPY");
}
