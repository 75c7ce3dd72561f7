//! Each cause of a difference alone and to the cent, and the law that they always add up.

use jiff::civil::date;
use proptest::prelude::*;

use super::*;
use crate::market::haul::{Fraction, Haul};
use crate::market::{Book, GradeTree, Tally, Yard, YardDraft};
use crate::quantity::{Basis, Currency, Mass, MassUnit};

const TREE: &str = r#"
[[grade]]
id = "copper"
name = "Copper"
looks = "red"
source = "test"
status = "test"
[[grade]]
id = "copper-2"
parent = "copper"
name = "Copper 2"
looks = "red"
source = "test"
status = "test"
[[grade]]
id = "steel"
name = "Steel"
looks = "grey"
source = "test"
status = "test"
"#;

fn lb(text: &str) -> Mass {
    Mass::of(text.parse().unwrap(), MassUnit::Pound).unwrap()
}

fn cad(text: &str) -> Money {
    Money::new(text.parse().unwrap(), Currency::from_code("CAD").unwrap()).unwrap()
}

fn yard(tree: &GradeTree, cash: Option<&str>) -> Yard {
    let mut draft = YardDraft::new("y", "The Yard").unwrap();
    draft.currency("CAD").unwrap();
    draft.weighs_in(MassUnit::Pound, Some("0.2".parse().unwrap())).unwrap();
    draft.as_of(date(2026, 11, 2));
    cash.into_iter().for_each(|step| draft.pays_to(step.parse().unwrap()).unwrap());
    let copper = draft.buys("copper-2", "No. 2", "3.40".parse().unwrap()).unwrap();
    draft.tier(copper, lb("50"), "3.55".parse().unwrap()).unwrap();
    draft.buys("copper", "Light copper", "3.05".parse().unwrap()).unwrap();
    draft.buys("steel", "Iron", "0.08".parse().unwrap()).unwrap();
    draft.build(tree).unwrap()
}

fn haul(parts: &[(&str, &str)]) -> Haul {
    let fraction = |(grade, net): &(&str, &str)| Fraction {
        part: format!("{grade} {net}"),
        grade: (*grade).into(),
        net: Some(lb(net)),
        pieces: 1,
        regraded_from: None,
        in_mix: None,
        division: Mass::ZERO,
    };
    Haul { fractions: parts.iter().map(fraction).collect(), ..Haul::default() }
}

fn paid(name: &str, grade: &str, pays_for: &str, weight: &str, price: &str, amount: &str) -> TicketLine {
    let currency = Currency::from_code("CAD").unwrap();
    TicketLine {
        name: name.into(),
        grade: Some(grade.into()),
        pays_for: Some(pays_for.into()),
        mass: Some(lb(weight)),
        pieces: 0,
        price: Price::new(price.parse().unwrap(), currency, Basis::Weight(MassUnit::Pound)).unwrap(),
        amount: cad(amount),
    }
}

fn ticket(lines: Vec<TicketLine>, total: &str, paid: &str) -> Ticket {
    Ticket { date: date(2026, 11, 20), number: None, lines, deductions: Vec::new(), total: cad(total), paid: cad(paid) }
}

/// Cause and amount of each finding, against copper 41.3 lb and steel 100 lb: 140.42 + 8.00.
fn findings(ticket: &Ticket) -> Vec<(&'static str, String)> {
    let tree = GradeTree::parse(TREE).unwrap();
    let yard = yard(&tree, None);
    let book = Book::new(&yard, &[], &tree, ticket.date);
    let expected = Tally::of(&haul(&[("copper-2", "41.3"), ("steel", "100")]), &book).unwrap();
    assert_eq!(expected.paid, cad("148.76"));
    let found = reconcile(ticket, &expected, &book, &[lb("0.1"), lb("0.1")]).unwrap();
    let sum = found.findings.iter().map(|finding| finding.amount).try_fold(cad("0"), Money::plus).unwrap();
    assert_eq!(Ok(sum), found.paid.minus(found.expected));
    found.findings.iter().map(|finding| (finding.cause.code(), finding.amount.amount().to_string())).collect()
}

fn steel() -> TicketLine {
    paid("Iron", "steel", "steel", "100", "0.08", "8.00")
}

#[test]
fn a_ticket_as_expected_has_no_findings() {
    let good =
        ticket(vec![paid("No. 2", "copper-2", "copper-2", "41.4", "3.40", "140.76"), steel()], "148.76", "148.76");
    assert_eq!(findings(&good), []);
}

