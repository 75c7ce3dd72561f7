//! Tickets: entered, questioned, explained to the cent, booked, and taken back.

use super::Bench;

/// Copper lighter by half a division, iron cheaper, motors paid as iron.
const TICKET: &str = r#"
date = "2026-11-19"
ticket = "48213"
took = "all"
total = "145.78"
paid = "145.80"
quotes = "yes"
book = "yes"
line-1 = { name = "No. 2", weight = "41.2", price = "3.40", amount = "140.08" }
line-2 = { name = "Iron", weight = "100", price = "0.07", amount = "7.00" }
line-3 = { name = "Iron", for = "motor", weight = "10", price = "0.07", amount = "0.70" }
deduction-1 = { name = "Weighing", amount = "2.00" }
"#;

#[test]
fn a_ticket_is_explained_to_the_cent_and_undone_exactly() {
    let bench = Bench::new();
    bench.finds();
    bench.ok(&["load", "--trip-cost", "5", "--pack"]);
    let before = bench.stock();
    let quotes = bench.ok(&["quote"]);
    let file = bench.write("ticket.toml", &TICKET.replace("took = \"all\"\n", ""));
    let report = bench.json(&["settle", "--answers", &file, "--format", "json"]);
    assert_eq!((&report["expected"], &report["paid"]), (&"149.55".into(), &"145.8".into()));
    let found: Vec<String> = report["findings"]
        .as_array()
        .unwrap()
        .iter()
        .map(|f| {
            format!(
                "{} {} {}",
                f["cause"].as_str().unwrap(),
                f["line"].as_str().unwrap(),
                f["amount"].as_str().unwrap()
            )
        })
        .collect();
    assert_eq!(
        found,
        ["tolerance No. 2 -0.68", "price Iron -1", "grade Motors -2", "price Motors -0.1", "rounding  0.03"]
    );
    assert_eq!(report["remains"], "0");
    assert!(bench.lots().is_empty());
    assert!(bench.ok(&["quote"]).contains("steel  0.07 CAD/lb  settled ticket 2026-11-19-mill-1"));
    assert!(bench.ok(&["stock", "undo"]).contains("Taken back: sell 3 lots to mill"));
    assert_eq!(bench.stock(), before);
    assert_eq!(bench.ok(&["quote"]), quotes);
    assert!(bench.ok(&["stock"]).contains("Packed for mill: 3 lots."));
}

#[test]
fn from_a_session_to_a_settled_ticket() {
    let bench = Bench::new();
    bench.oven();
    let tally = bench.json(&["tally", "--yard", "mill", "--format", "json"]);
    let plan = bench.json(&["load", "--trip-cost", "0", "--format", "json"]);
    let number = |value: &serde_json::Value| value.as_str().unwrap().parse::<rust_decimal::Decimal>().unwrap();
    assert_eq!(number(&plan["deliveries"][0]["expected_paid"]), number(&tally["paid"]), "{tally}");
    bench.ok(&["load", "--trip-cost", "0", "--pack"]);
    let wanted = plan["deliveries"][0]["expected_paid"].as_str().unwrap().to_owned();
    // Copper and iron, as expected; the yard forgot the motors and the relays, which are gone all the same.
    let file = bench.write(
        "ticket.toml",
        "line-1 = { name = \"No. 2\" }\nline-2 = { name = \"Iron\" }\nmissing = { motor = \"yes\", relay = \"yes\" }\n",
    );
    let report = bench.json(&["settle", "--answers", &file, "--format", "json"]);
    assert_eq!(report["expected"].as_str(), Some(wanted.as_str()));
    let missing: Vec<&str> = report["findings"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|f| f["cause"] == "missing")
        .map(|f| f["line"].as_str().unwrap())
        .collect();
    assert_eq!(missing, ["Relays", "Motors"]);
    let sum: rust_decimal::Decimal = report["findings"]
        .as_array()
        .unwrap()
        .iter()
        .map(|f| f["amount"].as_str().unwrap().parse::<rust_decimal::Decimal>().unwrap())
        .sum();
    assert_eq!(sum, number(&report["paid"]) - number(&report["expected"]));
    let left = bench.lots();
    // What the yard does not buy stays: it has no line for aluminium-wound motors, boards, cords or ceramics.
    let parts: Vec<&str> = left.iter().map(|lot| lot.split_once('/').unwrap().1).collect();
    let unsold = [
        "control board",
        "fan motor",
        "glass plate",
        "high-voltage capacitor",
        "inner wiring",
        "magnetron",
        "mains cord",
    ];
    // What is left of the oven went as iron: the catalogue puts appliances under steel.
    assert_eq!(parts, unsold);
    let again = bench.run(&["settle", "--answers", &file]);
    assert_ne!(again.code, 0, "{}", again.out);
    assert_eq!(bench.lots(), left);
}

