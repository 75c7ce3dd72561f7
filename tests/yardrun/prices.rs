//! Prices over time, many at once, and how yards paid.

use super::Bench;

#[test]
fn prices_from_a_file_are_kept_all_or_none() {
    let bench = Bench::new();
    let bad = bench.write("prices.csv", "name,price\nNo. 2,3.30\nBras,2.10\nIron,0.o9\n");
    let ran = bench.run(&["quote", "--csv", &bad]);
    assert_eq!(ran.code, 4, "{}", ran.err);
    let said = ran.err.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(said.contains("line 3: no price or grade is called `Bras`"), "{said}");
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
    assert!(unknown.err.contains("no index is called `copper-cash`"), "{}", unknown.err);
    bench.ok(&["settings", "indexes.copper-cash", "4.50 CAD/lb on 2026-11-18"]);
    bench.ok(&["quote", "copper-2", "72 % of copper-cash"]);
    let kept = bench.ok(&["quote"]);
    assert!(kept.contains("copper-2  3.24 CAD/lb  72 % of copper-cash, 4.50 CAD/lb on 2026-11-18"), "{kept}");
    let mixed = bench.run(&["quote", "copper-2", "x of copper-cash"]);
    assert_eq!(mixed.code, 4, "{}", mixed.err);
}

#[test]
fn an_old_price_is_marked() {
    let bench = Bench::new();
    let yard = super::MILL.replace("2026-11-02", "2026-09-01");
    bench.write("yards/mill.rhai", &yard);
    assert!(bench.ok(&["prices", "lead"]).contains("The latest is 80 days old: ask again"));
}
