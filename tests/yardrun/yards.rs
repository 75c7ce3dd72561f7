//! A yard of one's own: from a price list, and like another. What is shipped differs in kind.

use super::Bench;

/// Sign, id, region, currency, unit, comma, division, cash step, day.
const HABITS: &str = "Quarry Row\nquarry-row\nCA-ON\nCAD\nlb\nno\n0.5\n0.05\n2026-11-18\n";

const LIST: &str = "\
name,price,grade,at_least
Bare bright,4.05,,
No. 2 copper,3.40,,
Sealed units drained,4 each,compressor-sealed,
Tube sets,-5 each,crt-display,
Iron by the tonne,160/t,steel,
Coax,0.12,,20 lb
Frobnicated whatsits,9.99,,
";

#[test]
fn a_price_list_becomes_a_yard_with_each_name_put_to_a_grade() {
    let bench = Bench::new();
    let list = bench.write("list.csv", LIST);
    // The first two names are known from elsewhere, so Enter takes the grade that is offered; the last is left out.
    let ran = bench.run_with(&["new", "yard", "--csv", &list], &format!("{HABITS}\n\n\nnone\n"));
    assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{}", ran.out);
    let said = ran.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        said.contains("1 of 7: \"Bare bright\" at 4.05/lb CAD. Which grade is it? near are copper-bright"),
        "{said}"
    );
    assert!(said.contains("6 prices taken. Left out: Frobnicated whatsits"), "{said}");
    bench.ok(&["settings", "yard", "quarry-row"]);
    let script = std::fs::read_to_string(bench.path("yards/quarry-row.rhai")).unwrap();
    for line in [
        r#"buys("copper-bright", "Bare bright", 4.05);"#,
        r#"buys("copper-2", "No. 2 copper", 3.4);"#,
        r#"pays_each("compressor-sealed", "Sealed units drained", 4);"#,
        r#"charges("crt-display", "Tube sets", 5).each();"#,
        r#"buys("steel", "Iron by the tonne", 160).per("t");"#,
        r#"buys("wire-coaxial", "Coax", 0.12).at_least(20.lb);"#,
    ] {
        assert!(script.contains(line), "{line}\n{script}");
    }
    bench.ok(&["stock", "add", "copper-2", "10 lb"]);
    assert!(bench.ok(&["stock"]).contains("34.00 CAD at Quarry Row"));
    // Local names stand for their grades from now on.
    assert!(bench.ok(&["quote", "no. 2 copper", "3.55"]).contains("copper-2 at quarry-row"));
}

#[test]
fn a_faulty_price_list_is_refused_line_by_line_before_anything_is_asked() {
    let bench = Bench::new();
    let list = bench.write(
        "list.csv",
        "name,price,grade,at_least\nBare bright,4.o5,,\n,1.00,,\nIron,0.08,stel,\nRelays,0.05 each,,3 lb\nBrass,2 EUR,,\n",
    );
    let ran = bench.run_with(&["new", "yard", "--csv", &list], HABITS);
    assert_eq!(ran.code, 4, "{}", ran.out);
    let said = ran.err.split_whitespace().collect::<Vec<_>>().join(" ");
    for wanted in [
        "line 2: \"4.o5\" is no price of Bare bright",
        "line 3: the name \"\": there must be an answer",
        "line 4: there is no grade `stel`; did you mean `steel`?",
        "line 5: the smallest lot of Relays must be above zero, and needs a price by weight",
        "line 6: \"2 EUR\" is no price of Brass",
        "Nothing is written.",
    ] {
        assert!(said.contains(wanted), "{wanted}\n{said}");
    }
    assert!(!ran.out.contains("Which grade is it?"), "{}", ran.out);
    let headless = bench.write("list.csv", "Bare bright,4.05\n");
    let ran = bench.run_with(&["new", "yard", "--csv", &headless], HABITS);
    let told = ran.err.replace("\n  ", " ");
    assert!(told.contains("\"Bare bright\" is no column of a list"), "{told}");
    assert!(told.contains("it must have name and price, and may have grade and at_least"), "{told}");
}

#[test]
fn two_names_for_one_grade_are_asked_about() {
    let bench = Bench::new();
    let list = bench.write("list.csv", "name;price\nNo. 2 copper;3,40\nCopper No. 2 lots;3,60\n");
    let habits = HABITS.replace("\nno\n0.5\n0.05\n", "\nyes\n0,5\n\n");
    let ran = bench.run_with(&["new", "yard", "--csv", &list], &format!("{habits}\ncopper-2\n"));
    assert_eq!(ran.code, 4, "{}", ran.out);
    let said = ran.err.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(said.contains("copper-2 has its price already, as No. 2 copper; choose a finer grade, or none"), "{said}");
}

