use rust_decimal::Decimal;

use super::*;
use crate::quantity::{Notation, NumberError, UnitError};

fn d(text: &str) -> Decimal {
    text.parse().unwrap()
}

fn mass(text: &str) -> Mass {
    text.parse().unwrap()
}

fn tare(name: &str) -> Option<Mass> {
    match name {
        "blue" => Some(mass("10 g")),
        "blue bucket" => Some(mass("850 g")),
        "blue-bucket" => Some(mass("900 g")),
        "5 l tub" => Some(mass("300 g")),
        "box x less" => Some(mass("100 g")),
        _ => None,
    }
}

fn in_kg(text: &str) -> Result<Weighed, WeighingError> {
    weigh(text, &WeighingRules { notation: Notation::Point, unit: MassUnit::Kilogram, tare: &tare })
}

/// The message, with the bytes that it points at.
fn refused(text: &str) -> (String, &str) {
    let error = in_kg(text).expect_err(text);
    let at = text.get(error.at.clone()).unwrap_or_else(|| panic!("{:?} is no span of {text:?}", error.at));
    (error.to_string(), at)
}

#[test]
fn nets_of_what_people_write() {
    for (text, net) in [
        ("3.6 kg", "3.6 kg"),
        ("3.6kg", "3.6 kg"),
        ("  3.6\u{a0}KG ", "3.6 kg"),
        ("3.6", "3.6 kg"),
        (".5", "500 g"),
        ("850 g", "850 g"),
        ("8 lb 2 oz", "130 oz"),
        ("8lb2oz", "130 oz"),
        ("8 lb. 2.5 oz.", "130.5 oz"),
        ("1 st 3 lb", "17 lb"),
        ("1 kg 200 g", "1.2 kg"),
        ("1 troy oz 2 dwt", "22 dwt"),
        ("1.2+0.4", "1.6 kg"),
        ("1.2 + 0.4 lb", "1.6 lb"),
        ("12.4 - 1.1", "11.3 kg"),
        ("12.4 − 1.1", "11.3 kg"),
        ("12.4-1.1", "11.3 kg"),
        ("12.4 kg - blue bucket", "11.55 kg"),
        ("12.4 kg less blue bucket", "11.55 kg"),
        ("12.4 kg LESS blue bucket - 0.1", "11.45 kg"),
        ("12.4 - blue-bucket", "11.5 kg"),
        ("12.4 - blue-bucket - blue bucket + 1", "11.65 kg"),
        ("12.4 - 2 x blue bucket", "10.7 kg"),
        ("12.4 - 5 l tub", "12.1 kg"),
        ("12.4 - box x less", "12.3 kg"),
        ("12 x 35 g", "420 g"),
        ("12 × 35 g", "420 g"),
        ("12 * 35g", "420 g"),
        ("12x35g", "420 g"),
        ("35 g x 12", "420 g"),
        ("12 x 35 g + 3 x 40 g", "540 g"),
        ("2 x 1 lb 8 oz", "3 lb"),
        ("8 1/2 lb", "8.5 lb"),
        ("1/2 lb", "0.5 lb"),
        ("8½ lb", "8.5 lb"),
        ("8 ½ lb", "8.5 lb"),
        ("¾ lb", "0.75 lb"),
        ("3/64 lb", "0.046875 lb"),
        ("3/6 lb", "0.5 lb"),
        ("8 - 1/2 lb", "7.5 lb"),
        ("8- 1/2 lb", "7.5 lb"),
        ("3/4-1/2 lb", "0.25 lb"),
        ("3/5 lb", "0.6 lb"),
        ("1,234.5 g", "1234.5 g"),
        ("1 short ton", "2000 lb"),
        ("2 metric tons", "2000 kg"),
    ] {
        assert_eq!(in_kg(text).map(|w| w.net), Ok(mass(net)), "{text}");
    }
}

