//! Complete outputs of one small tally, and of a hostile one.

use std::rc::Rc;

use jiff::civil::date;
use rust_decimal::Decimal;

use super::{csv, json, markdown, text};
use crate::market::haul::{Consumable, Fraction, Haul, Remainder, RemainderOf, WeightSource};
use crate::market::{Book, GradeTree, MixVerdict, MixedLot, MixedRule, Tally, YardDraft};
use crate::quantity::{Currency, Mass, MassUnit, Minutes, Money, Notation};
use crate::shell::ink::{Painter, is_unsafe, width};

fn d(text: &str) -> Decimal {
    text.parse().unwrap()
}

fn kg(text: &str) -> Mass {
    Mass::of(d(text), MassUnit::Kilogram).unwrap()
}

fn tree() -> GradeTree {
    let entry = |id: &str, parent: &str| {
        format!("[[grade]]\nid = \"{id}\"\n{parent}name = \"{id}\"\nlooks = \"l\"\nsource = \"s\"\nstatus = \"t\"\n")
    };
    let text = [
        entry("copper", "metal = true\n"),
        entry("copper-2", "parent = \"copper\"\n"),
        entry("steel", "metal = true\n"),
        entry("tool", "metal = false\n"),
        entry("plastic", ""),
    ];
    GradeTree::parse(&text.concat()).unwrap()
}

struct Refuses;

impl MixedRule for Refuses {
    fn judge(&self, _: &MixedLot) -> Result<MixVerdict, String> {
        Ok(MixVerdict::Refused("too dirty".into()))
    }
}

/// A drill at a yard that uses decimal commas: copper 1,2 kg × 5,125 = 6,15; steel 0,9 kg × 0,2 = 0,18; sum 6,33; cash
/// to 0,05 6,35; less tape 0,10 = 6,25; whole 2,5 kg × 0,5 = 1,25; gain 5,00; per hour 5 × 60 ÷ 24 = 12,50.
fn drill(name: &str) -> Tally {
    let mut yard = YardDraft::new("hof", name).unwrap();
    yard.currency("EUR").unwrap();
    yard.weighs_in(MassUnit::Kilogram, None).unwrap();
    yard.as_of(date(2026, 11, 2));
    yard.notation(Notation::Comma);
    yard.pays_to(d("0.05")).unwrap();
    yard.sample();
    yard.buys("copper", name, d("5.125")).unwrap();
    yard.buys("steel", "Iron", d("0.2")).unwrap();
    yard.buys("tool", "Tools", d("0.5")).unwrap();
    yard.mixed(Rc::new(Refuses));
    let tree = tree();
    let yard = yard.build(&tree).unwrap();
    let book = Book::new(&yard, &[], &tree, date(2026, 11, 20));
    let fraction = |part: &str, grade: &str, mass| Fraction {
        part: part.into(),
        grade: grade.into(),
        net: Some(kg(mass)),
        pieces: 1,
        regraded_from: None,
        in_mix: None,
        division: Mass::ZERO,
    };
    let haul = Haul {
        unit_name: "Corded drill".into(),
        recipe: "drill".into(),
        intake: Some(kg("2.5")),
        whole_grade: Some("tool".into()),
        fractions: vec![fraction("windings", "copper-2", "1.2"), fraction(name, "plastic", "0.4")],
        remainders: vec![Remainder {
            of: RemainderOf::Unit,
            grade: Some("steel".into()),
            mass: Some(kg("0.9")),
            how: WeightSource::Computed,
            pieces: 1,
        }],
        minutes: Minutes::new(d("24")).unwrap(),
        consumables: vec![Consumable {
            name: "Tape".into(),
            cost: Money::new(d("0.1"), Currency::from_code("EUR").unwrap()).unwrap(),
        }],
        ..Haul::default()
    };
    Tally::of(&haul, &book).unwrap()
}

fn shown(tally: &Tally, columns: usize, plain: bool) -> String {
    Painter { colour: false }.paint(&text::page(tally, columns, plain))
}

const WIDE: &str = "\
Corded drill at Hofmann
Sample prices: invented, not those of a real yard.
Estimated on 2026-11-20, with prices of 2026-11-02.

                                             EUR
Hofmann                 1,2 kg  5,125/kg    6,15
    windings
    priced as copper: no price of its own for copper-2
Remainder: Iron         0,9 kg  0,20 /kg    0,18
    what is left of Corded drill (computed)
Cash rounding to 0,05                      +0,02
────────────────────────────────────────────────
The yard pays                               6,35
Tape                                       -0,10
────────────────────────────────────────────────
Net                                         6,25
Sold whole: Tools       2,5 kg  0,50 /kg    1,25
────────────────────────────────────────────────
Gain                                       +5,00
    more than whole
Gain per hour (24 min)                    +12,50

Unsold here (in no sum)
  Hofmann, plastic, 0,4 kg: no price here

Weights
  Intake: 2,5 kg
  Balance cannot be said: nothing that came out was weighed
  Recovery: 1,2 kg of metal, 48 % of the intake
";

