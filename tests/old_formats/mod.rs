//! What earlier versions wrote must load for ever, and come to the same amounts.
//!
//! Never change what is there; a new version of a format gets folders of its own. All in it is invented. For version 0.1.0:
//!
//! * `0.1.0`: a sound folder, and in `expected` what that version said of it, held word for word; it is worked on, and what was
//!   there stays byte for byte (this file);
//! * `0.1.0-cut`: a folder as life leaves it, with a session that a crash cut off, one handed on, one under an edited recipe, one
//!   valued at another yard; it says the same wherever it is moved to, and its sessions go on (`cut.rs`). The documents that
//!   `tests/schemas` holds to their schemas come from it;
//! * `0.1.0-shipped`: sessions of shipped recipes at the yard that was in use when none was chosen, as 3bbb669 left them: guards of all
//!   three classes, one refused, a unit handed on, a session cut off in the middle of an entry, a quote, a load packed, a settled
//!   ticket whose price was kept. In `expected` what that version said of it. Held are what came out, its grades and grams and where
//!   it lies; the money is not yet, for a tally still goes by the prices that the shipped yards have today.
//! * `0.1.0-renamed`: a kettle's session, a quote and the settings at a shipped yard that has another name since.
//!
//! How `0.1.0` was made, by the program itself: two yards' quotes; four sessions (one with `undo`, a note, a mix and an
//! interruption; one laid aside; one stopped; one whose recipe was then taken away); finds moved, regraded, pooled, written
//! off, and all of it undone; a load packed; two tickets settled, the first of which was then put into the form of the first
//! version of tickets (no digest); a bundle of a stranger's taken in.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on fails")]

mod cut;
pub mod folders;

use std::path::{Path, PathBuf};

use knockdown::store::Home;
use knockdown::store::bundle::Bundle;
use knockdown::store::disk::LocalDisk;
use knockdown::store::home::Shelf;
use knockdown::store::log::Ending;
use serde_json::Value;

use crate::bench::{Bench, Call};
use folders::copy_folder;

const VERSIONS: [&str; 1] = ["0.1.0"];

fn corpus(version: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/old_formats").join(version)
}

/// A place with the folder of a version.
fn bench(version: &str) -> Bench {
    let bench = Bench::new();
    copy_folder(&corpus(version).join("home"), &bench.path("home"));
    bench
}

fn at(call: Call) -> Call {
    call.env("KNOCKDOWN_CLOCK", "2026-11-10T10:00:00Z")
}

/// Everything that was said then is said now, in the same words; what is said beside it is free. Nothing that was expected
/// names a shipped yard, since those change.
fn assert_includes(now: &Value, then: &Value, place: &str) {
    match (now, then) {
        (Value::Object(now), Value::Object(then)) => {
            for (key, value) in then {
                assert_includes(now.get(key).unwrap_or(&Value::Null), value, &format!("{place}/{key}"));
            }
        }
        (Value::Array(now), Value::Array(then)) => {
            assert_eq!(now.len(), then.len(), "{place}");
            now.iter()
                .zip(then)
                .enumerate()
                .for_each(|(at, (now, then))| assert_includes(now, then, &format!("{place}/{at}")));
        }
        _ => assert_eq!(now, then, "{place}"),
    }
}

fn expected(version: &str, file: &str) -> Value {
    let text = std::fs::read_to_string(corpus(version).join("expected").join(file)).unwrap();
    serde_json::from_str(&text).unwrap()
}

fn compare(bench: &Bench, version: &str, file: &str, arguments: &[&str]) {
    let now = at(bench.call(arguments)).run().exits(0).out;
    assert_includes(&serde_json::from_str(&now).unwrap(), &expected(version, file), file);
}

#[test]
fn every_amount_is_what_it_was() {
    for version in VERSIONS {
        let bench = bench(version);
        for id in Home::at(bench.path("home")).sessions().unwrap().ids {
            // A session's own tally is since of the day on which it ended; the day on which these were written is asked for.
            let tally = ["tally", id.as_str(), "--date", "2026-11-10", "--format", "json"];
            compare(&bench, version, &format!("tally-{id}.json"), &tally);
        }
        compare(&bench, version, "stock.json", &["stock", "--by", "lot", "--format", "json"]);
        every_replay_is_what_it_was(&bench, version);
        compare(&bench, version, "yard-records.json", &["prices", "--format", "json"]);
        let prices = at(bench.call(&["prices", "transformer-copper", "--format", "json"])).run().exits(0).out;
        let prices: Value = serde_json::from_str(&prices).unwrap();
        let yard = prices["yards"].as_array().unwrap().iter().find(|yard| yard["yard"] == "fixed-yard").unwrap();
        assert_includes(yard, &expected(version, "prices.json"), "prices.json");
    }
}