#[test]
fn what_was_taken_off_and_how_it_was_typed() {
    let got = in_kg("12.40 kg - blue bucket - 0.5").unwrap();
    let want = Weighed {
        net: mass("11.05 kg"),
        tare: mass("1.35 kg"),
        pieces: 1,
        unit: MassUnit::Kilogram,
        resolution: mass("100 g"),
    };
    assert_eq!(got, want);
    let got = in_kg("12 x 35 g + 3 x 40.0 g").unwrap();
    assert_eq!((got.pieces, got.unit, got.resolution), (15, MassUnit::Gram, mass("1 g")));
    let got = in_kg("8 lb 2 oz").unwrap();
    assert_eq!((got.pieces, got.unit, got.resolution), (1, MassUnit::Pound, mass("1 oz")));
    assert_eq!(in_kg("3.60").unwrap().resolution, mass("10 g"));
    assert_eq!(in_kg("8 1/2 lb").unwrap().resolution, mass("0.5 lb"));
    assert_eq!(in_kg("1,234.5 g").unwrap().resolution, mass("0.1 g"));
}

#[test]
fn a_decimal_comma() {
    let rules = WeighingRules { notation: Notation::Comma, unit: MassUnit::Kilogram, tare: &tare };
    assert_eq!(weigh("1,2", &rules).unwrap().net, mass("1.2 kg"));
    assert_eq!(weigh("1,2+0,4", &rules).unwrap().net, mass("1.6 kg"));
    let error = weigh("1.234 kg", &rules).unwrap_err();
    assert_eq!(error.to_string(), "`1.234` can be read as 1234 or as 1,234; write the one you mean");
    assert_eq!(weigh("1/3 kg", &rules).unwrap_err().to_string().rsplit(' ').next(), Some("0,333"));
}

#[test]
fn refusals_say_what_was_seen_and_what_to_write() {
    for (text, message, at) in [
        ("1,234", "`1,234` can be read as 1234 or as 1.234; write the one you mean", "1,234"),
        (
            "2 ton",
            "`ton` can mean a tonne (1000 kg), a short ton (2000 lb) or a long ton (2240 lb); write t, short ton or long ton",
            "ton",
        ),
        ("2 cwt", "`cwt` can mean 100 lb (short) or 112 lb (long); write the weight in lb", "cwt"),
        ("3.6 k", "`k` is not a unit of mass; did you mean `kg`?", "k"),
        ("3.6 punds", "`punds` is not a unit of mass; did you mean `pounds`?", "punds"),
        ("3 shrt ton", "`shrt ton` is not a unit of mass; did you mean `short ton`?", "shrt ton"),
        ("8 lb 20 oz", "`20 oz` is a lb or more; write 9 lb 4 oz", "8 lb 20 oz"),
        ("8 lb 16 oz", "`16 oz` is a lb or more; write 9 lb", "8 lb 16 oz"),
        ("2 oz 8 lb", "lb cannot follow oz in one weight; write a sum with +", "2 oz 8 lb"),
        ("1 kg 2 oz", "oz cannot follow kg in one weight; write a sum with +", "1 kg 2 oz"),
        ("8 lb 2", "`2` needs its unit: `8 lb` comes before it", "8 lb 2"),
        (
            "8.5 lb 2 oz",
            "`8.5 lb` has a fraction and more follows it; write a sum with +, or whole numbers before the last unit",
            "8.5 lb 2 oz",
        ),
        (
            "1 234 kg",
            "`1` and `234 kg` stand side by side; write them as one number, or with + between them",
            "1 234 kg",
        ),
        ("8 lb 2 oz + 3", "`3` has no unit, and the answer names lb and oz; write which it is", "3"),
        (
            "1/3 lb",
            "`1/3` cannot be kept exactly, its decimals never end; write as many as the scale shows, such as 0.333",
            "1/3",
        ),
        (
            "8 ⅔ lb",
            "`8 ⅔` cannot be kept exactly, its decimals never end; write as many as the scale shows, such as 8.667",
            "8 ⅔",
        ),
        ("1/0 lb", "`1/0` is not a fraction below one; write for example 1/2", "1/0"),
        ("8.5 1/2 lb", "`8.5 1/2` is not a fraction below one; write for example 1/2", "8.5 1/2"),
        ("8-1/2 lb", "`8-1/2` can be read as 8 1/2 or as 8 - 1/2; write the one you mean", "8-1/2"),
        ("8-½ lb", "`8-½` can be read as 8 ½ or as 8 - ½; write the one you mean", "8-½"),
        ("1e3", "`1e3` has an exponent; write the number out, such as 1000", "1e3"),
        ("NaN", "`NaN` is not a number; write digits such as 12 or 3.6", "NaN"),
        ("inf kg", "`inf` is not a number; write digits such as 12 or 3.6", "inf"),
        ("-", "a weight cannot begin with a minus; write the gross weight first, such as 12.4 - 1.1", "-"),
        ("-3 kg", "a weight cannot begin with a minus; write the gross weight first, such as 12.4 - 1.1", "-"),
        ("0", "this comes to 0 g; a weight must be more than nothing", "0"),
        ("1.1 - 12.4", "this comes to -11.3 kg; a weight must be more than nothing", "1.1 - 12.4"),
        ("3.6 kg -", "a weight is missing after `-`", ""),
        ("3.6 + + 2", "a weight is wanted here, not `+`", "+"),
        ("3.6 kg 12 % off", "`12` needs its unit: `3.6 kg` comes before it", "3.6 kg 12"),
        ("3.6 kg!", "+ or - is wanted here, not `!`", "!"),
        (
            "1 lb x 2 lb",
            "two weights cannot be multiplied; a count goes with one weight, such as 12 x 35 g",
            "1 lb x 2 lb",
        ),
        ("1.5 x 35 g", "`1.5` is not a count; write a whole number from 1 to 100000", "1.5"),
        ("1/2 x 35 g", "`1/2` is not a count; write a whole number from 1 to 100000", "1/2"),
        ("0 x 35 g", "`0` is not a count; write a whole number from 1 to 100000", "0"),
        (
            "blue bucket",
            "the container `blue bucket` can only be taken off, such as 12.4 kg - blue bucket",
            "blue bucket",
        ),
        ("9 - blue bukcet", "there is no container called `blue bukcet`; did you mean `blue bucket`?", "blue bukcet"),
        ("9 - Blue Bucket", "there is no container called `Blue Bucket`; did you mean `blue bucket`?", "Blue Bucket"),
        ("9 - pail", "there is no container called `pail`", "pail"),
        (
            "2000000 t",
            "a mass of 2000000000000 g is too large: the limit is 1000000000000 g, a million tonnes",
            "2000000 t",
        ),
    ] {
        assert_eq!(refused(text), (message.to_owned(), at), "{text}");
    }
}

