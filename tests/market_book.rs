//! Looking a grade up: the climb through the tree, tiers, minimum lots, quotes.

#![allow(clippy::unwrap_used, reason = "a test may stop at a value that must be there")]

use crate::market_fixture::{AS_OF, TODAY, book, built, buys, d, draft, hollow, lb, quote, tree};
use jiff::civil::date;
use knockdown::market::quote::Aside;
use knockdown::market::{Book, PriceSource, Quote, Unsold, Yard};
use knockdown::quantity::{Basis, Currency, MassUnit, Notation, Price};

fn price_of(yard: &Yard, quotes: &[Quote], grade: &str, mass: &str) -> Result<String, Unsold> {
    let tree = tree();
    book(yard, quotes, &tree).price(grade, Some(lb(mass))).map(|priced| priced.price.to_string())
}

#[test]
fn the_nearest_priced_class_decides() {
    let (tree, yard) = (tree(), built(hollow()));
    let book = book(&yard, &[], &tree);
    let priced = book.price("board-mid", Some(lb("1"))).unwrap();
    assert_eq!((priced.priced_as.as_str(), priced.name.as_str()), ("board", "Circuit board, mixed"));
    assert_eq!(book.price("copper-1", Some(lb("1"))).unwrap().priced_as, "copper-2");
    assert_eq!(book.price("copper", Some(lb("1"))), Err(Unsold::NoPrice), "a wider class never takes the finer price");
    let nearest = Some("copper-2".into());
    assert_eq!(book.price("coper-2", Some(lb("1"))), Err(Unsold::UnknownGrade { nearest }));
    assert_eq!(book.price("plastic", Some(lb("1"))).unwrap_err().words(Notation::Point), "no price here");
}

#[test]
fn a_lot_exactly_at_the_threshold_reaches_the_tier() {
    let yard = built(hollow());
    assert_eq!(price_of(&yard, &[], "copper-2", "49.999999"), Ok("3.40 CAD/lb".into()));
    assert_eq!(price_of(&yard, &[], "copper-2", "50"), Ok("3.55 CAD/lb".into()));
    let tree = tree();
    let reached = book(&yard, &[], &tree).price("copper-2", Some(lb("50"))).unwrap();
    assert_eq!(reached.tier, Some(lb("50")));
    assert_eq!(reached.source, PriceSource::Module { as_of: AS_OF });
}

#[test]
fn below_the_minimum_lot_the_finest_offer_refuses_for_all() {
    let mut yard = draft("min", "Minimum", "CAD", MassUnit::Pound, None);
    let copper = buys(&mut yard, "copper-2", "3.40");
    yard.minimum(copper, lb("50")).unwrap();
    buys(&mut yard, "copper", "1.00");
    let yard = built(yard);
    let refused = price_of(&yard, &[], "copper-2", "49.9").unwrap_err();
    assert_eq!(refused.words(Notation::Point), "below the minimum lot of 50 lb");
    assert_eq!(price_of(&yard, &[], "copper-2", "50"), Ok("3.40 CAD/lb".into()));
    let quotes = [quote(&yard, "copper-2", "3.60", MassUnit::Pound, TODAY)];
    assert!(price_of(&yard, &quotes, "copper-2", "49.9").is_err(), "a quote says a price, the minimum lot stays");
}

#[test]
fn a_quote_replaces_base_and_tiers() {
    let yard = built(hollow());
    let quotes = [quote(&yard, "copper-2", "3.60", MassUnit::Pound, date(2026, 11, 10))];
    for mass in ["1", "500"] {
        assert_eq!(price_of(&yard, &quotes, "copper-2", mass), Ok("3.60 CAD/lb".into()));
    }
    let tree = tree();
    let priced = book(&yard, &quotes, &tree).price("copper-2", Some(lb("1"))).unwrap();
    assert_eq!(priced.name, "No. 2 copper", "the yard's own name stays");
    assert_eq!(priced.source, PriceSource::Quote { date: date(2026, 11, 10), origin: "by telephone".into() });
}

