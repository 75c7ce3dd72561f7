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
    let report = folder.says(&["report", "oven-1", "--format", "markdown"]);
    folder.sold("2026-11-03T11:00:00Z");
    // The session had ended on the same day, but before the ticket was settled; a note changes nothing of that.
    let noted = folder.on("2026-11-03T12:00:00Z", &["note", "oven-1", "sold"]);
    assert!(noted.status.success());
    assert_eq!(was(&folder), before);
    assert_eq!(folder.says(&["report", "oven-1", "--format", "markdown"]), report);
    folder.oven("2026-11-03T13:00:00Z", "8 lb", None);
    let now = was(&folder);
    assert_eq!(now[0], before[0]);
    assert_ne!(now[1].1, before[0].1, "the price of the ticket counts for what ends after it");
}
