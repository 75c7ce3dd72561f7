//! Tallies worked by hand, with the arithmetic written out. All prices are invented.

#![allow(clippy::unwrap_used, reason = "a test may stop at a value that must be there")]

use crate::market_fixture::{
    book, built, buys, d, draft, fraction, haul, hollow, kg, lb, minutes, money, oven, plain_kg, quote, remainder, tree,
};
use knockdown::market::haul::{BalanceReading, Consumable, Haul, Remainder, RemainderOf, WeightSource};
use knockdown::market::tally::{BalanceVerdict, CostKind, TallyProblem};
use knockdown::market::{Quote, Tally, Unsold, Yard};
use knockdown::quantity::{Mass, MassUnit, Notation};
use rust_decimal::Decimal;

fn tally_with(haul: &Haul, yard: &Yard, quotes: &[Quote]) -> Tally {
    let tree = tree();
    Tally::of(haul, &book(yard, quotes, &tree)).unwrap()
}

fn tally(haul: &Haul, yard: &Yard) -> Tally {
    tally_with(haul, yard, &[])
}

fn amounts(tally: &Tally) -> Vec<(&str, Decimal)> {
    tally.lines.iter().map(|line| (line.priced.priced_as.as_str(), line.amount.amount())).collect()
}

/// The amount of the only line for one fraction of `mass`.
fn one_line(yard: &Yard, grade: &str, mass: Mass) -> Decimal {
    let tally = tally(&haul(vec![fraction("part", grade, Some(mass))]), yard);
    assert_eq!(tally.lines.len(), 1);
    tally.lines[0].amount.amount()
}

fn reasons(tally: &Tally) -> Vec<(&str, Unsold)> {
    tally.unsold.iter().map(|item| (item.part.as_str(), item.reason.clone())).collect()
}

/// 1 lb = 453.59237 g; this yard's scale shows multiples of 0.2 lb.
///
/// transformer  3700 g ÷ 453.59237 =  8.15710 lb →  8.2 lb × 0.45 =  3.690 → 3.69
/// winding       700 g             =  1.54324 lb →  1.6 lb × 3.40 =  5.440 → 5.44
/// remainder    8150 g             = 17.96767 lb → 18.0 lb × 0.11 =  1.980 → 1.98
/// board         450 g             =  0.99208 lb →  1.0 lb × 0.90 =  0.900 → 0.90   (priced as `board`)
/// sum 12.01, in cash to 0.05: 12.00, so rounding −0.01
/// net = 12.00 − saw blade 0.35 = 11.65
/// whole: 13000 g = 28.66009 lb → 28.6 lb × 0.08 = 2.288 → 2.29, in cash 2.30
/// gain = 11.65 − 2.30 = 9.35; per hour 9.35 × 60 ÷ 42 = 13.3571… → 13.36
/// recovery: 700 g of 13000 g = 5.38… % → 5.4 %  (the transformer is a grade of its own, no metal)
#[test]
fn the_oven_comes_out_as_worked_by_hand() {
    let tally = tally(&oven(), &built(hollow()));
    assert_eq!(
        amounts(&tally),
        [("copper-2", d("5.44")), ("transformer-copper", d("3.69")), ("steel-light", d("1.98")), ("board", d("0.90"))]
    );
    let nets: Vec<_> = tally.lines.iter().map(|line| line.net.unwrap()).collect();
    assert_eq!(nets, [lb("1.6"), lb("8.2"), lb("18"), lb("1")]);
    assert_eq!((tally.rounding.amount(), tally.paid.amount()), (d("-0.01"), d("12.00")));
    assert_eq!(tally.net, money("11.65", "CAD"));
    assert_eq!(tally.whole.value, Ok(money("2.30", "CAD")));
    assert_eq!((tally.gain, tally.per_hour), (Some(money("9.35", "CAD")), Some(money("13.36", "CAD"))));
    assert_eq!(reasons(&tally), [("turntable motor", Unsold::NoPrice)]);
    let recovery = tally.recovery.unwrap();
    assert_eq!((recovery.metal, recovery.percent), (kg("0.7"), d("5.4")));

    let board = &tally.lines[3];
    assert!(board.is_wider() && !tally.lines[0].is_wider());
    assert_eq!(board.grades(), ["board-mid"]);
    assert_eq!(board.items[0].regraded_from.as_deref(), Some("board-high"));
    let mut items = tally.lines.iter().flat_map(|line| line.items.iter().map(move |item| (line, item)));
    let (line, left) = items.find(|(_, item)| item.remainder).unwrap();
    assert_eq!(
        (line.kind(), left.how, left.part.as_str()),
        ("remainder", WeightSource::Computed, "Countertop microwave oven")
    );
}

