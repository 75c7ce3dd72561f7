//! Replay: what sessions would have netted at other terms.

use rust_decimal::Decimal;
use serde_json::Value;

use super::{Folder, decimal};

fn effects_sum(valued: &Value) -> Decimal {
    ["price", "mix", "yield"].iter().map(|effect| decimal(&valued["effects"][effect])).sum()
}

/// Every session of a document whose difference is split: it adds up to the last digit.
fn assert_adds_up(document: &Value) {
    for session in document["sessions"].as_array().unwrap() {
        for now in session["now"].as_array().unwrap().iter().filter(|now| !now["effects"].is_null()) {
            assert_eq!(effects_sum(now), decimal(&now["net"]) - decimal(&session["was"]["net"]), "{now}");
        }
    }
}

#[test]
fn unchanged_terms_change_nothing() {
    let folder = Folder::new();
    folder.oven("2026-11-03", "8 lb", None);
    let document = folder.json(&["replay", "--format", "json"]);
    let session = &document["sessions"][0];
    assert_eq!(session["was"]["net"], session["now"][0]["net"]);
    assert_eq!(effects_sum(&session["now"][0]), Decimal::ZERO);
}

#[test]
fn another_price_is_all_price_and_adds_up_exactly() {
    let folder = Folder::new();
    folder.oven("2026-11-03", "8 lb", None);
    folder.edit("yards", "bluegum-siding", "\"No. 2 copper\", 9.70", "\"No. 2 copper\", 10.70");
    let document = folder.json(&["replay", "--all", "--format", "json"]);
    assert_adds_up(&document);
    let now = &document["sessions"][0]["now"][0];
    assert!(decimal(&now["effects"]["price"]) > Decimal::ZERO, "the yard pays more for copper now: {now}");
    assert_eq!(decimal(&now["effects"]["mix"]), Decimal::ZERO);
    assert_eq!(decimal(&now["effects"]["yield"]), Decimal::ZERO);
    let total = &document["totals"]["by_recipe"][0];
    assert_eq!(total["key"], "countertop-oven");
    assert_eq!(decimal(&total["net"]) - decimal(&total["was"]), effects_sum(total));
}

/// What the recipe says of the wiring, which the test session sells as it came out.
const WIRING: &str = "(60.g..250.g).usually(120.g), \"wire-harness\")";

#[test]
fn another_grade_in_the_recipe_is_mix_and_revisions_are_found() {
    let folder = Folder::new();
    folder.oven("2026-11-03", "8 lb", None);
    folder.edit("recipes", "countertop-oven", WIRING, &WIRING.replace("wire-harness", "steel-light"));
    folder.edit("recipes", "countertop-oven", ".revision(1)", ".revision(2)");
    let document = folder.json(&["replay", "--recipe-revision", "now", "--format", "json"]);
    assert_adds_up(&document);
    let now = &document["sessions"][0]["now"][0];
    assert_eq!(decimal(&now["effects"]["price"]), Decimal::ZERO, "the yard is the same: {now}");
    assert!(decimal(&now["effects"]["mix"]) < Decimal::ZERO, "wire sold as steel brings less: {now}");
    let second = folder.json(&["replay", "--recipe-revision", "2", "--format", "json"]);
    assert_eq!(second["sessions"][0]["now"], document["sessions"][0]["now"]);
    let first = folder.json(&["replay", "--recipe-revision", "1", "--format", "json"]);
    assert_eq!(effects_sum(&first["sessions"][0]["now"][0]), Decimal::ZERO);
    let none = folder.on("2026-11-25", &["replay", "--recipe-revision", "7"]);
    assert!(String::from_utf8_lossy(&none.stderr).contains("revision 7"));
}

#[test]
fn answers_that_no_longer_fit_are_listed_and_new_steps_count_as_left_out() {
    let folder = Folder::new();
    folder.oven("2026-11-03", "8 lb", None);
    let before = folder.json(&["replay", "--format", "json"]);
    assert_eq!(before["sessions"][0]["unfit"].as_array().unwrap().len(), 0);
    // The step goes by another id from now on: its answers find no question, and what rests on it is not offered.
    folder.edit("recipes", "countertop-oven", "step(\"control\"", "step(\"control-2\"");
    let path = folder.path().join("recipes/countertop-oven.rhai");
    let text = std::fs::read_to_string(&path).unwrap().replace("\"control\"", "\"control-2\"");
    std::fs::write(&path, text).unwrap();
    let document = folder.json(&["replay", "--recipe-revision", "now", "--format", "json"]);
    let session = &document["sessions"][0];
    let unfit: Vec<&str> =
        session["unfit"].as_array().unwrap().iter().map(|unfit| unfit["question"].as_str().unwrap()).collect();
    assert!(unfit.contains(&"control/begin") && unfit.contains(&"control/control board"), "{unfit:?}");
    assert!(session["remarks"][0].as_str().unwrap().contains("`control-2/begin` is new"), "{session}");
    assert_adds_up(&document);
    let page = folder.says(&["replay", "--recipe-revision", "now"]);
    assert!(page.contains("Answers that no longer fit") && page.contains("control/begin"), "{page}");
}

