use proptest::prelude::*;

use super::*;
use crate::app::FixedClock;
use crate::store::Home;

fn world() -> World {
    let clock = FixedClock("2026-11-02T10:00:00Z".parse().unwrap());
    World::new(Home::at("/nonexistent/knockdown-scaffold"), Box::new(clock)).unwrap()
}

fn mass(text: &str) -> Mass {
    text.parse().unwrap()
}

fn recipe(name: &str, title: &str, part: &str, unit: MassUnit) -> RecipeSketch {
    let step = |title: &str, part: &str| StepSketch {
        title: title.to_owned(),
        minutes: Minutes::new(3.into()).unwrap(),
        frees: Some((part.to_owned(), mass("123.4 g"), "steel-light".into())),
    };
    RecipeSketch {
        id: "x".into(),
        name: name.into(),
        weights: [mass("1 kg"), mass("1.5 kg"), mass("2 kg")],
        unit,
        whole_grade: "appliance-light".into(),
        hazards: vec!["mains-plugged".into()],
        steps: vec![step(title, part), step(title, "lid")],
        author: name.into(),
    }
}

fn loads(text: &str) -> Result<(), String> {
    let world = world();
    let script = world.host().open("x.rhai", text).map_err(|error| format!("{error}\n{text}"))?;
    world.host().recipe(&script).map(drop).map_err(|errors| format!("{}\n{text}", errors[0]))
}

#[test]
fn a_recipe_loads_in_every_unit() {
    for unit in ["g", "kg", "t", "lb", "oz"] {
        assert_eq!(loads(&recipe("Kettle", "Take off the lid", "cover", unit.parse().unwrap()).script()), Ok(()));
    }
    let bare = RecipeSketch {
        hazards: Vec::new(),
        author: String::new(),
        ..recipe("Kettle", "unit", "a", MassUnit::Kilogram)
    };
    assert_eq!(loads(&bare.script()), Ok(()));
}

#[test]
fn a_yard_loads_and_says_what_was_answered() {
    let sketch = YardSketch {
        id: "corner".into(),
        name: "Corner \"Metals\"".into(),
        region: "DE".into(),
        currency: Currency::from_code("EUR").unwrap(),
        unit: MassUnit::Kilogram,
        division: Some(Decimal::new(5, 1)),
        notation: Notation::Comma,
        as_of: "2026-11-02".parse().unwrap(),
        prices: vec![("copper-2".into(), "Kupfer II".into(), Decimal::new(710, 2))],
        author: String::new(),
    };
    let world = world();
    let script = world.host().open("corner.rhai", &sketch.script()).unwrap();
    let yard = world.host().yard(&script).unwrap();
    assert_eq!((yard.name(), yard.region(), yard.notation()), ("Corner \"Metals\"", "DE", Notation::Comma));
    assert_eq!(yard.division(), Some(mass("500 g")));
    assert_eq!(yard.offer("copper-2").unwrap().price().to_string(), "7.10 EUR/kg");
}

#[test]
fn weights_are_written_in_few_digits() {
    for (typed, unit, written) in [
        ("0.8 kg", MassUnit::Pound, "800.g"),
        ("200 g", MassUnit::Pound, "200.g"),
        ("2.4 lb", MassUnit::Pound, "2.4.lb"),
        ("2.4 lb", MassUnit::Kilogram, "2.4.lb"),
        ("7 oz", MassUnit::Pound, "7.oz"),
        ("13 kg", MassUnit::Kilogram, "13.kg"),
        ("850 g", MassUnit::Kilogram, "850.g"),
    ] {
        assert_eq!(weight(mass(typed), unit), written);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]
    #[test]
    fn whatever_is_typed_the_script_loads(name in "[^\\x00-\\x1f]{1,40}", title in "[^\\x00-\\x1f]{1,40}", part in "[a-zA-Z\"\\\\ äö]{1,20}") {
        let shows = |text: &str| text.chars().any(|c| !is_unsafe(c) && !c.is_whitespace());
        prop_assume!(shows(&name) && shows(&title));
        prop_assume!(!part.trim().is_empty() && part != "lid" && part != "begin" && part != "minutes");
        prop_assert_eq!(loads(&recipe(&name, &title, &part, MassUnit::Kilogram).script()), Ok(()));
    }
}
