//! Laws of the quantities, over generated values. Each runs [`CASES`] cases unless it says otherwise.

#![allow(clippy::unwrap_used, clippy::new_without_default, reason = "a test may fail by panicking")]

use crate::quantity_published::GRAMS;
use knockdown::quantity::{
    Basis, Currency, Mass, MassUnit, Minutes, Money, Notation, NumberError, Price, WeighingRules, weigh,
};
use proptest::prelude::*;
use rust_decimal::Decimal;
use rust_decimal::RoundingStrategy::MidpointAwayFromZero;

/// Cases per law.
const CASES: u32 = 2_000;

/// Cases for what must not panic on any text.
const HOSTILE_CASES: u32 = 10_000;

fn notation() -> impl Strategy<Value = Notation> {
    prop_oneof![Just(Notation::Point), Just(Notation::Comma)]
}

fn unit() -> impl Strategy<Value = MassUnit> {
    proptest::sample::select(GRAMS.map(|(unit, _)| unit).to_vec())
}

fn currency() -> impl Strategy<Value = Currency> {
    let codes = ["CAD", "EUR", "USD", "GBP", "JPY", "KRW", "KWD", "BHD", "TND", "CHF", "MRU"];
    proptest::sample::select(codes.map(|code| Currency::from_code(code).expect("a code of ISO 4217")).to_vec())
}

/// A number of up to `digits` digits, `places` of them behind the mark.
fn number(digits: u32, places: u32) -> impl Strategy<Value = Decimal> {
    (0..10i64.pow(digits), 0..=places).prop_map(|(digits, places)| Decimal::new(digits, places))
}

fn signed(digits: u32, places: u32) -> impl Strategy<Value = Decimal> {
    (number(digits, places), any::<bool>()).prop_map(|(number, negative)| if negative { -number } else { number })
}

/// Masses as bench and yard meet them, typed in any unit: up to 9999.999.
fn mass() -> impl Strategy<Value = Mass> {
    (number(7, 3), unit()).prop_map(|(amount, unit)| Mass::of(amount.min(9999.into()), unit).expect("within the limit"))
}

/// A number above zero that is within the limit of a mass in every unit.
fn typed_amount() -> impl Strategy<Value = Decimal> {
    number(10, 5).prop_map(|amount| amount % Decimal::from(900_000) + Decimal::new(1, 5))
}

fn no_container(_: &str) -> Option<Mass> {
    None
}

fn tub(name: &str) -> Option<Mass> {
    (name.len() % 3 == 1).then(|| Mass::of(Decimal::ONE, MassUnit::Ounce).expect("an ounce is within the limit"))
}

/// Texts made of what the grammar knows, in any order: they reach further into the parser than arbitrary ones.
fn near_answers() -> impl Strategy<Value = String> {
    let scraps = proptest::sample::select(vec![
        "1",
        "2.5",
        "1,234",
        "0",
        "79228162514264337593543950335",
        "0.0000000000000000000000000001",
        ".5",
        "1/2",
        "/",
        "½",
        "⅓",
        "lb",
        "oz",
        "kg",
        "t",
        "short ton",
        "ton",
        "x",
        "×",
        "*",
        "+",
        "-",
        "−",
        "less",
        "blue bucket",
        " ",
        " ",
        "1e9",
        ".",
        ",",
        "é",
        "\u{1b}",
        "troy",
    ]);
    proptest::collection::vec(scraps, 0..14).prop_map(|scraps| scraps.concat())
}