#[test]
fn bad_tickets_get_clear_questions() {
    let bench = Bench::new();
    bench.finds();
    let before = bench.stock();
    let edited = |from: &str, to: &str| {
        assert!(TICKET.contains(from), "{from}");
        let file = bench.write("ticket.toml", &TICKET.replace(from, to));
        let ran = bench.run(&["settle", "--answers", &file]);
        assert_eq!(ran.code, 4, "{from} → {to}: {} {}", ran.out, ran.err);
        ran.err.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    for (from, to, wanted) in [
        ("2026-11-19", "2026-12-01", "2026-12-01 lies ahead; today is 2026-11-20"),
        ("2026-11-19", "yesterday", "write year-month-day"),
        ("weight = \"41.2\"", "weight = \"-41.2\"", "`line-1/weight` = \"-41.2\""),
        (
            "amount = \"7.00\"",
            "amount = \"70.00\"",
            "100 lb at 0.07/lb come to 7.00 CAD; you wrote 70.00 CAD. Does the ticket say so?",
        ),
        (
            "total = \"145.78\"",
            "total = \"154.78\"",
            "Lines less deductions come to 145.78 CAD; you wrote 154.78 CAD. Does the ticket say so?",
        ),
        ("\"No. 2\"", "\"Nr 2 cooper\"", "No price there is called \"Nr 2 cooper\""),
        ("price = \"3.40\"", "price = \"3.40 EUR\"", "`EUR` is not CAD"),
        ("paid = \"145.80\"", "payd = \"145.80\"", "nothing asks for payd"),
        ("took = \"all\"", "took = \"brass\"", "nothing in stock goes by `brass`"),
        ("for = \"motor\"", "for = \"motr\"", "`motr` is not among what you took; did you mean `motor`?"),
        ("amount = \"140.08\"", "amount = \"140.081\"", "more digits"),
    ] {
        let said = edited(from, to);
        assert!(said.contains(wanted), "{from} → {to}: {said}");
        assert_eq!(bench.stock(), before, "{from} → {to} must book nothing");
    }
}

#[test]
fn at_a_terminal_a_refused_answer_is_asked_again() {
    let bench = Bench::new();
    bench.ok(&["stock", "add", "copper-2", "41.3 lb"]);
    let input =
        "2026-12-24\n2026-11-20\n\n\nNr 2 cooper\nbrazz\ncopper-2\n-3\n41.4\n\n1.00\nno\n140.76\ndone\n\n\n\n\n\nyes\n";
    let ran = bench.run_with(&["settle"], input);
    assert_eq!(ran.code, 0, "{}\n{}", ran.out, ran.err);
    for wanted in [
        "Not taken: 2026-12-24 lies ahead",
        "No price there is called \"Nr 2 cooper\"",
        "there is no grade or price `brazz`",
        "Does the ticket say so?",
        "As expected: there is nothing to explain.",
        "Booked as 2026-11-20-mill-1: 1 lot sold.",
    ] {
        assert!(ran.out.contains(wanted), "{wanted}\n{}", ran.out);
    }
    assert!(bench.lots().is_empty());
}

#[test]
fn leaving_books_nothing() {
    let bench = Bench::new();
    bench.finds();
    let before = bench.stock();
    for input in ["", "\n\n\nNo. 2\n41\n", "\n\n\nleave\n"] {
        let ran = bench.run_with(&["settle"], input);
        assert_eq!(ran.code, 4, "{}", ran.out);
        assert!(ran.err.contains("nothing was booked"), "{}", ran.err);
    }
    assert_eq!(bench.stock(), before);
}

#[test]
fn lines_from_a_csv_file() {
    let bench = Bench::new();
    bench.finds();
    let csv =
        "name,weight,price,amount,for_line\nNo. 2,41.2,3.40,140.08,\nIron,100,0.07,7.00,\nIron,10,0.07,0.70,motor\n";
    let file = bench.write("ticket.csv", csv);
    let ran = bench.run(&["settle", "--csv", &file, "--no-input", "--check", "--format", "json"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let report: serde_json::Value = serde_json::from_str(&ran.out).unwrap();
    assert_eq!(report["total"], "145.78");
    assert_eq!(report["ticket"], serde_json::Value::Null);
    let bad = bench.write("ticket.csv", "name,wait\nNo. 2,41\n");
    let ran = bench.run(&["settle", "--csv", &bad]);
    assert!(ran.err.contains("there is no column \"wait\""), "{}", ran.err);
}

/// A part of a pile is sold, the rest comes home: what stays is what the person says, and the ticket is held against the part.
#[test]
fn a_pile_is_sold_in_part_and_the_rest_stays() {
    let bench = Bench::new();
    bench.ok(&["stock", "add", "copper-2", "41.4 lb"]);
    bench.ok(&["stock", "add", "relay", "5 x 35 g"]);
    let before = bench.stock();
    let ticket = "line-1 = { name = \"No. 2\", weight = \"20\" }\nline-2 = { name = \"Relays\", weight = \"2 pieces\" }\n\
                  deduction-1 = { name = \"Weighing\", amount = \"2.00\" }\n";
    let unsaid = bench.write("ticket.toml", ticket);
    let asked = bench.run(&["settle", "--answers", &unsaid]);
    assert_eq!(asked.code, 4);
    let said = asked.err.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(said.contains("No. 2: you took 41.4 lb, the ticket has 20 lb. How much of it is still yours?"), "{said}");
    assert_eq!(bench.stock(), before);
    let file = bench.write("ticket.toml", &format!("{ticket}rest = {{ copper-2 = \"21.4 lb\", relay = \"3\" }}\n"));
    let report = bench.json(&["settle", "--answers", &file, "--format", "json"]);
    // 20 lb at 3.40 and two relays at 0.05, less 2.00.
    assert_eq!((&report["expected"], &report["paid"]), (&"66.1".into(), &"66.1".into()), "{report}");
    assert_eq!(report["findings"], serde_json::json!([]));
    let after = bench.stock();
    let rest: Vec<_> =
        after["piles"].as_array().unwrap().iter().map(|p| (&p["lots"][0], &p["mass_g"], &p["pieces"])).collect();
    // 21.4 lb are 9706.876718 g; three of five relays of 35 g.
    assert_eq!(
        rest,
        [(&"find-1".into(), &"9706.876718".into(), &0.into()), (&"find-2".into(), &"105".into(), &3.into()),]
    );
    bench.ok(&["stock", "undo"]);
    assert_eq!(bench.stock(), before);
    bench.ok(&["stock", "redo"]);
    assert_eq!(bench.stock(), after);
    for (rest, wanted) in [("41.4 lb", "below 41.4 lb"), ("some", "rest/copper-2"), ("-1", "rest/copper-2")] {
        let bench = Bench::new();
        bench.ok(&["stock", "add", "copper-2", "41.4 lb"]);
        let text = format!("line-1 = {{ name = \"No. 2\", weight = \"20\" }}\nrest = {{ copper-2 = \"{rest}\" }}\n");
        let file = bench.write("ticket.toml", &text);
        let ran = bench.run(&["settle", "--answers", &file]);
        assert!(ran.code == 4 && ran.err.contains(wanted), "{rest}: {}", ran.err);
    }
}

/// When nothing came home, the yard has weighed too little, and that remains to be taken up.
#[test]
fn what_is_gone_and_not_on_the_ticket_remains_to_be_taken_up() {
    let bench = Bench::new();
    bench.ok(&["stock", "add", "copper-2", "41.4 lb"]);
    let file = bench.write(
        "ticket.toml",
        "line-1 = { name = \"No. 2\", weight = \"20\" }\nrest = { copper-2 = \"none\" }\ndeduction-1 = { name = \"Weighing\" }\n",
    );
    let report = bench.json(&["settle", "--answers", &file, "--format", "json"]);
    assert_ne!(report["remains"], "0");
    assert!(bench.lots().is_empty());
}

#[test]
fn a_ticket_that_is_booked_already_is_asked_about() {
    let bench = Bench::new();
    bench.finds();
    let first = bench.write("a.toml", "ticket = \"77\"\ntook = \"steel-light\"\nline-1 = { name = \"Iron\" }\n");
    bench.ok(&["settle", "--answers", &first]);
    let again = bench.write("b.toml", "ticket = \"77\"\ntook = \"motor\"\nline-1 = { name = \"Motors\" }\n");
    let ran = bench.run(&["settle", "--answers", &again]);
    assert_eq!(ran.code, 4, "{}", ran.out);
    let said = ran.err.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(said.contains("Ticket 77 of mill is booked already"), "{said}");
    let meant = bench
        .write("b.toml", "another-ticket = true\nticket = \"77\"\ntook = \"motor\"\nline-1 = { name = \"Motors\" }\n");
    bench.ok(&["settle", "--answers", &meant]);
    assert_eq!(bench.lots(), ["find-1"]);
}

#[test]
fn what_was_taken_goes_by_the_yards_own_names_too() {
    let bench = Bench::new();
    bench.finds();
    bench.ok(&["stock", "add", "lead", "30 lb"]);
    // A name with a comma in it, in a list with a grade behind it. Steel goes by a name that the yard has for another grade.
    let path = "yards/mill.rhai";
    let script = std::fs::read_to_string(bench.path(path)).unwrap();
    bench.write(path, &script.replace("\"Motors\"", "\"Motors, whole\""));
    let ticket = bench.write("a.toml", "took = \"motors, whole,IRON, lead\"\nline-1 = { name = \"Motors, whole\" }\nline-2 = { name = \"Iron\" }\nline-3 = { name = \"Lead\" }\n");
    assert!(bench.ok(&["settle", "--answers", &ticket]).contains("3 lots sold"));
    assert_eq!(bench.lots(), ["find-1"], "the copper is still there");
    bench.ok(&["stock", "undo"]);
    // Only the first half of such a name is none.
    let half = bench.write("b.toml", "took = \"motors, lead\"\nline-1 = { name = \"Lead\" }\n");
    let ran = bench.run(&["settle", "--answers", &half]);
    assert_eq!(ran.code, 4, "{}", ran.out);
    assert!(ran.err.contains("nothing in stock goes by `motors`"), "{}", ran.err);
}
