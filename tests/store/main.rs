//! Every file that the program writes, against everything that can befall it.
//!
//! The rule that every test here comes back to: each acknowledged entry is there, nothing is invented, damage is named.

#![allow(clippy::unwrap_used, clippy::new_without_default, reason = "a test may fail by panicking")]

mod bench;
mod damage;
mod deeds;
mod disk;
mod faults;
mod folder;
mod settle;
mod subjects;
#[cfg(all(target_os = "linux", target_env = "gnu", any(target_arch = "x86_64", target_arch = "aarch64")))]
mod system;
mod text;
mod whole;

use std::path::PathBuf;
use std::sync::Arc;

use disk::TestDisk;
use knockdown::bench::{Entry, Kind};
use knockdown::stock;
use knockdown::store::journal::{Journal, SessionHeader};
use knockdown::store::quotes::QuoteRecord;
use knockdown::store::{Home, Id, StoreError};

/// Some moment.
const NOW: &str = "2026-11-02T14:03:11Z";

/// The header of the sessions under test.
fn header() -> SessionHeader {
    SessionHeader {
        program: "0.1.0".to_owned(),
        started: NOW.to_owned(),
        offset: "-05:00".to_owned(),
        recipe: "countertop-oven".to_owned(),
        recipe_name: "Countertop microwave oven".to_owned(),
        revision: 3,
        recipe_digest: "ab".repeat(32),
        yard: Some("hollow-lane".to_owned()),
        yard_digest: Some("cd".repeat(32)),
        unit_note: Some("door \"cracked\", from next door".to_owned()),
        libraries: None,
        ..SessionHeader::default()
    }
}

fn quote(price: &str) -> QuoteRecord {
    QuoteRecord {
        at: NOW.to_owned(),
        yard: "hollow-lane".to_owned(),
        grade: "copper-2".to_owned(),
        price: price.to_owned(),
        date: "2026-11-02".to_owned(),
        origin: Some("phone".to_owned()),
    }
}

/// Settles a ticket of the yard `hollow-lane`, as the n-th entry of the stock, and keeps two prices from it.
fn settle(home: &Home, n: u64, ticket: &str) -> Result<stock::StockEntry, StoreError> {
    let sale = stock::StockEntry {
        lots: vec![format!("find-{n}")],
        yard: Some("hollow-lane".to_owned()),
        note: Some(n.to_string()),
        ..stock::StockEntry::new(n, NOW.to_owned(), stock::ActKind::Sale)
    };
    let quotes = vec![quote(&format!("{n}.40 CAD/lb")), quote(&format!("{n}.55 CAD/lb"))];
    home.settle("2026-11-02", ticket, quotes, sale)
}

/// The entry at `seq`; its text has what is awkward in a file.
fn entry(seq: u64) -> Entry {
    Entry {
        seq,
        at: format!("2026-11-02T14:{:02}:11Z", seq % 60),
        kind: if seq.is_multiple_of(5) { Kind::Note } else { Kind::Answer },
        question: (!seq.is_multiple_of(5)).then(|| format!("transformer/weight-{seq}")),
        typed: Some(format!("3.{seq} kg \"é漢\\ \t\n\u{1b}[2J")),
        understood: (!seq.is_multiple_of(3)).then(|| format!("3.{seq} kg")),
        origin: seq.is_multiple_of(4).then(|| "scale".to_owned()),
    }
}

/// The name of the first session under test.
fn id() -> Id {
    Id::new("2026-11-02-countertop-oven-1").expect("a name")
}

/// A folder on a test disk.
fn home(disk: &Arc<TestDisk>) -> Home {
    Home::on(disk.clone(), "/k")
}

/// Begins the first session.
fn begin(disk: &Arc<TestDisk>) -> Journal {
    home(disk).begin_session("2026-11-02", &header()).expect("begun")
}

/// The file of the first session.
fn path() -> PathBuf {
    PathBuf::from("/k/sessions/2026-11-02-countertop-oven-1.toml")
}

/// The bytes of a journal with so many entries.
fn journal_of(count: u64) -> Vec<u8> {
    let disk = Arc::new(TestDisk::new());
    let mut journal = begin(&disk);
    (1..=count).for_each(|seq| journal.append(&entry(seq)).expect("saved"));
    disk.bytes(&path()).expect("written")
}