#[test]
fn wide_text_has_one_aligned_row_a_line() {
    let tally = drill("Hofmann");
    assert_eq!(shown(&tally, 72, false), WIDE);
    let ruleless: String = WIDE.lines().filter(|line| !line.starts_with('─')).map(|line| format!("{line}\n")).collect();
    assert_eq!(shown(&tally, 200, true), ruleless, "plain leaves out the rules and nothing else");
}

#[test]
fn narrow_text_stacks() {
    let narrow = shown(&drill("Hofmann"), 40, true);
    let table = "
                                     EUR
Hofmann
  1,2 kg at 5,125/kg                6,15
    windings
    priced as copper: no price of its
      own for copper-2
Remainder: Iron
  0,9 kg at 0,20/kg                 0,18
";
    assert!(narrow.contains(table), "{narrow}");
    assert!(narrow.lines().all(|line| width(line) <= 40));
}

#[test]
fn json_is_versioned_with_decimals_as_strings_and_points() {
    let value: serde_json::Value = serde_json::from_str(&json::write(&drill("Hofmann")).unwrap()).unwrap();
    assert_eq!((value["format"].as_str(), value["version"].as_u64()), (Some("knockdown-tally"), Some(1)));
    assert_eq!(value["lines"][0]["price"]["amount"], "5.125");
    assert_eq!(value["lines"][0]["mass"]["grams"], "1200");
    assert_eq!((&value["net"], &value["gain_per_hour"]), (&"6.25".into(), &"12.50".into()));
    assert_eq!(value["prices"]["sample"], true);
    fn numbers(value: &serde_json::Value) -> Vec<String> {
        match value {
            serde_json::Value::Number(n) => vec![n.to_string()],
            serde_json::Value::Array(items) => items.iter().flat_map(numbers).collect(),
            serde_json::Value::Object(fields) => fields.values().flat_map(numbers).collect(),
            _ => Vec::new(),
        }
    }
    assert!(numbers(&value).iter().all(|n| !n.contains('.')), "only counts are numbers");
}

#[test]
fn csv_has_a_kind_for_every_row_and_sums_that_add_up() {
    let text = csv::write(&drill("Hofmann")).unwrap();
    let mut reader = ::csv::Reader::from_reader(text.as_bytes());
    let rows: Vec<::csv::StringRecord> = reader.records().map(Result::unwrap).collect();
    let amount = |kind: &str| -> Decimal {
        rows.iter().filter(|row| &row[0] == kind).map(|row| row[11].parse::<Decimal>().unwrap()).sum()
    };
    let parts = ["fraction", "remainder", "cash-rounding", "consumable"].map(amount);
    assert_eq!(parts.iter().sum::<Decimal>(), amount("net"));
    assert_eq!(amount("net") - amount("whole"), amount("gain"));
    assert!(rows.iter().any(|row| &row[0] == "sample-prices") && rows.iter().any(|row| &row[0] == "unsold"));
}

#[test]
fn markdown_is_a_table_with_its_cells_escaped() {
    let text = markdown::write(&drill("Hof | <b>*mann*</b>"));
    assert!(text.starts_with("## Corded drill at Hof \\| &lt;b&gt;\\*mann\\*&lt;/b&gt;\n\nSample prices"), "{text}");
    let unescaped = |line: &str| line.replace("\\|", "").matches('|').count();
    let table: Vec<&str> = text.lines().filter(|line| line.starts_with('|')).collect();
    assert_eq!(table.len(), 11, "{text}");
    assert!(table.iter().all(|line| unescaped(line) == 5), "{text}");
}

#[test]
fn text_from_scripts_drives_neither_terminal_nor_spreadsheet() {
    for hostile in ["=cmd|'/c calc'!A1", "+1", "-1+1", "@SUM(A1)", "\u{1b}]0;owned\u{7}", "\u{9b}31m", "\u{202e}evil"] {
        // A yard refuses such names; however one gets into a tally, writing it must be safe by itself.
        let mut tally = drill("Hofmann");
        tally.unit_name = hostile.into();
        tally.yard.name = hostile.into();
        tally.lines.iter_mut().for_each(|line| line.priced.name = hostile.into());
        tally.unsold.iter_mut().for_each(|unsold| unsold.part = hostile.into());
        let json = json::write(&tally).unwrap();
        let csv = csv::write(&tally).unwrap();
        let outputs =
            [shown(&tally, 80, false), shown(&tally, 40, true), csv.clone(), markdown::write(&tally), json.clone()];
        for output in outputs {
            assert!(!output.chars().any(|c| c != '\n' && is_unsafe(c)), "{output}");
        }
        let value: serde_json::Value = serde_json::from_str(&json).unwrap();
        assert_eq!(value["yard"]["name"].as_str(), Some(hostile), "JSON reads back the same text");
        let mut reader = ::csv::Reader::from_reader(csv.as_bytes());
        for row in reader.records().map(Result::unwrap) {
            for column in [1, 2, 3, 4, 13] {
                assert!(!row[column].starts_with(['=', '+', '-', '@']), "{row:?}");
            }
        }
    }
}