#[test]
fn only_quotes_from_the_modules_day_to_the_valuations_day_count_and_the_latest_wins() {
    let (tree, yard) = (tree(), built(hollow()));
    let on = |day, amount| quote(&yard, "copper-2", amount, MassUnit::Pound, day);
    let quotes = [
        on(date(2026, 11, 1), "9.01"),
        on(AS_OF, "3.41"),
        on(date(2026, 11, 12), "3.43"),
        on(date(2026, 11, 11), "3.42"),
        on(date(2026, 11, 12), "3.44"),
        on(date(2026, 11, 21), "9.02"),
    ];
    let price = |day| {
        let book = Book::new(&yard, &quotes, &tree, day);
        book.price("copper-2", Some(lb("1"))).unwrap().price.amount()
    };
    assert_eq!(price(AS_OF), d("3.41"), "one of the module's own day counts");
    assert_eq!(price(date(2026, 11, 11)), d("3.42"));
    assert_eq!(price(TODAY), d("3.44"), "of two on one day the last in the list");
    assert_eq!(price(date(2026, 11, 21)), d("9.02"));
    assert_eq!(price(date(2026, 11, 1)), d("3.40"), "an old quote never overrides the module");
    let book = Book::new(&yard, &quotes, &tree, TODAY);
    let reasons: Vec<Aside> = book.set_aside().iter().map(|(_, reason)| *reason).collect();
    use Aside::{AfterTheDay, OlderThanModule, Superseded};
    assert_eq!(reasons, [OlderThanModule, Superseded, Superseded, Superseded, AfterTheDay]);
    assert!(Book::new(&yard, &[], &tree, date(2026, 11, 1)).prices_are_later());
}

#[test]
fn a_quote_for_a_finer_grade_wins_at_its_level() {
    let yard = built(hollow());
    let quotes = [quote(&yard, "board-high", "6.00", MassUnit::Pound, TODAY)];
    assert_eq!(price_of(&yard, &quotes, "board-high", "1"), Ok("6.00 CAD/lb".into()));
    assert_eq!(price_of(&yard, &quotes, "board-mid", "1"), Ok("0.90 CAD/lb".into()));
    let tree = tree();
    let priced = book(&yard, &quotes, &tree).price("board-high", Some(lb("1"))).unwrap();
    assert_eq!(priced.name, "The grade board-high", "without an offer the catalogue's name stands");
}

#[test]
fn quotes_of_other_yards_pass_and_unfit_ones_are_listed() {
    let (tree, yard) = (tree(), built(hollow()));
    let mut elsewhere = quote(&yard, "copper-2", "9", MassUnit::Pound, TODAY);
    elsewhere.yard = "elsewhere".into();
    let mut euros = quote(&yard, "copper-2", "9", MassUnit::Pound, TODAY);
    euros.price = Price::new(d("9"), Currency::from_code("EUR").unwrap(), Basis::Weight(MassUnit::Kilogram)).unwrap();
    let unknown = quote(&yard, "unobtainium", "9", MassUnit::Pound, TODAY);
    let quotes = [elsewhere, euros, unknown];
    let book = book(&yard, &quotes, &tree);
    assert_eq!(book.price("copper-2", Some(lb("1"))).unwrap().price.amount(), d("3.40"));
    let reasons: Vec<Aside> = book.set_aside().iter().map(|(_, reason)| *reason).collect();
    assert_eq!(reasons, [Aside::OtherCurrency, Aside::UnknownGrade]);
}

#[test]
fn without_a_weight_only_pieces_have_a_price() {
    let (tree, yard) = (tree(), built(hollow()));
    let book = book(&yard, &[], &tree);
    assert_eq!(book.price("copper-2", None), Err(Unsold::NotWeighed));
    assert_eq!(book.price("compressor-sealed", None).unwrap().price.to_string(), "4.00 CAD each");
}
