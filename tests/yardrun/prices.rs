//! Prices over time, many at once, and how yards paid.

use super::Bench;

#[test]
fn prices_from_a_file_are_kept_all_or_none() {
    let bench = Bench::new();
    let bad = bench.write("prices.csv", "name,price\nNo. 2,3.30\nBras,2.10\nIron,0.o9\n");
    let ran = bench.run(&["quote", "--csv", &bad]);
    assert_eq!(ran.code, 4, "{}", ran.err);
    let said = ran.err.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(said.contains("line 3: there is no grade `Bras`; did you mean `brass`?"), "{said}");
    assert!(said.contains("line 4: \"0.o9\" is no price"), "{said}");
    assert!(bench.ok(&["quote"]).contains("No quotes are kept"));
    let good =
        bench.write("prices.csv", "name,price,date\nNo. 2,3.30,2026-11-10\nbrass,2.10/lb,2026-11-12\nIron,0.09,\n");
    let said = bench.ok(&["quote", "--csv", &good, "--from", "list at the gate"]);
    assert!(said.contains("3 prices kept"), "{said}");
    let kept = bench.ok(&["quote"]);
    assert!(kept.contains("2026-11-10  mill  copper-2  3.30 CAD/lb  list at the gate"), "{kept}");
    assert!(kept.contains("2026-11-20  mill  steel  0.09 CAD/lb"), "{kept}");
}

#[test]
fn a_course_shows_module_quotes_and_tickets_by_date() {
    let bench = Bench::new();
    bench.ok(&["quote", "copper-2", "3.20", "--date", "2026-11-12"]);
    bench.ok(&["stock", "add", "copper-2", "10 lb"]);
    let file = bench.write("t.toml", "quotes = true\nline-1 = { name = \"No. 2\", price = \"3.10\" }\n");
    bench.ok(&["settle", "--answers", &file]);
    let course = bench.json(&["prices", "copper-2", "--format", "json"]);
    let mill = course["yards"].as_array().unwrap().iter().find(|yard| yard["yard"] == "mill").unwrap();
    let prices: Vec<&str> = mill["points"].as_array().unwrap().iter().map(|p| p["price"].as_str().unwrap()).collect();
    assert_eq!(prices, ["3.40 CAD/lb", "3.20 CAD/lb", "3.10 CAD/lb"]);
    let text = bench.ok(&["prices", "copper-2"]);
    assert!(text.contains("2026-11-02  3.40 CAD/lb     ==============================  module"), "{text}");
    // Ten pounds at 3.20 were expected and paid at 3.10, less 2.00 that the ticket did not take off.
    let record = bench.json(&["prices", "--format", "json"]);
    let mill = &record["yards"][0];
    assert_eq!((&mill["expected"], &mill["paid"]), (&"30".into(), &"29".into()));
    assert_eq!(mill["causes"], serde_json::json!({ "price": "-1" }));
    bench.ok(&["stock", "undo"]);
    assert_eq!(bench.json(&["prices", "--format", "json"])["yards"], serde_json::json!([]));
}

#[test]
fn a_price_can_be_a_share_of_an_index() {
    let bench = Bench::new();
    let unknown = bench.run(&["quote", "copper-2", "72 % of copper-cash"]);
    let said = unknown.err.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(said.contains("no value of an index `copper-cash` is known on 2026-11-20"), "{said}");
    for bad in ["4.50", "4.50 CAD each", "0 CAD/lb", "x CAD/lb"] {
        let ran = bench.run(&["quote", "--index", "copper-cash", bad]);
        assert_eq!(ran.code, 4, "{bad}: {}", ran.out);
    }
    bench.ok(&["quote", "--index", "copper-cash", "4.50 CAD/lb", "--date", "2026-11-18"]);
    bench.ok(&["quote", "copper-2", "72 % of copper-cash"]);
    let kept = bench.ok(&["quote"]);
    assert!(kept.contains("copper-2  3.24 CAD/lb  72 % of copper-cash, 4.50 CAD/lb on 2026-11-18"), "{kept}");
    let mixed = bench.run(&["quote", "copper-2", "x of copper-cash"]);
    assert_eq!(mixed.code, 4, "{}", mixed.err);
}

/// Copper at nine tenths of an index from 50 lb on, else at 0.85 of it; iron by itself.
const LINKED: &str = r#"
yard("linked", "Linked Metals").currency("CAD").weighs_in("lb", 0.2);
as_of("2026-11-02");
index("copper-cash", "4.00 CAD/lb");
buys_share("copper-2", "No. 2", 0.85, "copper-cash").from(50.lb, 0.9);
buys("steel", "Iron", 0.08);
"#;

