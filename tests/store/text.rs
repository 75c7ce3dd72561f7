//! How a journal is written down.

use std::sync::Arc;

use super::disk::TestDisk;
use super::{NOW, begin, entry, home, id, journal_of, path};
use knockdown::bench::{Entry, Kind};
use knockdown::store::StoreError;
use knockdown::store::journal::SessionHeader;
use knockdown::store::log::{Ending, MAX_TEXT};
use proptest::prelude::*;

/// A journal as the first version writes it. It must read for ever; never change this text.
const VERSION_1: &str = include_str!("version-1.toml");

#[test]
fn the_first_version_reads_and_is_written_so() {
    let disk = Arc::new(TestDisk::new());
    disk.put(&path(), VERSION_1.as_bytes());
    let reading = home(&disk).session(&id()).expect("readable");
    assert_eq!(reading.header, SessionHeader { id: id().to_string(), ..super::header() });
    assert_eq!(reading.records, (1..=5).map(entry).collect::<Vec<_>>());
    assert_eq!(reading.ending, Ending::Whole);
    assert_eq!(String::from_utf8(journal_of(5)).expect("text"), VERSION_1);
}

/// The digests of the file above as the documentation defines them, computed here from the text alone.
#[test]
fn the_chain_is_what_its_documentation_says() {
    let mut link = String::new();
    let mut block = String::new();
    let mut links = 0;
    for line in VERSION_1.split_inclusive('\n') {
        match line.strip_prefix("chain = \"") {
            Some(digits) => {
                link = knockdown::store::digest(format!("{link}{block}").as_bytes())[..32].to_owned();
                assert_eq!(digits, format!("{link}\"\n"));
                block.clear();
                links += 1;
            }
            None => block.push_str(line),
        }
    }
    assert_eq!((links, block.as_str()), (6, ""));
}

/// A general TOML reader finds the same as the strict one.
fn assert_same_in_toml(bytes: &[u8], entries: &[Entry]) {
    let table: toml::Table = toml::from_str(std::str::from_utf8(bytes).expect("text")).expect("valid TOML");
    let found = table.get("entry").and_then(toml::Value::as_array).cloned().unwrap_or_default();
    assert_eq!(found.len(), entries.len());
    for (found, entry) in found.into_iter().zip(entries) {
        let toml::Value::Table(mut found) = found else { panic!("no table") };
        assert_eq!(found.remove("chain").and_then(|chain| chain.as_str().map(str::len)), Some(32));
        assert_eq!(found.try_into::<Entry>().expect("an entry"), *entry);
    }
}

#[test]
fn it_is_valid_toml() {
    assert_same_in_toml(VERSION_1.as_bytes(), &(1..=5).map(entry).collect::<Vec<_>>());
    let table: toml::Table = toml::from_str(VERSION_1).expect("valid TOML");
    assert_eq!(table["unit_note"].as_str(), super::header().unit_note.as_deref());
    assert_eq!(table["revision"].as_integer(), Some(3));
}

#[test]
fn every_kind_of_entry_comes_back() {
    let kinds = [
        Kind::Answer,
        Kind::Undo,
        Kind::Redo,
        Kind::Note,
        Kind::Pause,
        Kind::Resume,
        Kind::Stop,
        Kind::Yard,
        Kind::Mix,
        Kind::Recipe,
    ];
    let disk = Arc::new(TestDisk::new());
    let mut journal = begin(&disk);
    for kind in kinds {
        let seq = journal.next_seq();
        journal.append(&Entry { kind, ..entry(seq) }).expect("saved");
    }
    let read: Vec<Kind> =
        home(&disk).session(&id()).expect("readable").records.iter().map(|entry| entry.kind).collect();
    assert_eq!(read, kinds);
}

#[test]
fn what_would_not_be_read_back_is_refused_and_the_log_goes_on() {
    let disk = Arc::new(TestDisk::new());
    let mut journal = begin(&disk);
    let before = disk.bytes(&path());
    let long = "x".repeat(MAX_TEXT + 1);
    let refused = [
        (entry(2), "it has the number 2"),
        (Entry { at: "noon".to_owned(), ..entry(1) }, "at is \"noon\", which is no time like"),
        (Entry { typed: Some(long), ..entry(1) }, "its typed is longer than 16384 bytes"),
    ];
    for (entry, wanted) in refused {
        let error = journal.append(&entry).expect_err("refused");
        assert!(matches!(error, StoreError::Unwritable { .. }), "{error}");
        assert!(error.to_string().contains(wanted), "{error}");
        assert_eq!(disk.bytes(&path()), before);
    }
    let longest = Entry { typed: Some("\u{1}".repeat(MAX_TEXT)), ..entry(1) };
    journal.append(&longest).expect("the longest text, all escapes, is saved");
    assert_eq!(home(&disk).session(&id()).expect("readable").records, [longest]);
    for header in [
        SessionHeader { offset: "EST".to_owned(), ..super::header() },
        SessionHeader { revision: u64::MAX, ..super::header() },
    ] {
        let error = home(&disk).begin_session("2026-11-02", &header).expect_err("refused");
        assert!(matches!(error, StoreError::Unwritable { entry: 0, .. }), "{error}");
    }
}

fn any_entry() -> impl Strategy<Value = Entry> {
    let text =
        || proptest::option::of(prop_oneof![any::<String>(), "[\\x00-\\x7f\"\\\\\n\r]{0,20}", Just(String::new())]);
    (text(), text(), text(), text()).prop_map(|(question, typed, understood, origin)| Entry {
        seq: 1,
        at: NOW.to_owned(),
        kind: Kind::Answer,
        question,
        typed,
        understood,
        origin,
    })
}

proptest! {
    #[test]
    fn every_text_comes_back(entries in proptest::collection::vec(any_entry(), 0..4)) {
        let entries: Vec<Entry> = (1..).zip(entries).map(|(seq, entry)| Entry { seq, ..entry }).collect();
        let disk = Arc::new(TestDisk::new());
        let mut journal = begin(&disk);
        for entry in &entries {
            journal.append(entry).expect("saved");
        }
        let reading = home(&disk).session(&id()).expect("readable");
        prop_assert_eq!(&reading.ending, &Ending::Whole);
        prop_assert_eq!(&reading.records, &entries);
        assert_same_in_toml(&disk.bytes(&path()).expect("written"), &entries);
    }

    #[test]
    fn no_bytes_make_it_panic(bytes in proptest::collection::vec(any::<u8>(), 0..200), keep in 0usize..2000) {
        let whole = journal_of(2);
        let disk = Arc::new(TestDisk::new());
        disk.put(&path(), &[&whole[..keep.min(whole.len())], &bytes[..]].concat());
        if let Ok(reading) = home(&disk).session(&id()) {
            let count = reading.records.len() as u64;
            prop_assert_eq!(reading.records, (1..=count).map(entry).collect::<Vec<_>>());
        }
    }
}
