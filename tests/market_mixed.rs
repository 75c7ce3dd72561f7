//! Mixed lots: the usual rule, a yard's own, and what can go wrong. All prices are invented.

#![allow(clippy::unwrap_used, reason = "a test may stop at a value that must be there")]

use std::rc::Rc;

use crate::market_fixture::{book, built, buys, d, draft, fraction, haul, kg, tree};
use knockdown::market::haul::{Haul, Mix};
use knockdown::market::tally::TallyError;
use knockdown::market::{MixVerdict, MixedLot, MixedPart, MixedRule, Tally, Unsold, Yard};
use knockdown::quantity::MassUnit;
use rust_decimal::Decimal;

type Judge = fn(&MixedLot) -> Result<MixVerdict, String>;

struct Rule(Judge);

impl MixedRule for Rule {
    fn judge(&self, lot: &MixedLot) -> Result<MixVerdict, String> {
        (self.0)(lot)
    }
}

/// copper-2 at 4.00/kg, steel-light at 200/t (0.20/kg), board at 0.50 each.
fn yard(rule: Option<Judge>) -> Yard {
    let mut yard = draft("m", "Mixed", "CAD", MassUnit::Kilogram, None);
    buys(&mut yard, "copper-2", "4");
    let steel = buys(&mut yard, "steel-light", "200");
    yard.per(steel, MassUnit::Tonne).unwrap();
    let board = buys(&mut yard, "board", "0.50");
    yard.each(board).unwrap();
    if let Some(rule) = rule {
        yard.mixed(Rc::new(Rule(rule)));
    }
    built(yard)
}

/// 3 kg of copper and 1 kg of the other grade in one box, and 1 kg of clean copper.
fn boxed(other: &str) -> Haul {
    let mut fractions = vec![
        fraction("coil", "copper-2", Some(kg("3"))),
        fraction("other", other, Some(kg("1"))),
        fraction("clean", "copper-2", Some(kg("1"))),
    ];
    fractions[0].in_mix = Some(0);
    fractions[1].in_mix = Some(0);
    Haul { mixes: vec![Mix { name: "box".into(), net: None }], ..haul(fractions) }
}

fn tally(haul: &Haul, yard: &Yard) -> Tally {
    Tally::of(haul, &book(yard, &[], &tree())).unwrap()
}

/// The amount of the mixed line, or the reason why there is none.
fn mixed_line(haul: &Haul, yard: &Yard) -> Result<Decimal, Unsold> {
    let tally = tally(haul, yard);
    match tally.lines.iter().find(|line| line.mix.is_some()) {
        Some(line) => Ok(line.amount.amount()),
        None => Err(tally.unsold[0].reason.clone()),
    }
}

#[test]
fn by_default_all_goes_at_the_lowest_price_in_it() {
    let tally = tally(&boxed("steel-light"), &yard(None));
    // Box: 4 kg × 0.20 = 0.80; clean copper apart: 1 kg × 4 = 4.00.
    let amounts: Vec<_> = tally.lines.iter().map(|line| (line.kind(), line.amount.amount())).collect();
    assert_eq!(amounts, [("fraction", d("4")), ("mixed", d("0.80"))]);
}

#[test]
fn by_default_one_part_without_a_price_leaves_all_unsold() {
    let tally = tally(&boxed("plastic"), &yard(None));
    assert_eq!(tally.lines.len(), 1, "only the clean copper");
    let unsold: Vec<_> = tally.unsold.iter().map(|item| (item.part.as_str(), &item.reason)).collect();
    assert_eq!(unsold, [("coil", &Unsold::NoPrice), ("other", &Unsold::NoPrice)]);
}

#[test]
fn a_box_weighed_as_a_whole_is_paid_by_that_weight() {
    let mut haul = boxed("steel-light");
    haul.mixes[0].net = Some(kg("5"));
    assert_eq!(mixed_line(&haul, &yard(None)), Ok(d("1.00")));
}

#[test]
fn a_box_below_zero_is_a_problem_and_no_sale() {
    let mut haul = boxed("steel-light");
    haul.mixes[0].net = Some(kg("-5"));
    assert_eq!(mixed_line(&haul, &yard(None)), Err(Unsold::BelowZero));
    assert_eq!(tally(&haul, &yard(None)).problems.len(), 1);
}

