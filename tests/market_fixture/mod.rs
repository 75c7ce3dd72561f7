//! Grades, yards and hauls for the market's tests. All prices are invented.
#![allow(dead_code, reason = "each test crate uses its own part of this")]

use jiff::civil::{Date, date};
use knockdown::market::haul::{Fraction, Haul, Remainder, RemainderOf, WeightSource};
use knockdown::market::{Book, GradeTree, OfferId, Quote, Yard, YardDraft};
use knockdown::quantity::{Basis, Currency, Mass, MassUnit, Minutes, Money, Price};
use rust_decimal::Decimal;

pub const AS_OF: Date = date(2026, 11, 2);
pub const TODAY: Date = date(2026, 11, 20);

pub fn d(text: &str) -> Decimal {
    text.parse().unwrap()
}

pub fn kg(text: &str) -> Mass {
    Mass::of(d(text), MassUnit::Kilogram).unwrap()
}

pub fn lb(text: &str) -> Mass {
    Mass::of(d(text), MassUnit::Pound).unwrap()
}

pub fn money(text: &str, code: &str) -> Money {
    Money::new(d(text), Currency::from_code(code).unwrap()).unwrap()
}

pub fn minutes(text: &str) -> Minutes {
    Minutes::new(d(text)).unwrap()
}

/// A small tree: id, parent, whether metal.
pub fn tree() -> GradeTree {
    let rows = [
        ("copper-bearing", "", "false"),
        ("copper", "", "true"),
        ("copper-2", "copper", ""),
        ("copper-1", "copper-2", ""),
        ("steel", "", "true"),
        ("steel-light", "steel", ""),
        ("transformer", "", "false"),
        ("transformer-copper", "transformer", ""),
        ("board", "", "false"),
        ("board-mid", "board", ""),
        ("board-high", "board", ""),
        ("appliance", "", "false"),
        ("appliance-light", "appliance", ""),
        ("compressor-sealed", "", "false"),
        ("crt-display", "", "false"),
        ("plastic", "", "false"),
    ];
    let entry = |(id, parent, metal): (&str, &str, &str)| {
        let parent = if parent.is_empty() { String::new() } else { format!("parent = \"{parent}\"\n") };
        let metal = if metal.is_empty() { String::new() } else { format!("metal = {metal}\n") };
        format!(
            "[[grade]]\nid = \"{id}\"\n{parent}{metal}name = \"The grade {id}\"\nlooks = \"looks\"\nsource = \"test\"\nstatus = \"test\"\n"
        )
    };
    GradeTree::parse(&rows.map(entry).concat()).unwrap()
}

pub fn draft(id: &str, name: &str, currency: &str, unit: MassUnit, division: Option<&str>) -> YardDraft {
    let mut yard = YardDraft::new(id, name).unwrap();
    yard.currency(currency).unwrap();
    yard.weighs_in(unit, division.map(d)).unwrap();
    yard.as_of(AS_OF);
    yard
}

pub fn buys(yard: &mut YardDraft, grade: &str, amount: &str) -> OfferId {
    yard.buys(grade, &format!("Our {grade}"), d(amount)).unwrap()
}

pub fn built(yard: YardDraft) -> Yard {
    yard.build(&tree()).unwrap()
}

/// Per pound, one board price, 0.2 lb scale, cash to 5 cents.
pub fn hollow() -> YardDraft {
    let mut yard = draft("hollow-lane", "Hollow Lane Metals", "CAD", MassUnit::Pound, Some("0.2"));
    yard.pays_to(d("0.05")).unwrap();
    let copper = yard.buys("copper-2", "No. 2 copper", d("3.40")).unwrap();
    yard.tier(copper, lb("50"), d("3.55")).unwrap();
    yard.buys("transformer-copper", "Copper transformer", d("0.45")).unwrap();
    yard.buys("board", "Circuit board, mixed", d("0.90")).unwrap();
    yard.buys("steel-light", "Light iron", d("0.11")).unwrap();
    yard.buys("appliance-light", "Light appliance", d("0.08")).unwrap();
    let sealed = yard.buys("compressor-sealed", "Sealed unit", d("4.00")).unwrap();
    yard.each(sealed).unwrap();
    let tube = yard.charges("crt-display", "Tube display", d("5.00")).unwrap();
    yard.each(tube).unwrap();
    yard
}

/// Per kilogram without any rounding habit of its own.
pub fn plain_kg(currency: &str, offers: &[(&str, &str)]) -> Yard {
    let mut yard = draft("plain", "Plain Yard", currency, MassUnit::Kilogram, None);
    for (grade, amount) in offers {
        buys(&mut yard, grade, amount);
    }
    built(yard)
}

pub fn fraction(part: &str, grade: &str, net: Option<Mass>) -> Fraction {
    Fraction {
        part: part.into(),
        grade: grade.into(),
        net,
        pieces: 1,
        regraded_from: None,
        in_mix: None,
        division: Mass::ZERO,
    }
}

pub fn remainder(grade: &str, mass: Mass, how: WeightSource) -> Remainder {
    Remainder { of: RemainderOf::Unit, grade: Some(grade.into()), mass: Some(mass), how, pieces: 1 }
}

pub fn haul(fractions: Vec<Fraction>) -> Haul {
    Haul { unit_name: "Test unit".into(), recipe: "test-unit".into(), fractions, ..Haul::default() }
}

/// The microwave oven of the worked example.
pub fn oven() -> Haul {
    let mut board = fraction("main board", "board-mid", Some(kg("0.45")));
    board.regraded_from = Some("board-high".into());
    Haul {
        unit_name: "Countertop microwave oven".into(),
        recipe: "countertop-oven".into(),
        intake: Some(kg("13")),
        intake_division: kg("0.1"),
        whole_grade: Some("appliance-light".into()),
        minutes: minutes("42"),
        consumables: vec![knockdown::market::haul::Consumable { name: "Saw blade".into(), cost: money("0.35", "CAD") }],
        remainders: vec![remainder("steel-light", kg("8.15"), WeightSource::Computed)],
        ..haul(vec![
            fraction("transformer", "transformer-copper", Some(kg("3.7"))),
            board,
            fraction("winding copper", "copper-2", Some(kg("0.7"))),
            fraction("turntable motor", "plastic", Some(kg("0.1"))),
        ])
    }
}

pub fn quote(yard: &Yard, grade: &str, amount: &str, unit: MassUnit, day: Date) -> Quote {
    Quote {
        learnt: None,
        yard: yard.id().into(),
        grade: grade.into(),
        price: Price::new(d(amount), yard.currency(), Basis::Weight(unit)).unwrap(),
        date: day,
        origin: "by telephone".into(),
    }
}

pub fn book<'a>(yard: &'a Yard, quotes: &'a [Quote], tree: &'a GradeTree) -> Book<'a> {
    Book::new(yard, quotes, tree, TODAY)
}