#[test]
fn each_cause_alone() {
    let with = |line: TicketLine, total: &str| ticket(vec![line, steel()], total, total);
    let copper = |weight, price, amount| paid("No. 2", "copper-2", "copper-2", weight, price, amount);
    // 0.2 lb of the yard's scale and 0.1 lb of one's own: 41.2 is within, 40 is not.
    assert_eq!(findings(&with(copper("41.2", "3.40", "140.08"), "148.08")), [("tolerance", "-0.68".into())]);
    let light = findings(&with(copper("40", "3.40", "136.00"), "144.00"));
    // 4.76 less; 0.3 of 1.3 lb is allowed: 1.10 to the cent.
    assert_eq!(light, [("tolerance", "-1.10".into()), ("weight", "-3.66".into())].map(normal));
    assert_eq!(findings(&with(copper("41.4", "3.30", "136.62"), "144.62")), [("price", "-4.14".into())]);
    let light_copper = paid("Light copper", "copper", "copper-2", "41.4", "3.05", "126.27");
    assert_eq!(findings(&with(light_copper, "134.27")), [("grade", "-14.49".into())]);
    assert_eq!(findings(&with(copper("41.4", "3.40", "140.75"), "148.75")), [("rounding", "-0.01".into())]);
    assert_eq!(findings(&with(copper("41.4", "3.40", "104.76"), "112.76")), [("arithmetic", "-36".into())]);
    // 50 lb reach the better price: 8.6 lb too many, paid for all at 3.55.
    let heavy = findings(&with(copper("50", "3.55", "177.50"), "185.50"));
    assert!(heavy.contains(&("tier", "7.5".into())), "{heavy:?}");
}

fn normal((cause, amount): (&'static str, String)) -> (&'static str, String) {
    (cause, amount.parse::<rust_decimal::Decimal>().unwrap().normalize().to_string())
}

#[test]
fn the_foot_of_a_ticket() {
    let copper = paid("No. 2", "copper-2", "copper-2", "41.4", "3.40", "140.76");
    assert_eq!(findings(&ticket(vec![copper.clone()], "140.76", "140.76")), [("missing", "-8".into())]);
    let extra = paid("Brass", "brass", "brass", "1", "2", "2.00");
    assert_eq!(findings(&ticket(vec![copper.clone(), steel(), extra], "150.76", "150.76")), [("extra", "2".into())]);
    assert_eq!(findings(&ticket(vec![copper.clone(), steel()], "146.76", "146.76")), [("sum", "-2".into())]);
    assert_eq!(findings(&ticket(vec![copper.clone(), steel()], "148.76", "140.00")), [("payment", "-8.76".into())]);
    let mut fee = ticket(vec![copper, steel()], "147.76", "147.76");
    fee.deductions.push(("Weighing".into(), cad("1")));
    assert_eq!(findings(&fee), [("fees", "-1".into())]);
}

#[test]
fn a_lot_split_into_two_grades() {
    let lines = vec![
        paid("No. 2", "copper-2", "copper-2", "30", "3.40", "102.00"),
        paid("Light copper", "copper", "copper-2", "11.4", "3.05", "34.77"),
        steel(),
    ];
    assert_eq!(findings(&ticket(lines, "144.77", "144.77")), [("grade", "-3.99".into())]);
}

proptest! {
    /// Whatever a ticket says, the causes add up to the difference, to the cent.
    #[test]
    fn causes_add_up(
        weights in prop::collection::vec((1_i64..900, 1_i64..500, 1_i64..40_000, 0_usize..4), 0..5),
        total in 0_i64..100_000, handed in 0_i64..100_000, fee in 0_i64..500, cash in any::<bool>(),
    ) {
        let tree = GradeTree::parse(TREE).unwrap();
        let yard = yard(&tree, cash.then_some("0.05"));
        let book = Book::new(&yard, &[], &tree, date(2026, 11, 20));
        let expected = Tally::of(&haul(&[("copper-2", "41.3"), ("steel", "99.9"), ("copper", "3.33")]), &book).unwrap();
        let cents = |n: i64| format!("{}.{:02}", n / 100, n % 100);
        let grades = ["copper-2", "copper", "steel", "brass"];
        let lines = weights.iter().map(|(weight, price, amount, grade)| {
            let pays = grades[(grade + *weight as usize) % 4];
            paid("x", grades[*grade], pays, &format!("{}.{}", weight / 10, weight % 10), &cents(*price), &cents(*amount))
        });
        let mut ticket = ticket(lines.collect(), &cents(total), &cents(handed));
        ticket.deductions.push(("fee".into(), cad(&cents(fee))));
        let found = reconcile(&ticket, &expected, &book, &[lb("0.1"), lb("0.2")]).unwrap();
        let sum = found.findings.iter().map(|finding| finding.amount).try_fold(cad("0"), Money::plus).unwrap();
        prop_assert_eq!(Ok(sum), found.paid.minus(found.expected));
        let explained: Money = Cause::ALL.iter().filter(|c| c.explains()).map(|c| found.sum(*c)).try_fold(cad("0"), Money::plus).unwrap();
        prop_assert_eq!(explained.plus(found.remains()), found.paid.minus(found.expected));
    }
}