#[test]
fn a_yard_like_another_keeps_its_habits_and_stays_marked() {
    let bench = Bench::new();
    let ran = bench.run_with(&["new", "yard", "--like", "thistle"], "Quarry Row\n\n");
    assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{}", ran.out);
    assert!(ran.out.contains("Its prices are those of thistle-fork until you change them"), "{}", ran.out);
    let shown = bench.ok(&["show", "quarry-row"]);
    assert!(shown.contains("Quarry Row") && shown.contains("Green board, any"), "{shown}");
    assert!(shown.to_lowercase().contains("sample prices"), "{shown}");
    let again = bench.run_with(&["new", "yard", "--like", "thistle"], "Quarry Row\nquarry-row\n");
    assert!(again.code != 0 && again.err.contains("is there already"), "{}", again.err);
}

/// Every shipped yard, with what tells it apart.
const KINDS: [(&str, &str, &[&str]); 7] = [
    ("hollow-lane", "CAD", &[".pays_to(0.05)", ".from(50.lb", "pays_each("]),
    ("thistle-fork", "USD", &[".at_least(", "board-hard-drive"]),
    ("saltmarsh-row", "GBP", &[".per(\"t\")", "least_load("]),
    ("ellerwinkel", "EUR", &["decimal_comma()", "visit_fee("]),
    ("tsukisabi", "JPY", &["index(", "buys_share("]),
    ("bluegum-siding", "AUD", &["pays_each(\"alternator\"", ".pays_to(0.05)"]),
    ("neem-chowk", "INR", &[".pays_to(1)", "plastic"]),
];

/// The whole oven at every yard: money comes, in its currency, and every page says that prices are invented.
#[test]
fn the_shipped_yards_differ_in_kind_and_are_marked() {
    let bench = Bench::new();
    bench.oven();
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/scripts/yards/");
    let shipped = std::fs::read_dir(folder).unwrap().count();
    assert_eq!(shipped, KINDS.len());
    for (yard, currency, marks) in KINDS {
        let text = std::fs::read_to_string(format!("{folder}{yard}.rhai")).unwrap();
        for mark in marks {
            assert!(text.contains(mark), "{yard}: {mark}");
        }
        assert!(text.contains("ash rounding"), "{yard} says how it rounds cash");
        let tally = bench.json(&["tally", "--yard", yard, "--format", "json"]);
        assert_eq!(
            (&tally["yard"]["currency"], &tally["prices"]["sample"]),
            (&currency.into(), &true.into()),
            "{yard}: {tally}"
        );
        let lines = tally["lines"].as_array().unwrap().len();
        assert!(lines >= 6, "{yard} buys only {lines} lines of an oven");
        if yard == "saltmarsh-row" {
            let said = bench.run(&["load", "--yard", yard]).out;
            let said = said.split_whitespace().collect::<Vec<_>>().join(" ");
            assert!(
                said.contains("Saltmarsh Row Metals takes no load under 25 kg: what is here for it weighs"),
                "{said}"
            );
            bench.ok(&["stock", "add", "steel-light", "40 kg"]);
        }
        for command in ["tally", "stock", "load"] {
            let said = bench.run(&[command, "--yard", yard]).out.to_lowercase();
            assert!(said.contains("sample prices"), "{command} at {yard}: {said}");
        }
    }
}

/// Habits are spread, so that no shipped yard is the likeness of a real one: none in Canada that weighs in pounds has one price for
/// every board, and none in the United States grades boards in three.
#[test]
fn the_shipped_yards_share_their_habits_out() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/scripts/yards/");
    let (mut canadian, mut american) = (0, 0);
    for (yard, ..) in KINDS {
        let text = std::fs::read_to_string(format!("{folder}{yard}.rhai")).unwrap();
        let classes = ["board", "board-low", "board-mid", "board-high"];
        let classes = classes.iter().filter(|class| text.contains(&format!("buys(\"{class}\""))).count();
        if text.contains(".region(\"CA") && text.contains(".weighs_in(\"lb\"") {
            assert!(classes > 1, "{yard}");
            canadian += 1;
        }
        if text.contains(".region(\"US") {
            assert_ne!(classes, 3, "{yard}");
            american += 1;
        }
    }
    assert_eq!((canadian, american), (1, 1));
}