#[test]
fn half_a_cent_goes_away_from_zero_once_a_line() {
    let mut yard = draft("tie", "Tie", "CAD", MassUnit::Kilogram, None);
    buys(&mut yard, "copper-2", "0.25");
    yard.charges("plastic", "Plastic", d("0.25")).unwrap();
    let yard = built(yard);
    // 0.5 kg × 0.25 = 0.125; 0.1 kg × 0.25 = 0.025; 0.58 kg × 0.25 = 0.145
    for (mass, amount) in [("0.5", "0.13"), ("0.1", "0.03"), ("0.58", "0.15")] {
        assert_eq!(one_line(&yard, "copper-2", kg(mass)), d(amount));
        assert_eq!(one_line(&yard, "plastic", kg(mass)), -d(amount), "a charge too");
    }
    // Two of 0.5 kg are one lot: 1.0 kg × 0.25 = 0.25, not 0.13 twice.
    let two = haul(vec![fraction("a", "copper-2", Some(kg("0.5"))), fraction("b", "copper-2", Some(kg("0.5")))]);
    assert_eq!(amounts(&tally(&two, &yard)), [("copper-2", d("0.25"))]);
    // 1.5 lb × 0.03 = 0.045, a tie although a pound is 453.59237 g.
    let mut pounds = draft("lb", "Pounds", "CAD", MassUnit::Pound, None);
    buys(&mut pounds, "copper-2", "0.03");
    assert_eq!(one_line(&built(pounds), "copper-2", lb("1.5")), d("0.05"));
}

#[test]
fn currencies_round_to_their_own_minor_unit() {
    // 1.25 kg × 90 = 112.5 → 113 yen; 0.7 kg × 1.2345 = 0.86415 → 0.864 dinar; 0.5 kg × 0.001 = 0.0005 → 0.001 dinar.
    assert_eq!(one_line(&plain_kg("JPY", &[("copper-2", "90")]), "copper-2", kg("1.25")), d("113"));
    assert_eq!(one_line(&plain_kg("KWD", &[("copper-2", "1.2345")]), "copper-2", kg("0.7")), d("0.864"));
    assert_eq!(one_line(&plain_kg("KWD", &[("copper-2", "0.001")]), "copper-2", kg("0.5")), d("0.001"));
    // Gain per hour in yen has no digits either: 113 × 60 ÷ 7 = 968.57… → 969; the unit whole brings 0 (1 kg × 0).
    let yard = plain_kg("JPY", &[("copper-2", "90"), ("appliance", "0")]);
    let mut haul = haul(vec![fraction("part", "copper-2", Some(kg("1.25")))]);
    (haul.intake, haul.whole_grade, haul.minutes) = (Some(kg("1")), Some("appliance".into()), minutes("7"));
    let tally = tally(&haul, &yard);
    assert_eq!(tally.whole.value, Ok(money("0", "JPY")), "a price of zero is a sale at nothing, not unsold");
    assert_eq!(tally.per_hour, Some(money("969", "JPY")));
}