/// Totals were of all sessions when these were written, and are since of those that have ended.
fn every_replay_is_what_it_was(bench: &Bench, version: &str) {
    let mut then = expected(version, "replay.json");
    assert!(then.as_object_mut().unwrap().remove("totals").is_some());
    let now = at(bench.call(&["replay", "--all", "--format", "json"])).run().exits(0).out;
    let now: Value = serde_json::from_str(&now).unwrap();
    assert_includes(&now, &then, "replay.json");
    let net = |valued: &Value| valued["net"].as_str().unwrap().parse::<rust_decimal::Decimal>().unwrap();
    let ended: Vec<&Value> =
        now["sessions"].as_array().unwrap().iter().filter(|session| session["ended"] == true).collect();
    assert_eq!(ended.len(), 3);
    let sum: rust_decimal::Decimal = ended.iter().map(|session| net(&session["now"][0])).sum();
    assert_eq!(net(&now["totals"]["all"][0]), sum);
}

#[test]
fn every_file_loads() {
    for version in VERSIONS {
        let bench = bench(version);
        let home = Home::at(bench.path("home"));
        let sessions = home.sessions().unwrap();
        assert_eq!((sessions.ids.len(), sessions.others.len()), (4, 0));
        for id in &sessions.ids {
            assert_eq!(home.session(id).unwrap().ending, Ending::Whole);
        }
        let quotes = home.quotes().unwrap().unwrap();
        assert_eq!((quotes.records.len(), quotes.ending), (4, Ending::Whole));
        let stock = home.stock().unwrap().unwrap();
        assert_eq!(stock.ending, Ending::Whole);
        assert_eq!(home.tickets().unwrap().ids.len(), 2);
        for id in home.tickets().unwrap().ids {
            home.ticket::<knockdown::trips::TicketFile>(&id).unwrap();
        }
        let config = home.config().unwrap();
        assert_eq!(config.yard.as_deref(), Some("fixed-yard"));
        assert_eq!(config.containers.get("bucket").map(String::as_str), Some("340 g"));
        let pins = home.pins().unwrap();
        let pin = pins.get(Shelf::Recipes, "offered-box").unwrap();
        assert!(pins.get(Shelf::Library, "lids").is_some());
        assert!(home.seen_script(&pin.script).unwrap().is_some());
        for id in home.seen_scripts().unwrap().ids {
            home.seen_script(id.as_str()).unwrap();
        }
        for bundle in ["offered-box.bundle.toml", "fixed-yard.bundle.toml"] {
            Bundle::read(&LocalDisk, &corpus(version).join(bundle)).unwrap();
        }
        // The recipe that was taken away is no fault of the folder's; nothing else is said.
        let doctor = at(bench.call(&["doctor"])).run();
        let faults = doctor.out.lines().filter(|line| line.starts_with("FAULT")).collect::<Vec<_>>();
        assert!(faults.iter().all(|line| line.contains("gone-box")), "{faults:#?}");
    }
}

#[test]
fn sessions_of_shipped_recipes_load() {
    let home = Home::at(corpus("0.1.0-shipped").join("home"));
    let sessions = home.sessions().unwrap();
    assert_eq!((sessions.ids.len(), sessions.others.len()), (5, 0));
    for id in &sessions.ids {
        let reading = home.session(id).unwrap();
        let cut_off = id.as_str() == "2026-11-24-countertop-oven-1";
        assert_eq!(matches!(reading.ending, Ending::Torn { .. }), cut_off, "{id}");
        assert_eq!(matches!(reading.ending, Ending::Whole), !cut_off, "{id}");
        assert!(home.seen_script(&reading.header.recipe_digest).unwrap().is_some(), "{id}: no copy of its recipe");
    }
    let given = |id: &str, question: &str| {
        let entries = home.session(sessions.ids.iter().find(|known| known.as_str() == id).unwrap()).unwrap().records;
        entries.into_iter().find(|entry| entry.question.as_deref() == Some(question)).and_then(|entry| entry.understood)
    };
    assert_eq!(
        given("2026-11-20-countertop-oven-1", "discharge/guard.stored-charge-hv").as_deref(),
        Some("DISCHARGED")
    );
    assert_eq!(given("2026-11-23-kettle-1", "bottom/guard.flame-retardant-plastic").as_deref(), Some("no"));
    let licensed = given("2026-11-21-window-air-conditioner-1", "recovery/guard.refrigerant");
    assert_eq!(licensed.as_deref(), Some("by A. Nobody, certificate 000-TEST"));
    assert_eq!(home.stock().unwrap().unwrap().ending, Ending::Whole);
    assert_eq!(home.quotes().unwrap().unwrap().records.len(), 2);
    assert_eq!(home.tickets().unwrap().ids.len(), 1);
}

