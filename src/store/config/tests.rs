//! Tests of the settings.

use std::path::Path;

use super::*;

const FULL: &str = r#"# mine
yard = "hollow-lane"   # nearest
unit = "lb"
decimal = "comma"
scale_division = "5 g"
person = "Ada"
floor_per_hour = "15"
color = "never"
plain = true
cost_per_km = "0.60"

[containers]
"blue bucket" = "1.1 kg" # with lid

[trips]
ridge = "24 km 35 min"

[rates]
USD-CAD = "1.37 on 2026-11-02"

[scale]
kind = "usb"
port = "/dev/hidraw0"
"#;

fn parsed(text: &str) -> Config {
    parse(Path::new("config.toml"), text).expect("readable")
}

fn complaint(text: &str) -> String {
    parse(Path::new("config.toml"), text).expect_err("refused").to_string()
}

fn edited(text: &str, key: &str, value: Option<&str>) -> String {
    edit(Path::new("config.toml"), text, key, value).expect("changed")
}

#[test]
fn every_key_is_read() {
    let config = parsed(FULL);
    assert_eq!(config.yard.as_deref(), Some("hollow-lane"));
    assert_eq!(config.decimal, Some(DecimalMark::Comma));
    assert_eq!(config.color, Some(Color::Never));
    assert_eq!(config.plain, Some(true));
    assert_eq!(config.containers["blue bucket"], "1.1 kg");
    assert_eq!(config.cost_per_km.as_deref(), Some("0.60"));
    assert_eq!(config.trips["ridge"], "24 km 35 min");
    assert_eq!(config.rates["USD-CAD"], "1.37 on 2026-11-02");
    assert_eq!(config.scale["port"], "/dev/hidraw0");
    let table: toml::Table = toml::from_str(FULL).expect("TOML");
    let mut known = KEYS.to_vec();
    known.sort_unstable();
    assert_eq!(table.keys().map(String::as_str).collect::<Vec<_>>(), known);
    assert_eq!(parsed(""), Config::default());
}

#[test]
fn a_misspelt_key_gets_the_nearest() {
    let said = complaint("unit = \"kg\"\nyrad = \"x\"\n");
    assert_eq!(said, "config.toml, line 2: there is no setting \"yrad\". Did you mean yard?");
    assert!(complaint("zzzzzzzzzz = 1\n").contains("The settings are yard, unit"));
}

#[test]
fn values_that_do_not_suit_name_key_line_and_what_to_write() {
    for (text, line, wanted) in [
        ("\nyard = 5\n", 2, "\"yard\" is 5; write a text in quotes"),
        ("decimal = \"dot\"\n", 1, "\"decimal\" is \"dot\"; write \"point\" or \"comma\""),
        ("plain = \"yes\"\n", 1, "\"plain\" is \"yes\"; write true or false, without quotes"),
        ("floor_per_hour = 15.0\n", 1, "\"floor_per_hour\" is 15.0; write a text in quotes"),
        ("[containers]\n\n\"blue bucket\" = 1.1\n", 3, "\"blue bucket\" is 1.1; write a text in quotes"),
        ("[containers.x]\n", 1, "\"x\" is a table; write a text in quotes"),
        ("containers = 3\n", 1, "\"containers\" is 3; write [containers], then a line"),
        ("unit = \n", 1, ""),
        ("unit = \"kg\"\nunit = \"lb\"\n", 2, "duplicate key"),
    ] {
        let said = complaint(text);
        assert!(said.starts_with(&format!("config.toml, line {line}: {wanted}")), "{text:?}: {said}");
    }
}

#[test]
fn one_change_leaves_the_rest() {
    assert_eq!(edited(FULL, "yard", Some("mill-road")), FULL.replace("hollow-lane", "mill-road"));
    assert_eq!(edited(FULL, "plain", Some("false")), FULL.replace("plain = true", "plain = false"));
    assert_eq!(edited(FULL, "containers.blue bucket", Some("1.2 kg")), FULL.replace("1.1 kg", "1.2 kg"));
    assert_eq!(edited(FULL, "unit", None), FULL.replace("unit = \"lb\"\n", ""));
    let with_container = edited("", "containers.a.b \"c\"", Some("2 kg"));
    assert_eq!(parsed(&with_container).containers["a.b \"c\""], "2 kg");
    assert_eq!(parsed(&edited(&with_container, "unit", Some("kg"))).unit.as_deref(), Some("kg"));
    assert_eq!(edited("", "unit", None), "");
}

#[test]
fn a_change_that_would_not_be_read_is_refused() {
    let refused = |key, value| edit(Path::new("config.toml"), FULL, key, Some(value)).expect_err("refused").to_string();
    assert_eq!(refused("yrad", "x"), "there is no setting \"yrad\". Did you mean yard?");
    assert!(refused("decimal", "dot").starts_with("decimal cannot be set so: \"decimal\" is \"dot\"; write"));
    assert!(refused("plain", "maybe").starts_with("plain cannot be set so: "));
    assert!(refused("containers", "1 kg").contains("containers.NAME"));
    assert!(edit(Path::new("config.toml"), "unit = 1\n", "yard", Some("x")).is_err());
}