/// Canada since 4 February 2013 (Canada Revenue Agency, phasing out of the penny): the cash total goes to the nearest
/// 5 cents; endings 1, 2 down, 3, 4 up, 6, 7 down, 8, 9 up.
#[test]
fn cash_totals_follow_the_published_table() {
    let mut yard = draft("cash", "Cash", "CAD", MassUnit::Kilogram, None);
    yard.pays_to(d("0.05")).unwrap();
    buys(&mut yard, "copper-2", "1.00");
    let yard = built(yard);
    let table = [
        ("1.00", "1.00"),
        ("1.01", "1.00"),
        ("1.02", "1.00"),
        ("1.03", "1.05"),
        ("1.04", "1.05"),
        ("1.05", "1.05"),
        ("1.06", "1.05"),
        ("1.07", "1.05"),
        ("1.08", "1.10"),
        ("1.09", "1.10"),
    ];
    for (due, cash) in table {
        let tally = tally(&haul(vec![fraction("part", "copper-2", Some(kg(due)))]), &yard);
        assert_eq!(tally.paid.amount(), d(cash));
        assert_eq!(tally.rounding.amount(), d(cash) - d(due));
    }
}

#[test]
fn a_pool_reaches_a_tier_together_and_on_the_yards_scale() {
    let yard = built(hollow());
    // 24.9 + 25.0 = 49.9 lb; on a 0.2 lb scale 249.5 steps → 250 → 50.0 lb, which reaches the tier: 50.0 × 3.55 = 177.50.
    let pool = haul(vec![fraction("a", "copper-2", Some(lb("24.9"))), fraction("b", "copper-2", Some(lb("25")))]);
    let first = tally(&pool, &yard);
    assert_eq!(amounts(&first), [("copper-2", d("177.50"))]);
    assert_eq!((first.lines[0].mass, first.lines[0].net), (Some(lb("49.9")), Some(lb("50"))));
    assert_eq!(first.lines[0].priced.tier, Some(lb("50")));
    // 49.8 lb is 249 steps: 49.8 × 3.40 = 169.32.
    assert_eq!(one_line(&yard, "copper-2", lb("49.8")), d("169.32"));
    // A finer grade without a price of its own is on the same ticket line, so it helps to reach the tier.
    let finer = haul(vec![fraction("a", "copper-1", Some(lb("24.9"))), fraction("b", "copper-2", Some(lb("25")))]);
    let finer = tally(&finer, &yard);
    assert_eq!(amounts(&finer), [("copper-2", d("177.50"))]);
    assert_eq!(finer.lines[0].grades(), ["copper-1", "copper-2"]);
}

#[test]
fn prices_per_tonne_and_per_piece() {
    let mut yard = draft("t", "By the tonne", "EUR", MassUnit::Kilogram, None);
    let steel = buys(&mut yard, "steel-light", "185");
    yard.per(steel, MassUnit::Tonne).unwrap();
    let board = buys(&mut yard, "board", "0.75");
    yard.each(board).unwrap();
    let yard = built(yard);
    // 850 kg × 185 ÷ 1000 = 157.25; 8.15 kg: 1.50775 → 1.51.
    assert_eq!(one_line(&yard, "steel-light", kg("850")), d("157.25"));
    assert_eq!(one_line(&yard, "steel-light", kg("8.15")), d("1.51"));
    let mut boards = fraction("boards", "board-mid", None);
    boards.pieces = 3;
    let mut loose = fraction("loose boards", "board", None);
    loose.pieces = 0;
    // 3 × 0.75 = 2.25, without any weight.
    let three = tally(&haul(vec![boards, loose.clone()]), &yard);
    assert_eq!((three.lines[0].amount.amount(), three.lines[0].pieces, three.lines[0].net), (d("2.25"), 3, None));
    assert_eq!(reasons(&tally(&haul(vec![loose]), &yard)), [("loose boards", Unsold::NotCounted)]);
}