#[test]
fn a_yards_prices_follow_an_index_from_the_day_of_each_value() {
    let bench = Bench::new();
    bench.write("yards/linked.rhai", LINKED);
    bench.ok(&["settings", "yard", "linked"]);
    bench.ok(&["stock", "add", "copper-2", "50 lb"]);
    let worth = |date: &str| bench.json(&["stock", "--date", date, "--format", "json"])["paid_for_everything"].clone();
    // Before any value is entered, that of the module holds: 50 × 0.9 × 4.00.
    assert_eq!(worth("2026-11-20"), "180");
    bench.ok(&["quote", "--index", "copper-cash", "4.20 CAD/lb", "--date", "2026-11-10"]);
    bench.ok(&["quote", "--index", "copper-cash", "3.80 CAD/lb", "--date", "2026-11-15"]);
    bench.ok(&["quote", "--index", "copper-cash", "9.99 CAD/lb", "--date", "2026-10-01"]);
    assert_eq!(worth("2026-11-09"), "180");
    assert_eq!(worth("2026-11-12"), "189");
    assert_eq!(worth("2026-11-20"), "171");
    // A quote for the grade itself counts until the index moves again.
    bench.ok(&["quote", "no. 2", "4.10", "--date", "2026-11-12"]);
    assert_eq!(worth("2026-11-13"), "205");
    assert_eq!(worth("2026-11-20"), "171");
    let course = bench.ok(&["prices", "copper-2"]);
    for wanted in ["3.40 CAD/lb", "3.57 CAD/lb", "3.23 CAD/lb", "85 % of copper-cash", "4.10 CAD/lb"] {
        assert!(course.contains(wanted), "{wanted}\n{course}");
    }
}

#[test]
fn faults_of_an_index_are_named_where_they_stand() {
    let bench = Bench::new();
    for (from, to, wanted) in [
        ("0.85, \"copper-cash\"", "0.85, \"copper-cahs\"", "there is no index `copper-cahs`"),
        ("4.00 CAD/lb", "4.00 EUR/lb", "the index `copper-cash` is in EUR, but the yard pays in CAD"),
        ("4.00 CAD/lb", "cheap", "is no value of copper-cash"),
        ("4.00 CAD/lb", "4.00 CAD each", "goes by the weight that the index has"),
        ("0.85", "-0.85", "is negative"),
    ] {
        let text = LINKED.replace(from, to);
        assert_ne!(text, LINKED, "{from}");
        bench.write("yards/linked.rhai", &text);
        let ran = bench.run(&["show", "linked"]);
        let said = ran.err.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(ran.code == 3 && said.contains(wanted), "{from} → {to}: {said}");
    }
}

#[test]
fn an_old_price_is_marked() {
    let bench = Bench::new();
    let yard = super::MILL.replace("2026-11-02", "2026-09-01");
    bench.write("yards/mill.rhai", &yard);
    assert!(bench.ok(&["prices", "lead"]).contains("The latest is 80 days old: ask again"));
}

#[test]
fn old_prices_are_marked_where_they_are_used() {
    let bench = Bench::new();
    bench.write("yards/mill.rhai", &super::MILL.replace("2026-11-02", "2026-09-01"));
    bench.finds();
    bench.ok(&["quote", "motor", "0.30"]);
    let words = |text: String| text.split_whitespace().collect::<Vec<_>>().join(" ");
    let stock = words(bench.ok(&["stock"]));
    assert!(
        stock.contains("2 of the 3 prices behind this are 30 days old or more, the oldest 80: ask again."),
        "{stock}"
    );
    let load = words(bench.ok(&["load", "--trip-cost", "5"]));
    assert!(load.contains("2 of the 3 prices at Mill Yard are 30 days old or more, the oldest 80"), "{load}");
}

#[test]
fn prices_with_a_decimal_comma_come_from_a_file_with_semicolons() {
    let bench = Bench::new();
    let file = bench.write("prices.csv", "name;price\nKupfer raff., mit Lack oder Lot;7,45\nsteel;131,5/t\n");
    bench.ok(&["quote", "--csv", &file, "--yard", "ellerwinkel"]);
    let kept = bench.ok(&["quote"]);
    assert!(kept.contains("copper-2  7.45 EUR/kg") && kept.contains("steel  131.50 EUR/t"), "{kept}");
}

#[test]
fn prices_stand_side_by_side_at_the_rate_that_was_set() {
    let bench = Bench::new();
    bench.write("yards/ridge.rhai", super::RIDGE);
    let about = |text: &str| text.matches("the latest is about").count();
    // Of the yards with another unit or currency, the one that pays in the same currency by the same unit needs no rate.
    assert_eq!(about(&bench.ok(&["prices", "copper-2"])), 0);
    bench.ok(&["settings", "rates.USD-CAD", "1.40 on 2026-11-18"]);
    let course = bench.ok(&["prices", "copper-2"]);
    assert!(course.contains("the latest is about 2.80 CAD/lb, at the rate of 2026-11-18"), "{course}");
}
