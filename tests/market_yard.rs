//! A yard's draft: what it takes, and what it refuses with which words.

#![allow(clippy::unwrap_used, reason = "a test may stop at a value that must be there")]

use crate::market_fixture::{AS_OF, built, buys, d, draft, hollow, kg, lb, tree};
use knockdown::market::{YardDraft, YardError, YardProblem};
use knockdown::quantity::{Basis, MassUnit, Money};

fn fresh() -> YardDraft {
    draft("test", "Test Yard", "CAD", MassUnit::Pound, None)
}

fn refusal<T>(result: Result<T, YardError>) -> String {
    result.err().expect("should be refused").to_string()
}

fn faults(draft: YardDraft) -> Vec<String> {
    draft.build(&tree()).unwrap_err().iter().map(YardError::to_string).collect()
}

#[test]
fn what_was_declared_can_be_read_back() {
    let mut draft = hollow();
    draft.region("CA-ON").unwrap();
    draft.sample();
    draft.visit_fee("Weighbridge", d("2.005")).unwrap();
    let yard = built(draft);
    assert_eq!((yard.id(), yard.region(), yard.currency().code()), ("hollow-lane", "CA-ON", "CAD"));
    assert_eq!((yard.as_of(), yard.is_sample(), yard.division()), (AS_OF, true, Some(lb("0.2"))));
    let copper = yard.offer("copper-2").unwrap();
    assert_eq!((copper.name(), copper.price().to_string().as_str()), ("No. 2 copper", "3.40 CAD/lb"));
    assert_eq!(copper.tiers().len(), 1);
    assert!(
        yard.offer("crt-display").unwrap().is_charge()
            && yard.offer("crt-display").unwrap().price().basis() == Basis::Piece
    );
    assert_eq!(yard.visit_fees()[0].amount.amount(), d("2.01"), "2.005 is a tie and goes away from zero");
}

#[test]
fn the_order_of_statements_does_not_matter() {
    let mut late = YardDraft::new("late", "Late").unwrap();
    let offer = buys(&mut late, "copper-2", "3.40");
    late.tier(offer, lb("50"), d("3.55")).unwrap();
    late.as_of(AS_OF);
    late.weighs_in(MassUnit::Pound, None).unwrap();
    late.currency("CAD").unwrap();
    assert_eq!(built(late).offer("copper-2").unwrap().tiers()[0].price.to_string(), "3.55 CAD/lb");
}

#[test]
fn a_falling_tier_is_kept() {
    let mut yard = fresh();
    let offer = buys(&mut yard, "copper-2", "3.40");
    yard.tier(offer, lb("50"), d("3.55")).unwrap();
    yard.tier(offer, lb("500"), d("3.50")).unwrap();
    yard.tier(offer, lb("900"), d("3.50")).unwrap();
    let fee = yard.charges("plastic", "Plastic", d("0.05")).unwrap();
    yard.tier(fee, lb("50"), d("0.02")).unwrap();
    let yard = built(yard);
    let tiers = |grade| yard.offer(grade).unwrap().tiers().iter().map(|tier| (tier.from, tier.price.amount()));
    assert!(tiers("copper-2").eq([(lb("50"), d("3.55")), (lb("500"), d("3.50")), (lb("900"), d("3.50"))]));
    assert!(tiers("plastic").eq([(lb("50"), d("-0.02"))]), "a charge may shrink");
}

#[test]
fn refusals_at_the_call_name_offer_and_value() {
    let mut yard = fresh();
    let offer = buys(&mut yard, "copper-2", "3.40");
    yard.tier(offer, lb("50"), d("3.55")).unwrap();
    assert_eq!(
        refusal(yard.tier(offer, lb("50"), d("3.60"))),
        "offer for `copper-2`: the tier from 50 lb does not lie above the tier before it, from 50 lb: list them lightest first"
    );
    assert_eq!(
        refusal(yard.buys("copper-2", "Again", d("1"))),
        "offer for `copper-2`: the grade was already given a price, as `Our copper-2`: keep one; use tiers for a price by weight"
    );
    assert!(refusal(yard.buys("plastic", "Plastic", d("-1"))).contains("-1 is negative: write the amount alone"));
    assert!(refusal(yard.tier(offer, lb("60"), d("-1"))).contains("negative"));
    assert!(refusal(yard.buys("plastic", "  ", d("1"))).contains("the local name is empty"));
    assert!(refusal(yard.buys("plastic", &"x".repeat(121), d("1"))).contains("121 characters; the most is 120"));
    assert!(refusal(yard.minimum(offer, kg("0"))).contains("must be above zero"));
    assert!(refusal(yard.pays_to(d("0"))).contains("must be above zero"));
    assert!(refusal(yard.weighs_in(MassUnit::Pound, Some(d("0.0000000000000001")))).contains("scale division"));
    assert!(refusal(YardDraft::new("Hollow Lane", "x")).contains("Hollow Lane"));
}

#[test]
fn a_currency_that_does_not_exist_gets_the_nearest_that_does() {
    let mut yard = fresh();
    for (written, meant) in [("CDA", "CAD"), ("cad", "CAD"), ("JYP", "JPY"), ("EURO", "EUR")] {
        let said = refusal(yard.currency(written));
        assert_eq!(said, format!("`{written}` is not a currency of ISO 4217; did you mean `{meant}`?"));
    }
    assert!(yard.currency("XAU").is_err(), "gold has no minor unit");
}

#[test]
fn building_lists_everything_that_is_still_wrong() {
    let mut yard = YardDraft::new("bare", "Bare").unwrap();
    buys(&mut yard, "copper-2", "3.40");
    assert_eq!(faults(yard).len(), 3, "currency, unit, date");

    let mut yard = fresh();
    buys(&mut yard, "coper-2", "3.40");
    let tiered = buys(&mut yard, "board", "1");
    yard.tier(tiered, lb("50"), d("2")).unwrap();
    yard.each(tiered).unwrap();
    let least = buys(&mut yard, "plastic", "1");
    yard.minimum(least, lb("50")).unwrap();
    yard.each(least).unwrap();
    yard.pays_to(d("0.025")).unwrap();
    assert_eq!(
        faults(yard),
        [
            "cash step 0.025 is not a multiple of 0.01, the smallest amount of CAD",
            "offer for `coper-2`: `coper-2` is not a known grade; did you mean `copper-2`?",
            "offer for `board`: a price for each piece has no tier by weight: remove it, or give a price per weight",
            "offer for `plastic`: a price for each piece has no minimum lot by weight: remove it, or give a price per weight",
        ]
    );
}

#[test]
fn an_amount_past_all_bounds_is_an_error_and_no_panic() {
    let mut yard = fresh();
    let huge = rust_decimal::Decimal::MAX;
    let place = yard.buys("copper-2", "Copper", huge).unwrap();
    yard.visit_fee("Fee", huge).unwrap();
    let errors = yard.build(&tree()).unwrap_err();
    assert_eq!(errors.len(), 2);
    assert_eq!(errors[0].offer.as_ref().map(|offer| offer.index), Some(place.index()));
    assert!(errors.iter().all(|error| matches!(error.problem, YardProblem::Quantity(_))));
}

#[test]
fn a_price_may_have_more_digits_than_the_currency() {
    let mut yard = fresh();
    buys(&mut yard, "steel-light", "0.08375");
    let price = built(yard).offer("steel-light").unwrap().price();
    assert_eq!(price.of(lb("100"), 0).map(Money::amount).unwrap(), d("8.38"), "8.375 is a tie");
}