#[test]
fn what_cannot_be_sold_is_listed_and_in_no_sum() {
    let mut yard = draft("u", "Unsold", "CAD", MassUnit::Kilogram, None);
    let copper = buys(&mut yard, "copper-2", "4");
    yard.minimum(copper, kg("20")).unwrap();
    buys(&mut yard, "steel-light", "0.1");
    let yard = built(yard);
    let mut haul = haul(vec![
        fraction("coil", "copper-2", Some(kg("19.999"))),
        fraction("screws", "steel-light", None),
        fraction("case", "plastic", Some(kg("1"))),
        fraction("mystery", "unobtainium", Some(kg("1"))),
    ]);
    haul.remainders.push(Remainder {
        of: RemainderOf::Part("coil".into()),
        grade: None,
        mass: Some(kg("1")),
        how: WeightSource::Weighed,
        pieces: 1,
    });
    haul.remainders.push(Remainder {
        of: RemainderOf::Unit,
        grade: Some("steel-light".into()),
        mass: Some(Mass::ZERO),
        how: WeightSource::Computed,
        pieces: 1,
    });
    let tally = tally(&haul, &yard);
    let minimum = Unsold::BelowMinimum { minimum: kg("20"), unit: MassUnit::Kilogram };
    assert_eq!(
        reasons(&tally),
        [
            ("case", Unsold::NoPrice),
            ("coil", Unsold::NoGrade),
            ("coil", minimum),
            ("mystery", Unsold::UnknownGrade { nearest: None }),
            ("screws", Unsold::NotWeighed),
        ]
    );
    assert!(tally.lines.is_empty() && tally.net.amount().is_zero());
    assert_eq!((tally.gain, tally.per_hour, tally.recovery), (None, None, None));
}

#[test]
fn a_visit_is_paid_once_by_either_way_of_selling_and_never_for_nothing() {
    let mut yard = draft("v", "Visit", "CAD", MassUnit::Kilogram, None);
    buys(&mut yard, "copper-2", "4");
    buys(&mut yard, "appliance", "1");
    yard.visit_fee("Weighbridge", d("2")).unwrap();
    let yard = built(yard);
    let mut sold = haul(vec![fraction("coil", "copper-2", Some(kg("3")))]);
    (sold.intake, sold.whole_grade) = (Some(kg("10")), Some("appliance".into()));
    // 3 × 4 − 2 = 10; whole 10 × 1 − 2 = 8; gain 2.
    let tally_sold = tally(&sold, &yard);
    assert_eq!((tally_sold.net.amount(), tally_sold.whole.value), (d("10"), Ok(money("8", "CAD"))));
    assert_eq!(tally_sold.gain, Some(money("2", "CAD")));
    let nothing = tally(&haul(vec![fraction("case", "plastic", Some(kg("3")))]), &yard);
    assert!(nothing.costs.is_empty() && nothing.net.amount().is_zero());
}

#[test]
fn money_of_another_currency_is_listed_and_not_summed() {
    let mut haul = haul(vec![fraction("coil", "copper-2", Some(kg("1")))]);
    haul.consumables = vec![
        Consumable { name: "Gloves".into(), cost: money("3", "EUR") },
        Consumable { name: "Tape".into(), cost: money("0.5", "CAD") },
    ];
    let tally = tally(&haul, &plain_kg("CAD", &[("copper-2", "4")]));
    assert_eq!(tally.net, money("3.50", "CAD"));
    let counted: Vec<_> = tally.costs.iter().map(|cost| (cost.kind, cost.counted)).collect();
    assert_eq!(counted, [(CostKind::Consumable, false), (CostKind::Consumable, true)]);
}

#[test]
fn a_negative_remainder_is_shouted_and_never_clamped() {
    let mut haul = oven();
    haul.remainders = vec![remainder("steel-light", kg("-0.3"), WeightSource::Computed)];
    let tally = tally(&haul, &built(hollow()));
    let mass = kg("-0.3");
    assert_eq!(tally.problems, [TallyProblem::NegativeRemainder { of: "Countertop microwave oven".into(), mass }]);
    let said = tally.problems[0].words(MassUnit::Kilogram, Notation::Point);
    assert!(said.starts_with("what is left of Countertop microwave oven comes out at -0.3 kg"), "{said}");
    let left = tally.unsold.iter().find(|item| item.remainder).unwrap();
    assert_eq!((left.mass, &left.reason), (Some(mass), &Unsold::BelowZero));
    assert!(!amounts(&tally).iter().any(|(grade, _)| *grade == "steel-light"));
}

