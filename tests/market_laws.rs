//! Laws of the tally on random hauls, and line amounts against whole-number arithmetic done another way.

#![allow(clippy::unwrap_used, reason = "a test may stop at a value that must be there")]

use crate::market_fixture::{book, built, buys, d, draft, fraction, haul, hollow, kg, minutes, money, remainder, tree};
use knockdown::market::haul::{Consumable, Fraction, Haul, Mix, WeightSource};
use knockdown::market::tally::CostKind;
use knockdown::market::{Tally, Yard};
use knockdown::quantity::{Mass, MassUnit, Money};
use proptest::prelude::*;
use rust_decimal::Decimal;

const GRADES: [&str; 8] =
    ["copper-1", "copper-2", "steel-light", "board-mid", "board-high", "compressor-sealed", "crt-display", "plastic"];

fn any_fraction() -> impl Strategy<Value = Fraction> {
    let net = prop::option::weighted(0.9, (0_i64..60_000_000, 0_u32..4).prop_map(|(n, dp)| Decimal::new(n, dp)));
    (0..GRADES.len(), net, 0_u32..4, prop::option::weighted(0.2, 0_usize..2), "[a-z]{1,6}").prop_map(
        |(grade, net, pieces, in_mix, name)| Fraction {
            pieces,
            in_mix,
            division: Mass::ZERO,
            ..fraction(&name, GRADES[grade], net.map(|grams| Mass::from_grams(grams).unwrap()))
        },
    )
}

fn any_haul() -> impl Strategy<Value = Haul> {
    (prop::collection::vec(any_fraction(), 0..12), 0_i64..100_000, -500_i64..40_000, 0_i64..600, 0_i64..2_000).prop_map(
        |(fractions, intake, left, time, used)| Haul {
            intake: Some(Mass::from_grams(Decimal::from(intake)).unwrap()),
            whole_grade: Some("appliance-light".into()),
            mixes: vec![Mix { name: "first".into(), net: None }, Mix { name: "second".into(), net: Some(kg("2")) }],
            remainders: vec![remainder(
                "steel-light",
                Mass::from_grams(Decimal::from(left)).unwrap(),
                WeightSource::Computed,
            )],
            minutes: minutes(&time.to_string()),
            consumables: vec![Consumable {
                name: "Blade".into(),
                cost: money(&Decimal::new(used, 2).to_string(), "CAD"),
            }],
            ..haul(fractions)
        },
    )
}

fn visited() -> Yard {
    let mut yard = hollow();
    yard.visit_fee("Weighbridge", d("1.25")).unwrap();
    built(yard)
}

fn tally(haul: &Haul, yard: &Yard) -> Tally {
    Tally::of(haul, &book(yard, &[], &tree())).unwrap()
}

fn total(amounts: impl Iterator<Item = Money>) -> Decimal {
    amounts.map(Money::amount).sum()
}

proptest! {
    #[test]
    fn lines_costs_and_rounding_add_up_to_the_net_exactly(haul in any_haul()) {
        let tally = tally(&haul, &visited());
        let lines = total(tally.lines.iter().map(|line| line.amount));
        let costs = |kind: fn(CostKind) -> bool| total(tally.costs.iter().filter(|c| kind(c.kind)).map(|c| c.amount));
        let fees = costs(|kind| kind == CostKind::VisitFee);
        prop_assert_eq!(tally.paid.amount(), lines - fees + tally.rounding.amount());
        prop_assert_eq!(tally.net.amount(), tally.paid.amount() - costs(|kind| kind != CostKind::VisitFee));
        prop_assert!((tally.paid.amount() % d("0.05")).is_zero(), "cash comes in steps of five cents");
        prop_assert!(tally.rounding.amount().abs() <= d("0.02"), "two cents at most, since lines are whole cents");
        let whole = tally.whole.value.as_ref().unwrap();
        prop_assert_eq!(tally.gain.unwrap().amount(), tally.net.amount() - whole.amount());
    }

    #[test]
    fn nothing_is_lost_between_haul_and_tally(haul in any_haul()) {
        let tally = tally(&haul, &visited());
        let mut parts: Vec<&str> = haul.fractions.iter().map(|fraction| fraction.part.as_str()).collect();
        let sold = tally.lines.iter().flat_map(|line| &line.items).filter(|item| !item.remainder);
        let unsold = tally.unsold.iter().filter(|item| !item.remainder);
        let mut shown: Vec<&str> = sold.map(|item| item.part.as_str()).chain(unsold.map(|item| item.part.as_str())).collect();
        parts.sort_unstable();
        shown.sort_unstable();
        prop_assert_eq!(parts, shown);
        let clean: Vec<_> = tally.lines.iter().filter(|line| line.mix.is_none()).map(|line| &line.priced.priced_as).collect();
        let mut once = clean.clone();
        once.sort_unstable();
        once.dedup();
        prop_assert_eq!(once.len(), clean.len(), "one ticket line for each line of the price list");
    }

    #[test]
    fn the_order_in_which_parts_came_out_does_not_matter(
        (haul, shuffled) in any_haul().prop_flat_map(|haul| {
            let fractions = Just(haul.fractions.clone()).prop_shuffle();
            (Just(haul), fractions)
        })
    ) {
        let other = Haul { fractions: shuffled, ..haul.clone() };
        let yard = visited();
        prop_assert_eq!(tally(&haul, &yard), tally(&other, &yard));
        prop_assert_eq!(tally(&haul, &yard), tally(&haul, &yard), "valuing again changes nothing");
    }

    /// Price in ten-thousandths of a dollar per pound, mass in hundred-thousandths of a gram: the amount in cents is
    /// price × mass ÷ (100 × 45 359 237) in whole numbers, half away from zero.
    #[test]
    fn a_line_is_rounded_as_whole_numbers_say(price in 0_i64..5_000_000, mass in 0_i64..5_000_000_000_000) {
        let mut yard = draft("lb", "Pounds", "CAD", MassUnit::Pound, None);
        buys(&mut yard, "copper-2", &Decimal::new(price, 4).to_string());
        let haul = haul(vec![fraction("coil", "copper-2", Some(Mass::from_grams(Decimal::new(mass, 5)).unwrap()))]);
        let amount = tally(&haul, &built(yard)).lines[0].amount.amount();
        // price/10⁴ per lb × mass/10⁵ g ÷ 453.59237 g/lb × 100 cents = price × mass ÷ (100 × 45 359 237) cents.
        let (top, bottom) = (i128::from(price) * i128::from(mass), 100 * 45_359_237_i128);
        let cents = (2 * top + bottom) / (2 * bottom);
        prop_assert_eq!(amount, Decimal::from_i128_with_scale(cents, 2));
    }
}
