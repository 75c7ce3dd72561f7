//! Export: tables that other engines read back.

use std::collections::BTreeMap;

use rust_decimal::Decimal;
use serde_json::Value;

use super::{Folder, decimal};

fn exported(form: &str) -> (Folder, std::path::PathBuf) {
    let folder = Folder::new();
    folder.oven("2026-11-03", "8 lb", Some("a \"quoted\", name"));
    folder.oven("2026-12-03", "7 lb", None);
    folder.sold("2026-12-04");
    let out = folder.path().join("tables");
    folder.says(&["export", "--all", "--out", out.to_str().unwrap(), "--format", form]);
    (folder, out)
}

fn schema(out: &std::path::Path) -> Vec<Value> {
    let schema: Value = serde_json::from_slice(&std::fs::read(out.join("schema.json")).unwrap()).unwrap();
    assert_eq!((schema["format"].as_str(), schema["version"].as_u64()), (Some("knockdown-tables"), Some(1)));
    schema["tables"].as_array().unwrap().clone()
}

#[test]
fn csv_reads_back_under_its_schema() {
    let (folder, out) = exported("csv");
    let mut counts = BTreeMap::new();
    for table in schema(&out) {
        let mut reader = csv::Reader::from_path(out.join(table["file"].as_str().unwrap())).unwrap();
        let wanted: Vec<&str> =
            table["columns"].as_array().unwrap().iter().map(|c| c["name"].as_str().unwrap()).collect();
        assert_eq!(reader.headers().unwrap().iter().collect::<Vec<_>>(), wanted);
        let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
        for row in &rows {
            for (cell, column) in
                row.iter().zip(table["columns"].as_array().unwrap()).filter(|(cell, _)| !cell.is_empty())
            {
                match column["type"].as_str().unwrap() {
                    "BIGINT" => drop(cell.parse::<u64>().unwrap()),
                    "DECIMAL(28,10)" => drop(cell.parse::<Decimal>().unwrap()),
                    "BOOLEAN" => drop(cell.parse::<bool>().unwrap()),
                    "DATE" => drop(cell.parse::<jiff::civil::Date>().unwrap()),
                    "TIMESTAMPTZ" => drop(cell.parse::<jiff::Timestamp>().unwrap()),
                    _ => {}
                }
            }
        }
        counts.insert(table["name"].as_str().unwrap().to_owned(), rows.len());
    }
    assert_eq!(counts["sessions"], 2);
    assert!(counts.values().all(|count| *count > 0), "{counts:?}");
    let sessions = std::fs::read_to_string(out.join("sessions.csv")).unwrap();
    assert!(sessions.contains("\"a \"\"quoted\"\", name\""), "{sessions}");
    // Exported twice, it is the same to the byte.
    folder.says(&["export", "--all", "--out", out.to_str().unwrap()]);
    assert_eq!(std::fs::read_to_string(out.join("sessions.csv")).unwrap(), sessions);
}

#[test]
fn ndjson_adds_up_to_the_nets_of_the_sessions() {
    let (_folder, out) = exported("ndjson");
    let rows = |table: &str| -> Vec<Value> {
        let text = std::fs::read_to_string(out.join(format!("{table}.ndjson"))).unwrap();
        text.lines().map(|line| serde_json::from_str(line).unwrap()).collect()
    };
    let (lines, costs) = (rows("lines"), rows("costs"));
    let of = |rows: &[Value], session: &Value| -> Decimal {
        rows.iter().filter(|row| row["session"] == session["session"]).map(|row| decimal(&row["amount"])).sum()
    };
    for session in rows("sessions") {
        let due = of(&lines, &session) - of(&costs, &session);
        // The yard pays in cash, to five cents.
        assert!((decimal(&session["net"]) - due).abs() <= Decimal::new(25, 3), "{session}");
        assert!(session["damaged"].is_boolean() && session["recipe_revision"].is_u64());
    }
    assert!(rows("answers").iter().any(|row| row["key"] == "intake" && row["step"] == "unit"));
}

#[test]
fn the_tables_are_described_without_writing_anything() {
    let folder = Folder::new();
    let text = folder.says(&["export", "--describe"]);
    assert!(text.starts_with("**sessions**") && text.contains("| `net_g` |"), "{text}");
    assert!(std::fs::read_dir(folder.path()).unwrap().next().is_none());
}