/// What every answer must keep to, taken or refused.
fn keeps_to_the_contract(text: &str) -> Result<(), TestCaseError> {
    for notation in [Notation::Point, Notation::Comma] {
        match weigh(text, &WeighingRules { notation, unit: MassUnit::Kilogram, tare: &tub }) {
            Ok(weighed) => {
                prop_assert!(weighed.net > Mass::ZERO);
                prop_assert!(weighed.tare >= Mass::ZERO && weighed.resolution >= Mass::ZERO && weighed.pieces >= 1);
            }
            Err(error) => {
                prop_assert!(text.get(error.at.clone()).is_some(), "{:?} is no span of {:?}", error.at, text);
                let message = error.to_string();
                prop_assert!(!message.is_empty() && message.len() < 500, "{message}");
                prop_assert!(!message.chars().any(char::is_control), "{message:?}");
            }
        }
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: HOSTILE_CASES, ..ProptestConfig::default() })]

    #[test]
    fn no_text_upsets_weigh(text in any::<String>()) {
        keeps_to_the_contract(&text)?;
    }

    #[test]
    fn no_arrangement_of_known_words_upsets_weigh(text in near_answers()) {
        keeps_to_the_contract(&text)?;
    }

    #[test]
    fn no_text_upsets_the_other_readers(
        text in prop_oneof![any::<String>(), near_answers(), "[0-9.,:/ hmins$CADeac-]{0,12}"],
    ) {
        let cad = Currency::from_code("CAD").unwrap();
        for notation in [Notation::Point, Notation::Comma] {
            let messages = [
                notation.read_signed(&text).err().map(|e| e.to_string()),
                Minutes::read(&text, notation).err().map(|e| e.to_string()),
                Money::read(&text, cad, notation).err().map(|e| e.to_string()),
                Price::read(&text, cad, Basis::Piece, notation).err().map(|e| e.to_string()),
                text.parse::<Mass>().err().map(|e| e.to_string()),
                text.parse::<Money>().err().map(|e| e.to_string()),
                text.parse::<Price>().err().map(|e| e.to_string()),
            ];
            for message in messages.into_iter().flatten() {
                prop_assert!(message.len() < 500 && !message.chars().any(char::is_control), "{message:?}");
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: CASES, ..ProptestConfig::default() })]

    #[test]
    fn a_number_reads_back_as_printed(value in signed(18, 18), notation in notation()) {
        prop_assert_eq!(notation.read_signed(&notation.show(value)), Ok(value));
    }

    #[test]
    fn the_notations_never_read_one_text_as_two_numbers(text in "[0-9.,]{1,12}") {
        if let (Ok(point), Ok(comma)) = (Notation::Point.read(&text), Notation::Comma.read(&text)) {
            prop_assert_eq!(point, comma);
        }
    }

    #[test]
    fn a_mark_that_may_group_thousands_is_refused_with_both_readings(whole in 1..1000u32, group in 0..1000u32) {
        let text = format!("{whole},{group:03}");
        let want = NumberError::Ambiguous {
            text: text.clone(),
            grouped: format!("{whole}{group:03}"),
            fraction: format!("{whole}.{group:03}"),
        };
        prop_assert_eq!(Notation::Point.read(&text), Err(want));
        prop_assert_eq!(Notation::Comma.read(&text), Ok(Decimal::new(i64::from(whole * 1000 + group), 3)));
    }

    #[test]
    fn a_mass_reads_back_from_its_text(mass in mass(), negative in any::<bool>()) {
        let mass = if negative { Mass::ZERO.minus(mass).unwrap() } else { mass };
        prop_assert_eq!(mass.to_string().parse(), Ok(mass));
        let json = serde_json::to_string(&mass).unwrap();
        prop_assert_eq!(serde_json::from_str::<Mass>(&json).unwrap(), mass);
    }

    #[test]
    fn a_mass_reads_back_in_the_unit_in_which_it_was_typed(amount in typed_amount(), unit in unit(), notation in notation()) {
        let mass = Mass::of(amount, unit).unwrap();
        prop_assert_eq!(mass.in_unit(unit), amount.normalize());
        let text = mass.show(unit, 28, notation);
        let rules = WeighingRules { notation, unit: MassUnit::Tonne, tare: &no_container };
        let weighed = weigh(&text, &rules).unwrap();
        prop_assert_eq!((weighed.net, weighed.unit), (mass, unit), "{}", text);
        prop_assert!(weighed.resolution <= mass);
    }

    #[test]
    fn a_weight_in_pounds_and_ounces_is_their_sum(lb in 1..500u32, ounces in 0..160u32, notation in notation()) {
        let oz = Decimal::new(ounces.into(), 1);
        let text = format!("{lb} lb {} oz", notation.show(oz));
        let rules = WeighingRules { notation, unit: MassUnit::Gram, tare: &no_container };
        let want = Mass::of(Decimal::from(lb * 16) + oz, MassUnit::Ounce).unwrap();
        prop_assert_eq!(weigh(&text, &rules).unwrap().net, want);
    }

    #[test]
    fn gross_less_tare_is_the_net(net in 1..100_000i64, tare in 1..100_000i64, unit in unit()) {
        let kilos = |grams: i64| Decimal::new(grams, 3);
        let text = format!("{} kg - {}", kilos(net + tare), kilos(tare));
        let weighed = weigh(&text, &WeighingRules { notation: Notation::Point, unit, tare: &no_container }).unwrap();
        prop_assert_eq!(weighed.net.grams(), Decimal::from(net));
        prop_assert_eq!(weighed.tare.grams(), Decimal::from(tare));
    }

    #[test]
    fn a_count_is_a_sum(count in 1..60u32, grams in 1..9999u32) {
        let rules = WeighingRules { notation: Notation::Point, unit: MassUnit::Gram, tare: &no_container };
        let product = weigh(&format!("{count} x {grams} g"), &rules).unwrap();
        let sum = (0..count).try_fold(Mass::ZERO, |sum, _| sum.plus(Mass::from_grams(grams.into())?)).unwrap();
        prop_assert_eq!((product.net, product.pieces), (sum, count));
    }

    #[test]
    fn sums_do_not_depend_on_order(a in mass(), b in mass(), c in mass()) {
        let left = a.plus(b).and_then(|ab| ab.plus(c));
        prop_assert!(left.is_ok());
        prop_assert_eq!(&left, &b.plus(c).and_then(|bc| a.plus(bc)));
        prop_assert_eq!(&left, &Mass::sum([c, a, b]));
        prop_assert_eq!(a.plus(b).and_then(|ab| ab.minus(b)), Ok(a));
    }

    #[test]
    fn a_scale_shows_the_nearest_of_its_marks(mass in mass(), division in (number(4, 4), unit())) {
        let division = Mass::of(division.0, division.1).unwrap();
        let shown = mass.on_scale(division);
        if division.is_zero() {
            prop_assert_eq!(shown, mass);
        } else {
            prop_assert_eq!(shown.on_scale(division), shown);
            prop_assert_eq!(shown.grams() % division.grams(), Decimal::ZERO);
            let off = shown.minus(mass).unwrap().grams().abs();
            prop_assert!(off * Decimal::TWO <= division.grams(), "{} off by {} on {}", mass, off, division);
            // A tie goes up.
            prop_assert!(off * Decimal::TWO != division.grams() || shown > mass);
        }
    }

    #[test]
    fn a_friendly_text_shows_something_near(mass in mass(), unit in unit()) {
        let shown = mass.show_friendly(unit, Notation::Point);
        let read: Mass = shown.parse().unwrap();
        prop_assert_eq!(read.is_zero(), mass.is_zero());
        // Within half a unit of the coarsest last place: 0.0005 lb = 0.2268 g, 0.05 oz = 1.42 g, 0.5 g.
        let off = read.minus(mass).unwrap().grams().abs();
        prop_assert!(off < Decimal::new(142, 2), "{} as {}", mass, shown);
    }

    #[test]
    fn money_reads_back_from_its_text(amount in signed(12, 6), currency in currency(), notation in notation()) {
        let money = Money::new(amount, currency).unwrap();
        prop_assert_eq!(money.to_string().parse(), Ok(money));
        prop_assert_eq!(Money::read(&money.show(notation), currency, notation), Ok(money));
        prop_assert_eq!(serde_json::from_value::<Money>(serde_json::to_value(money).unwrap()).unwrap(), money);
    }

    #[test]
    fn rounded_money_is_the_nearest_and_stays(amount in signed(12, 6), currency in currency()) {
        let money = Money::new(amount, currency).unwrap();
        let rounded = money.rounded();
        let want = amount.round_dp_with_strategy(currency.minor_digits(), MidpointAwayFromZero);
        prop_assert_eq!(rounded.amount(), want);
        prop_assert_eq!(rounded.rounded(), rounded);
    }

    #[test]
    fn a_price_reads_back_from_its_text(
        amount in signed(12, 6),
        currency in currency(),
        unit in unit(),
        each in any::<bool>(),
        notation in notation(),
    ) {
        let basis = if each { Basis::Piece } else { Basis::Weight(unit) };
        let price = Price::new(amount, currency, basis).unwrap();
        prop_assert_eq!(price.to_string().parse(), Ok(price));
        prop_assert_eq!(Price::read(&price.show(notation), currency, Basis::Piece, notation), Ok(price));
        prop_assert_eq!(serde_json::from_value::<Price>(serde_json::to_value(price).unwrap()).unwrap(), price);
    }

    #[test]
    fn a_time_reads_back_from_its_text(seconds in number(10, 3), notation in notation()) {
        let time = Minutes::from_seconds(seconds % Decimal::from(3_600_000)).unwrap();
        prop_assert_eq!(time.to_string().parse(), Ok(time));
        prop_assert_eq!(Minutes::read(&time.show(notation), notation), Ok(time));
        prop_assert_eq!(serde_json::from_value::<Minutes>(serde_json::to_value(time).unwrap()).unwrap(), time);
    }

    /// The amount in whole numbers, which cannot lose a digit: tenths of pounds × cents, the tie away from zero.
    #[test]
    fn a_lot_is_rounded_once_and_exactly(tenths in 1..1_000_000i64, cents in -100_000..100_000i64) {
        let cad = Currency::from_code("CAD").unwrap();
        let price = Price::new(Decimal::new(cents, 2), cad, Basis::Weight(MassUnit::Pound)).unwrap();
        let paid = price.of(Mass::of(Decimal::new(tenths, 1), MassUnit::Pound).unwrap(), 1).unwrap();
        let tenths_of_cents = tenths * cents;
        let want = (tenths_of_cents.abs() + 5) / 10 * tenths_of_cents.signum();
        prop_assert_eq!(paid.amount(), Decimal::new(want, 2));
    }

    /// The same for a price per ounce and a weight in grams, where the quotient has no end: integers of 10⁻⁹ g.
    #[test]
    fn a_lot_in_another_unit_is_rounded_once_and_exactly(tenths in 1..100_000_000i128, cents in 0..100_000i128) {
        const OUNCE: i128 = 28_349_523_125;
        let cad = Currency::from_code("CAD").unwrap();
        let price = Price::new(Decimal::from_i128_with_scale(cents, 2), cad, Basis::Weight(MassUnit::Ounce)).unwrap();
        let paid = price.of(Mass::from_grams(Decimal::from_i128_with_scale(tenths, 1)).unwrap(), 1).unwrap();
        let want = (2 * tenths * 100_000_000 * cents + OUNCE) / (2 * OUNCE);
        prop_assert_eq!(paid.amount(), Decimal::from_i128_with_scale(want, 2));
    }
}