#[test]
fn what_was_handed_on_is_not_sold() {
    let mut haul = oven();
    haul.handed_on = Some("refrigerant".into());
    let tally = tally(&haul, &built(hollow()));
    let left = tally.unsold.iter().find(|item| item.remainder).unwrap();
    assert_eq!(left.reason, Unsold::HandedOn("refrigerant".into()));
    assert_eq!(tally.handed_on.as_deref(), Some("refrigerant"));
}

/// sd of each reading d ÷ √12; d = 0.1 kg thrice: √(3 × 0.1² ÷ 12) = 0.05 kg.
#[test]
fn the_balance_says_what_it_can() {
    let yard = plain_kg("CAD", &[("steel-light", "1")]);
    let with = |intake: &str, readings: &[&str], how| {
        let reading = |mass: &&str| BalanceReading { part: "p".into(), mass: kg(mass), division: kg("0.1") };
        let haul = Haul {
            intake: Some(kg(intake)),
            intake_division: kg("0.1"),
            readings: readings.iter().map(reading).collect(),
            remainders: vec![remainder("steel-light", kg("1"), how)],
            ..Haul::default()
        };
        tally(&haul, &yard).balance
    };
    // Gap 10.0 − 9.7 = 0.3 kg = 6 sd; 10.0 − 9.9 = 0.1 kg = 2 sd.
    let open = with("10", &["4", "5.7"], WeightSource::Weighed);
    assert_eq!((open.gap, open.verdict), (Some(kg("0.3")), BalanceVerdict::DoesNotClose));
    assert!((open.z.unwrap() - 6.0).abs() < 1e-9 && (open.sd_grams.unwrap() - 50.0).abs() < 1e-9);
    let shut = with("10", &["4", "5.9"], WeightSource::Weighed);
    assert_eq!(shut.verdict, BalanceVerdict::Closes);
    assert!((shut.z.unwrap() - 2.0).abs() < 1e-9);
    // Too much came out: the sign is kept.
    assert!((with("10", &["4", "6.3"], WeightSource::Weighed).z.unwrap() + 6.0).abs() < 1e-9);
    // 3 sd = 0.15 kg is more than 5 % of 2 kg: this scale would hardly see a loss.
    let coarse = with("2", &["1", "1"], WeightSource::Weighed).verdict;
    assert_eq!(coarse, BalanceVerdict::CannotBeSaid("the scales are too coarse for this unit"));
    let computed = with("10", &["4", "6"], WeightSource::Computed);
    assert_eq!(computed.verdict.words(), "cannot be said: what is left was computed, not weighed");
    assert_eq!(computed.z, None);
    assert_eq!(
        with("10", &[], WeightSource::Weighed).verdict.words(),
        "cannot be said: nothing that came out was weighed"
    );
}

#[test]
fn a_quote_changes_the_line_and_is_named() {
    let yard = built(hollow());
    let quotes = [
        quote(&yard, "copper-2", "3.50", MassUnit::Pound, crate::market_fixture::TODAY),
        quote(&yard, "copper-bearing", "1", MassUnit::Pound, crate::market_fixture::TODAY),
    ];
    let tally = tally_with(&oven(), &yard, &quotes);
    // 1.6 lb × 3.50 = 5.60
    assert_eq!(amounts(&tally)[0], ("copper-2", d("5.60")));
    assert_eq!(tally.prices.quotes, [quotes[0].clone()], "only those that priced something");
}

#[test]
fn an_absurd_price_unsells_its_line_and_nothing_else() {
    let yard = plain_kg("CAD", &[("copper-2", "999999999999"), ("steel-light", "1")]);
    let haul = haul(vec![
        fraction("coil", "copper-2", Some(kg("1000000000"))),
        fraction("case", "steel-light", Some(kg("2"))),
    ]);
    let tally = tally(&haul, &yard);
    assert_eq!(amounts(&tally), [("steel-light", d("2"))]);
    assert_eq!(tally.unsold[0].reason.code(), "out-of-bounds");
}
