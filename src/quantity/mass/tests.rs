use super::*;

fn mass(text: &str) -> Mass {
    text.parse().unwrap()
}

#[test]
fn the_friendly_text() {
    use MassUnit::*;
    for (exact, unit, text) in [
        ("850 g", Kilogram, "850 g"),
        ("3600 g", Gram, "3.6 kg"),
        ("3600.4 g", Gram, "3.6 kg"),
        ("1 kg", Tonne, "1 kg"),
        ("12.34 g", Gram, "12.3 g"),
        ("0.04 g", Kilogram, "0.04 g"),
        ("0.000006 g", Kilogram, "0.000006 g"),
        ("0 g", Kilogram, "0 g"),
        ("-850 g", Kilogram, "-850 g"),
        ("130 oz", Ounce, "8.125 lb"),
        ("15 oz", Pound, "15 oz"),
        ("1 oz", Stone, "1 oz"),
        ("3 ozt", TroyOunce, "3 ozt"),
        ("5 gr", Grain, "5 gr"),
        ("0.0004 ozt", TroyOunce, "0.0004 ozt"),
        ("2.5 t", Tonne, "2500 kg"),
    ] {
        assert_eq!(mass(exact).show_friendly(unit, Notation::Point), text, "{exact}");
    }
    assert_eq!(mass("3600 g").show_friendly(Kilogram, Notation::Comma), "3,6 kg");
}

#[test]
fn a_scale_shows_its_nearest_division() {
    let division = mass("0.2 lb");
    for (weight, shown) in
        [("8.09 lb", "8 lb"), ("8.1 lb", "8.2 lb"), ("8.2 lb", "8.2 lb"), ("-8.1 lb", "-8.2 lb"), ("0.05 lb", "0 lb")]
    {
        assert_eq!(mass(weight).on_scale(division), mass(shown), "{weight}");
    }
    assert_eq!(mass("8.09 lb").on_scale(Mass::ZERO), mass("8.09 lb"));
    assert_eq!(mass("8.09 lb").on_scale(mass("-1 lb")), mass("8.09 lb"));
    // A division far finer than the weight's digits leaves it as it is.
    let resolution = Mass::from_grams(Decimal::new(1, 28)).unwrap();
    assert_eq!(mass("1000000 t").on_scale(resolution), mass("1000000 t"));
}

#[test]
fn the_text_form() {
    assert_eq!(mass("1632.930 g").to_string(), "1632.93 g");
    assert_eq!(mass("-0.5lb"), mass("-226.796185 g"));
    assert_eq!(serde_json::to_string(&mass("3.6 kg")).unwrap(), "\"3600 g\"");
    assert_eq!(serde_json::from_str::<Mass>("\"3.6 kg\"").unwrap(), mass("3600 g"));
    for (text, message) in [
        ("3600", "`3600` has no unit; write for example 1632.93 g"),
        ("", "`` has no unit; write for example 1632.93 g"),
        ("g", "a number is missing"),
        ("1,234 g", "`1,234` can be read as 1234 or as 1.234; write the one you mean"),
        (
            "1 ell",
            "`ell` is not a unit of mass; known are g, kg, t, lb, oz, ozt (troy), dwt, gr (grain), st, short ton, long ton",
        ),
        ("1000001 t", "a mass of 1000001000000 g is too large: the limit is 1000000000000 g, a million tonnes"),
    ] {
        assert_eq!(text.parse::<Mass>().unwrap_err().to_string(), message, "{text}");
    }
}

#[test]
fn nothing_is_lost_in_silence() {
    let largest = mass("1000000 t");
    let resolution = Mass::from_grams(Decimal::new(1, 28)).unwrap();
    assert!(matches!(largest.plus(resolution), Err(QuantityError::TooFine { .. })));
    assert!(matches!(largest.plus(mass("1 g")), Err(QuantityError::TooLarge { .. })));
    assert!(matches!(resolution.times(Decimal::new(5, 1)), Err(QuantityError::TooFine { .. })));
    assert!(matches!(Mass::of(Decimal::MAX, MassUnit::LongTon), Err(QuantityError::TooFine { .. })));
    assert_eq!(mass("1 lb").minus(mass("16 oz")), Ok(Mass::ZERO));
    assert!(!Mass::ZERO.minus(Mass::ZERO).unwrap().is_negative());
}
