//! Sold is what a ticket says: sums for one's books, prices learnt from tickets, the table of sales.

use serde_json::Value;

use super::Folder;

/// What each session was worth as it was, by name.
fn was(folder: &Folder) -> Vec<(String, String)> {
    let replayed = folder.json(&["replay", "--all", "--format", "json"]);
    let text = |value: &Value| value.as_str().unwrap().to_owned();
    let sessions = replayed["sessions"].as_array().unwrap().iter();
    sessions.map(|session| (text(&session["session"]), text(&session["was"]["net"]))).collect()
}

#[test]
fn a_price_learnt_from_a_ticket_holds_from_the_settling_on() {
    let folder = Folder::new();
    folder.oven("2026-11-03T09:00:00Z", "8 lb", None);
    let before = was(&folder);
    let own = |folder: &Folder| {
        let calls: [&[&str]; 3] =
            [&["report", "oven-1", "--format", "markdown"], &["tally", "oven-1"], &["show", "sessions"]];
        calls.map(|call| folder.says(call))
    };
    let said = own(&folder);
    folder.sold("2026-11-03T11:00:00Z");
    // The session had ended on the same day, but before the ticket was settled; a note changes nothing of that.
    let noted = folder.on("2026-11-03T12:00:00Z", &["note", "oven-1", "sold"]);
    assert!(noted.status.success());
    assert_eq!(was(&folder), before);
    assert_eq!(own(&folder), said);
    // Nor does an answer that is put right.
    let corrected = folder.on("2026-11-03T12:30:00Z", &["correct", "oven-1", "transformer/minutes", "7"]);
    assert!(corrected.status.success(), "{}", String::from_utf8_lossy(&corrected.stderr));
    assert_eq!(was(&folder), before);
    folder.oven("2026-11-03T13:00:00Z", "8 lb", None);
    let now = was(&folder);
    assert_eq!(now[0], before[0]);
    assert_ne!(now[1].1, before[0].1, "the price of the ticket counts for what ends after it");
}

/// The rows of a table of a report in Markdown, by its heading.
fn rows(report: &str, heading: &str) -> Vec<String> {
    let section = report.split(&format!("## {heading}\n")).nth(1).unwrap_or_else(|| panic!("no {heading}: {report}"));
    let section = section.split("\n#").next().unwrap();
    section.lines().filter(|line| line.starts_with("| 2026")).map(str::to_owned).collect()
}

#[test]
fn sums_for_the_books_come_from_booked_tickets_alone() {
    let folder = Folder::new();
    folder.oven("2026-11-03", "8 lb", None);
    let report = |folder: &Folder| folder.says(&["report", "--all", "--format", "markdown"]);
    assert!(report(&folder).contains("No ticket is booked yet"));
    assert_eq!(rows(&report(&folder), "For your books"), Vec::<String>::new());
    folder.oven("2026-12-03", "8 lb", None);
    let estimates = rows(&report(&folder), "Estimates");
    assert_eq!(estimates.len(), 3, "a year and two months: {estimates:?}");
    // The copper of both ovens goes in December: 1.84 kg on its scale, at 10.00.
    folder.sold("2026-12-04");
    let paid = "| 1 | 18.40 AUD | 18.40 AUD | 1.8 kg |";
    let booked = [format!("| 2026 {paid}"), format!("| 2026-12 {paid}")];
    assert_eq!(rows(&report(&folder), "For your books"), booked);
    assert_eq!(rows(&report(&folder), "Estimates"), estimates, "a sale changes no estimate");
    let html = folder.says(&["report", "--all"]);
    assert!(html.contains("For your books") && html.contains(">18.40 AUD<"), "{html}");
    // One session of several has no share in a ticket that can be told.
    let one = folder.says(&["report", "2026-12-03", "--format", "markdown"]);
    assert!(!one.contains("For your books") && !one.contains("18.40 AUD"), "{one}");
    folder.says(&["stock", "undo"]);
    assert_eq!(rows(&report(&folder), "For your books"), Vec::<String>::new());
}

#[test]
fn a_session_that_goes_on_is_listed_but_in_no_sum() {
    let folder = Folder::new();
    folder.oven("2026-11-03", "8 lb", None);
    let alone = folder.json(&["replay", "--all", "--format", "json"]);
    let estimates = |folder: &Folder| {
        folder.oven("2026-12-03", "8 lb", None);
        rows(&folder.says(&["report", "--all", "--format", "markdown"]), "Estimates")
    };
    let waiting = folder.typed("2026-11-04", &["bench", "hard-disk"], "0.55 kg\n");
    assert!(waiting.contains("Session 2026-11-04-hard-disk-1"), "{waiting}");
    let both = folder.json(&["replay", "--all", "--format", "json"]);
    assert_eq!(both["totals"], alone["totals"]);
    assert_eq!(both["sessions"][1]["ended"], false);
    assert!(folder.says(&["replay", "--all"]).contains("Not ended, and in no total: 2026-11-04-hard-disk-1"));
    let with = estimates(&folder);
    let other = Folder::new();
    other.oven("2026-11-03", "8 lb", None);
    assert_eq!(with, estimates(&other));
    let report = folder.says(&["report", "--all", "--format", "markdown"]);
    assert_eq!(report.matches("It has not ended, and is in no sum.").count(), 1, "{report}");
}

#[test]
fn the_sales_are_exported_and_add_up_to_what_was_paid() {
    let folder = Folder::new();
    folder.oven("2026-11-03", "8 lb", None);
    let out = folder.path().join("tables");
    let export = |form: &str| {
        folder.says(&["export", "--all", "--out", out.to_str().unwrap(), "--format", form]);
        std::fs::read_to_string(out.join(format!("sales.{form}"))).unwrap()
    };
    assert_eq!(export("csv").lines().count(), 1, "a head, and nothing sold");
    let ticket = folder.path().join("ticket.toml");
    std::fs::write(
        &ticket,
        "ticket = \"48213\"\ntook = \"No. 2 copper, Relays\"\nbook = \"yes\"\npaid = \"8.25\"\n\
         line-1 = { name = \"No. 2 copper\" }\nline-2 = { name = \"Relays\" }\n\
         deduction-1 = { name = \"Weighing\", amount = \"0.85\" }\n",
    )
    .unwrap();
    folder.says(&["settle", "--yard", "bluegum-siding", "--answers", ticket.to_str().unwrap()]);
    let head = "\"2026-11-25-bluegum-siding-1\",\"48213\",2026-11-25,\"bluegum-siding\"";
    let wanted = [
        format!("{head},\"line\",\"No. 2 copper\",\"copper-2\",920,,9.7,\"kg\",8.92,\"AUD\""),
        format!("{head},\"line\",\"Relays\",\"relay\",,2,0.1,\"piece\",0.20,\"AUD\""),
        format!("{head},\"deduction\",\"Weighing\",,,,,,-0.85,\"AUD\""),
        format!("{head},\"rest\",,,,,,,-0.02,\"AUD\""),
    ];
    assert_eq!(export("csv").lines().skip(1).collect::<Vec<_>>(), wanted);
    let sum: rust_decimal::Decimal = export("ndjson")
        .lines()
        .map(|line| super::decimal(&serde_json::from_str::<Value>(line).unwrap()["amount"]))
        .sum();
    assert_eq!(sum, rust_decimal::Decimal::new(825, 2));
    // A sale that is taken back is no sale.
    folder.says(&["stock", "undo"]);
    assert_eq!(export("csv").lines().count(), 1);
}
