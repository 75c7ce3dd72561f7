use super::*;

#[test]
fn a_unit_is_its_own_row() {
    for row in &UNITS {
        assert_eq!(row.unit.row().unit, row.unit);
        assert_eq!(row.unit.symbol().parse(), Ok(row.unit));
        for spelling in row.spellings {
            assert_eq!(spelling.to_uppercase().parse(), Ok(row.unit));
        }
    }
}

#[test]
fn no_spelling_means_two_units() {
    let mut spellings: Vec<&str> = UNITS.iter().flat_map(|row| row.spellings).copied().collect();
    let all = spellings.len();
    spellings.sort_unstable();
    spellings.dedup();
    assert_eq!(spellings.len(), all);
}

#[test]
fn a_misspelt_unit_gets_the_one_that_was_meant() {
    for (name, nearest) in [
        ("k", Some("kg")),
        ("kq", Some("kg")),
        ("bl", Some("lb")),
        ("ell", None),
        ("onces", Some("ounces")),
        ("short tonne", Some("short ton")),
        ("e", None),
        ("furlong", None),
        ("", None),
    ] {
        assert_eq!(name.parse::<MassUnit>(), Err(UnitError::Unknown { name: name.into(), nearest }), "{name}");
    }
    let long = "g".repeat(100_000).parse::<MassUnit>().unwrap_err();
    assert!(long.to_string().len() < 200);
}