#[test]
fn a_yards_rule_decides() {
    let by = |rule| mixed_line(&boxed("steel-light"), &yard(Some(rule)));
    // 4 kg × 4.00 = 16.00; less 15 %: 4 kg × 3.40 = 13.60.
    assert_eq!(by(|lot| Ok(MixVerdict::AsGrade(lot.heaviest_grade().unwrap().into()))), Ok(d("16")));
    assert_eq!(by(|_| Ok(MixVerdict::AsGradeLess("copper-2".into(), Decimal::from(15)))), Ok(d("13.60")));
    assert_eq!(by(|_| Ok(MixVerdict::AsGradeLess("copper-2".into(), Decimal::ONE_HUNDRED))), Ok(d("0")));
    assert_eq!(
        by(|lot| if lot.share("steel-light") > Decimal::new(2, 1) {
            Ok(MixVerdict::Refused("too much iron".into()))
        } else {
            Ok(MixVerdict::AsGrade("copper-2".into()))
        }),
        Err(Unsold::Refused("too much iron".into())),
        "1 of 4 kg is a quarter"
    );
}

#[test]
fn a_rule_that_fails_is_told_and_sells_nothing() {
    let by = |rule| mixed_line(&boxed("steel-light"), &yard(Some(rule)));
    assert_eq!(by(|_| Err("line 7: no such grade".into())), Err(Unsold::RuleFailed("line 7: no such grade".into())));
    assert_eq!(by(|_| Ok(MixVerdict::AsGrade("plastic".into()))), Err(Unsold::NoPrice));
    for percent in ["-1", "100.1", "79228162514264337593543950335"] {
        let lot = MixVerdict::AsGradeLess("copper-2".into(), d(percent));
        assert!(matches!(judged(lot), Err(Unsold::RuleFailed(why)) if why.contains("within 0 and 100")));
    }
}

/// The mixed line under a rule that always gives `verdict`.
fn judged(verdict: MixVerdict) -> Result<Decimal, Unsold> {
    struct Always(MixVerdict);
    impl MixedRule for Always {
        fn judge(&self, _: &MixedLot) -> Result<MixVerdict, String> {
            Ok(self.0.clone())
        }
    }
    let mut yard = draft("m", "Mixed", "CAD", MassUnit::Kilogram, None);
    buys(&mut yard, "copper-2", "4");
    yard.mixed(Rc::new(Always(verdict)));
    mixed_line(&boxed("steel-light"), &built(yard))
}

#[test]
fn a_lot_compares_prices_across_units_and_pieces() {
    let part = |grade: &str, mass, pieces, price: Option<&str>| MixedPart {
        grade: grade.into(),
        mass: kg(mass),
        pieces,
        price: price.map(|text| text.parse().unwrap()),
    };
    // Per kg: 0.50; 0.20 × 2.2046… = 0.44; 2 × 0.30 ÷ 1.5 kg = 0.40.
    let lot = MixedLot::new(
        vec![
            part("a", "1", 1, Some("0.50 CAD/kg")),
            part("b", "1", 1, Some("0.20 CAD/lb")),
            part("c", "1.5", 2, Some("0.30 CAD each")),
        ],
        kg("3.5"),
    );
    assert_eq!((lot.lowest_grade(), lot.heaviest_grade()), (Some("c"), Some("c")));
    assert_eq!(lot.share("a").round_dp(6), d("0.285714"));
    assert_eq!(lot.share("nothing"), Decimal::ZERO);
    let empty = MixedLot::new(Vec::new(), kg("0"));
    assert_eq!((empty.lowest_grade(), empty.heaviest_grade(), empty.share("a")), (None, None, Decimal::ZERO));
    let unpriced = MixedLot::new(vec![part("a", "1", 1, Some("-5 CAD/kg")), part("b", "1", 1, None)], kg("2"));
    assert_eq!(unpriced.lowest_grade(), Some("b"), "no price at all is lower than a charge");
}

#[test]
fn a_part_in_a_box_that_is_not_there_is_an_error() {
    let mut haul = boxed("steel-light");
    haul.fractions[1].in_mix = Some(7);
    let error = Tally::of(&haul, &book(&yard(None), &[], &tree())).unwrap_err();
    assert_eq!(error, TallyError::NoSuchMix { part: "other".into(), index: 7, known: 1 });
}