#[test]
fn nothing_at_all_is_its_own_fault() {
    for text in ["", "   ", "\t"] {
        assert_eq!(in_kg(text).unwrap_err().fault, WeighingFault::Empty);
    }
}

#[test]
fn hostile_answers_are_refused_and_not_repeated() {
    for text in ["3.6 \u{1b}[31mkg", "3.6 kg\n", "\u{7}", "3\u{9b}2J", "3.6 k\u{202e}g", "\u{0}"] {
        let message = in_kg(text).unwrap_err().to_string();
        assert!(!message.chars().any(|c| c.is_control() || c == '\u{202e}'), "{message:?}");
    }
    let largest = Decimal::MAX;
    for text in [
        format!("{largest} ozt {largest} dwt"),
        format!("{largest} 1/2 lb"),
        format!("{largest} 2/3 lb"),
        format!("{largest} t + {largest} t"),
        format!("100000 x {largest} t"),
    ] {
        assert!(in_kg(&text).is_err(), "{text}");
    }
    assert_eq!(refused("3.6 \u{1b}[31mkg").1, "\u{1b}");
    assert_eq!(in_kg(&"9".repeat(201)).unwrap_err().fault, WeighingFault::TooLong { limit: 200 });
    assert!(matches!(in_kg(&"9".repeat(200)).unwrap_err().fault, WeighingFault::Number(NumberError::TooLong(_))));
    assert_eq!(in_kg(&vec!["1"; 65].join("+")).unwrap_err().fault, WeighingFault::TooManyTerms { limit: 64 });
    assert_eq!(in_kg(&vec!["1"; 64].join("+")).unwrap().net, mass("64 kg"));
}

#[test]
fn faults_can_be_told_apart() {
    assert!(matches!(
        in_kg("3 furlong").unwrap_err().fault,
        WeighingFault::Unit(UnitError::Unknown { nearest: None, .. })
    ));
    assert!(matches!(in_kg("2 ton").unwrap_err().fault, WeighingFault::Unit(UnitError::Ambiguous { .. })));
}

#[test]
fn a_fraction_of_a_grain_is_kept_exactly() {
    assert_eq!(in_kg("1/8 gr").unwrap().net.grams(), d("0.06479891") / d("8"));
}