#[test]
fn another_currency_is_shown_and_not_compared() {
    let folder = Folder::new();
    folder.oven("2026-11-03", "8 lb", None);
    let document = folder.json(&["replay", "--yard", "ellerwinkel", "--yard", "bluegum-siding", "--format", "json"]);
    let now = document["sessions"][0]["now"].as_array().unwrap();
    assert_eq!((now[0]["currency"].as_str(), now[0]["effects"].is_null()), (Some("EUR"), true));
    assert_eq!((now[1]["currency"].as_str(), now[1]["effects"].is_null()), (Some("AUD"), false));
}

#[test]
fn a_floor_above_all_gains_would_have_stopped_earlier_but_never_before_what_the_law_wants_out() {
    let folder = Folder::new();
    folder.oven("2026-11-03", "8 lb", None);
    let document = folder.json(&["replay", "--floor", "10000", "--format", "json"]);
    let stop = &document["sessions"][0]["now"][0]["better_stopped"];
    assert!(stop["after"].is_string(), "the unit holds what must come out, so it was not left unopened: {stop}");
    assert!(decimal(&stop["better_by"]) > Decimal::ZERO);
    let free = folder.json(&["replay", "--floor", "0", "--format", "json"]);
    let free = &free["sessions"][0]["now"][0];
    assert!(free["better_stopped"].is_null() || decimal(&free["better_stopped"]["better_by"]) > Decimal::ZERO);
}

#[test]
fn csv_has_a_row_for_each_session_and_yard() {
    let folder = Folder::new();
    folder.oven("2026-11-03", "8 lb", None);
    folder.oven("2026-12-03", "7 lb", None);
    let text = folder.says(&["replay", "--all", "--yard", "hollow-lane", "--yard", "thistle-fork", "--format", "csv"]);
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    assert_eq!(reader.headers().unwrap().len(), 17);
    let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
    assert_eq!(rows.len(), 4);
    let page = folder.says(&["replay", "--all", "--plain"]);
    assert!(page.contains("By month") && page.contains("2026-12"), "{page}");
}

#[test]
fn a_session_that_does_not_exist_is_named() {
    let folder = Folder::new();
    folder.oven("2026-11-03", "8 lb", None);
    let output = folder.on("2026-11-25", &["replay", "nothing-such"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&output.stderr).contains("nothing-such"));
}

#[test]
fn yards_stand_beside_each_other_at_eighty_columns() {
    let folder = Folder::new();
    folder.oven("2026-11-03", "8 lb", None);
    folder.oven("2026-11-04", "9 lb", None);
    let arguments = ["replay", "all", "--yard", "bluegum-siding", "--yard", "thistle-fork", "--date", "2026-11-05"];
    let page = String::from_utf8(folder.wide(80, &arguments).stdout).unwrap();
    assert!(page.lines().all(|line| line.chars().count() <= 80), "{page}");
    let heads = page.lines().find(|line| line.starts_with("session ")).unwrap();
    assert_eq!(heads.split_whitespace().collect::<Vec<_>>(), ["session", "was", "bluegum-siding", "thistle-fork"]);
    assert!(
        page.contains("The difference at bluegum-siding") && page.contains("The difference at thistle-fork"),
        "{page}"
    );
    let totals = &page[page.find("By recipe").unwrap()..];
    let heads = totals.lines().nth(1).unwrap();
    assert_eq!(
        heads.split_whitespace().collect::<Vec<_>>(),
        ["recipe", "n", "hours", "bluegum-siding", "thistle-fork"]
    );
    let row: Vec<&str> = totals.lines().nth(2).unwrap().split_whitespace().collect();
    assert_eq!(row[..2], ["countertop-oven", "2"], "{totals}");
    assert!(totals.contains("The difference at bluegum-siding"), "{totals}");
    assert!(!page.contains("  at: "), "no total falls back to one fact a line: {page}");
    let narrow = String::from_utf8(folder.wide(40, &arguments).stdout).unwrap();
    assert!(narrow.lines().all(|line| line.chars().count() <= 40), "{narrow}");
    assert!(narrow.contains("  at: thistle-fork"), "one fact a line where it is narrow: {narrow}");
}
