use proptest::prelude::*;

use super::super::yard_sketch::{PriceSketch, YardSketch};
use super::*;
use crate::quantity::{Currency, Notation};
use crate::store::Home;
use crate::world::FixedClock;

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
        frees: Some((part.to_owned(), mass("123.4 g"), "lithium-battery".into())),
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
    let world = world();
    let grades = world.host().catalogue().grades();
    for unit in ["g", "kg", "t", "lb", "oz"] {
        assert_eq!(loads(&recipe("Kettle", "Take off the lid", "cover", unit.parse().unwrap()).script(grades)), Ok(()));
    }
    let bare = RecipeSketch {
        hazards: Vec::new(),
        author: String::new(),
        ..recipe("Kettle", "unit", "a", MassUnit::Kilogram)
    };
    assert_eq!(loads(&bare.script(grades)), Ok(()));
}

fn priced(grade: &str, name: &str, price: &str, minimum: Option<&str>) -> PriceSketch {
    PriceSketch { grade: grade.into(), name: name.into(), price: price.parse().unwrap(), minimum: minimum.map(mass) }
}

#[test]
fn a_yard_copied_from_another_has_its_own_name_and_the_others_prices() {
    let world = world();
    for model in ["hollow-lane", "ellerwinkel", "thistle-fork", "tsukisabi"] {
        let text = world.yard_like(model, "corner", "Corner \"Metals\"").unwrap();
        let script = world.host().open("corner.rhai", &text).unwrap();
        let yard = world.host().yard(&script).unwrap();
        let (_, like) = world.yard(model).unwrap();
        assert_eq!((yard.id(), yard.name()), ("corner", "Corner \"Metals\""));
        assert!(yard.is_sample(), "the prices are still invented");
        assert!(yard.offers().eq(like.offers()), "{model}");
    }
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
        pays_to: None,
        as_of: "2026-11-02".parse().unwrap(),
        prices: vec![
            priced("copper-2", "Kupfer II", "7.10 EUR/kg", None),
            priced("steel", "Mischschrott", "130 EUR/t", Some("0.5 t")),
            priced("relay", "Relais", "0.1 EUR each", None),
            priced("crt-display", "Bildröhre", "-6 EUR each", None),
        ],
        author: String::new(),
    };
    let world = world();
    let script = world.host().open("corner.rhai", &sketch.script()).unwrap();
    let yard = world.host().yard(&script).unwrap();
    assert_eq!((yard.name(), yard.region(), yard.notation()), ("Corner \"Metals\"", "DE", Notation::Comma));
    assert_eq!(yard.division(), Some(mass("500 g")));
    let shown = |grade: &str| yard.offer(grade).unwrap().price().to_string();
    assert_eq!(shown("copper-2"), "7.10 EUR/kg");
    assert_eq!((shown("steel"), yard.offer("steel").unwrap().minimum()), ("130.00 EUR/t".into(), Some(mass("500 kg"))));
    assert_eq!((shown("relay"), shown("crt-display")), ("0.10 EUR each".into(), "-6.00 EUR each".into()));
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
        prop_assert_eq!(loads(&recipe(&name, &title, &part, MassUnit::Kilogram).script(world().host().catalogue().grades())), Ok(()));
    }
}