/// Parts, grades and grams of a document, wherever they stand in it: what came out, whatever it is worth.
fn goods(document: &Value) -> std::collections::BTreeSet<String> {
    let mut found = std::collections::BTreeSet::new();
    let mut waiting = vec![document];
    while let Some(value) = waiting.pop() {
        if let Some(part) = value.get("part") {
            found.insert(format!("{part} {} {}", value["grade"], value["mass"]["grams"]));
        }
        waiting.extend(value.as_object().into_iter().flat_map(|map| map.values()));
        waiting.extend(value.as_array().into_iter().flatten());
    }
    found
}

/// Recipes, checks and cards have changed since; what came out then, and lies in stock, is what it was.
#[test]
fn no_change_of_a_shipped_text_ends_a_session_otherwise_or_moves_a_pile() {
    let bench = bench("0.1.0-shipped");
    let on =
        |arguments: &[&str]| bench.call(arguments).env("KNOCKDOWN_CLOCK", "2026-11-27T10:00:00Z").run().exits(0).out;
    let sessions = on(&["show", "sessions"]);
    let states = |text: &str| {
        text.lines()
            .map(|line| line.replace("  estimated net ", "  net ").split("  net ").next().unwrap().to_owned())
            .collect::<Vec<_>>()
    };
    let then = std::fs::read_to_string(corpus("0.1.0-shipped").join("expected/sessions.txt")).unwrap();
    assert_eq!(states(&sessions), states(&then));
    assert_eq!(states(&then).iter().filter(|line| line.ends_with("  ended")).count(), 4);
    for id in Home::at(bench.path("home")).sessions().unwrap().ids {
        let file = format!("tally-{id}.json");
        if corpus("0.1.0-shipped").join("expected").join(&file).exists() {
            let now = serde_json::from_str(&on(&["tally", id.as_str(), "--format", "json"])).unwrap();
            let then = goods(&expected("0.1.0-shipped", &file));
            assert!(then.len() >= 2, "{id}: {then:?}");
            assert_eq!(goods(&now), then, "{id}");
        }
    }
    let now: Value = serde_json::from_str(&on(&["stock", "--by", "lot", "--format", "json"])).unwrap();
    let then = expected("0.1.0-shipped", "stock.json");
    let piles = |stock: &Value| {
        let of = |pile: &Value| format!("{} {} {}", pile["lots"], pile["grade"], pile["mass_g"]);
        stock["piles"].as_array().unwrap().iter().map(of).collect::<std::collections::BTreeSet<_>>()
    };
    assert_eq!(piles(&now), piles(&then));
    assert_eq!(piles(&then).len(), 38);
}

/// A shipped yard has another name since: what was done there goes on under the new one.
#[test]
fn a_yard_that_was_renamed_keeps_its_sessions_and_quotes() {
    let bench = bench("0.1.0-renamed");
    let on =
        |arguments: &[&str]| bench.call(arguments).env("KNOCKDOWN_CLOCK", "2026-11-20T10:00:00Z").run().exits(0).out;
    assert!(on(&["quote"]).contains("tsukisabi  steel-light  31 JPY/kg"));
    assert!(on(&["show", "sessions"]).contains("2026-11-20-kettle-1  ended  estimated net 45 JPY"));
    assert!(on(&["yards"]).contains("* tsukisabi"));
    let now: Value = serde_json::from_str(&on(&["tally", "--format", "json"])).unwrap();
    let then = expected("0.1.0-renamed", "tally.json");
    assert_eq!((&now["net"], goods(&now)), (&then["net"], goods(&then)));
}

/// Not only read: worked on. What is added is behind what was there, which stays byte for byte.
#[test]
fn every_file_can_be_worked_on() {
    for version in VERSIONS {
        let bench = bench(version);
        let files = ["home/quotes.toml", "home/stock.toml", "home/sessions/2026-11-03-test-box-1.toml"];
        let before = files.map(|file| bench.read(file));
        at(bench.call(&["quote", "brass", "4"])).run().exits(0);
        at(bench.call(&["stock", "add", "brass", "1 kg"])).run().exits(0);
        at(bench.call(&["resume", "2026-11-03"])).lines(&["do", "0.20 kg", "none", "3", "difference"]).run();
        for (file, before) in files.iter().zip(&before) {
            let now = bench.read(file);
            assert!(now.starts_with(before.as_str()) && now.len() > before.len(), "{file}");
        }
        at(bench.call(&["settings", "containers.box", "120 g"])).run().exits(0);
        assert!(bench.read("home/config.toml").contains("bucket = \"340 g\""));
        at(bench.call(&["stock", "undo"])).run().exits(0);
        // The sale of the ticket that has no digest can be undone like any other.
        at(bench.call(&["stock", "undo"])).run().exits(0);
        at(bench.call(&["stock", "undo"])).run().exits(0);
        let answers = corpus(version).join("box.answers.toml");
        let answers = answers.to_str().unwrap();
        let played = at(bench.call(&["bench", "test-box", "--answers", answers, "--format", "json"])).run().exits(0);
        let tally: Value = serde_json::from_str(&played.out).unwrap();
        assert_eq!(tally["net"], "0.70");
    }
}
