//! The kinds of log that there are, so that each of them goes through the same faults.

use std::path::PathBuf;
use std::sync::Arc;

use super::disk::TestDisk;
use super::{NOW, entry, home, id, path};
use knockdown::stock;
use knockdown::store::home::Single;
use knockdown::store::log::{Ending, Layout, LogReading};
use knockdown::store::quotes::{QuoteLog, QuoteRecord};
use knockdown::store::stock::StockLog;
use knockdown::store::{Home, StoreError};

/// What a log shows: its records, written out, and how it ends.
pub type Shown = (Vec<String>, Ending);

/// A kind of log.
pub struct Subject {
    /// The name of its format.
    pub format: &'static str,
    /// The name of the table of an entry.
    pub table: &'static str,
    /// Its file on the test disk.
    pub path: fn() -> PathBuf,
    /// The record at a place, written out; `variant` is a text in it.
    pub record: fn(u64, &str) -> String,
    /// Opens the log, or makes it, and adds the record at that place; the side file of a torn tail.
    pub add: fn(&Home, u64, &str) -> Result<Option<PathBuf>, StoreError>,
    /// Reads the log; an error also if it is not there.
    pub read: fn(&Home) -> Result<Shown, StoreError>,
}

pub const SUBJECTS: [Subject; 3] = [
    Subject {
        format: "knockdown-session",
        table: "entry",
        path,
        record: |seq, variant| format!("{:?}", journal_entry(seq, variant)),
        add: add_to_journal,
        read: |home| home.session(&id()).map(shown),
    },
    Subject {
        format: "knockdown-quotes",
        table: "quote",
        path: || PathBuf::from("/k/quotes.toml"),
        record: |seq, variant| format!("{:?}", quote(seq, variant)),
        add: |home, seq, variant| {
            let side = put_aside::<QuoteLog>(home)?;
            home.add_quote(&quote(seq, variant), NOW)?;
            Ok(side)
        },
        read: |home| home.quotes()?.map(shown).ok_or(StoreError::Missing { path: home.log_file::<QuoteLog>() }),
    },
    Subject {
        format: "knockdown-stock",
        table: "entry",
        path: || PathBuf::from("/k/stock.toml"),
        record: |seq, variant| format!("{:?}", stock_entry(seq, variant)),
        add: |home, seq, variant| {
            let side = put_aside::<StockLog>(home)?;
            home.add_stock_entry(&stock_entry(seq, variant))?;
            Ok(side)
        },
        read: |home| home.stock()?.map(shown).ok_or(StoreError::Missing { path: home.log_file::<StockLog>() }),
    },
];

impl Subject {
    /// The records up to a place, written out.
    pub fn records(&self, count: u64) -> Vec<String> {
        (1..=count).map(|seq| (self.record)(seq, "")).collect()
    }

    /// The bytes of a log with one record for each of these variants.
    pub fn bytes_of(&self, variants: &[&str]) -> Vec<u8> {
        let disk = Arc::new(TestDisk::new());
        for (seq, variant) in (1..).zip(variants) {
            (self.add)(&home(&disk), seq, variant).expect("saved");
        }
        disk.bytes(&(self.path)()).expect("written")
    }

    /// The bytes of a log with so many records.
    pub fn bytes(&self, count: usize) -> Vec<u8> {
        self.bytes_of(&vec![""; count])
    }

    /// Where the header and each record end in the bytes of a log.
    pub fn ends(&self, bytes: &[u8]) -> Vec<usize> {
        let text = std::str::from_utf8(bytes).expect("text");
        let beginning = format!("\n[[{}]]\n", self.table);
        let begins = text.match_indices(&beginning).map(|(at, _)| at);
        begins.chain([bytes.len()]).collect()
    }
}

fn shown<L: Layout>(reading: LogReading<L>) -> Shown
where
    L::Record: std::fmt::Debug,
{
    (reading.records.iter().map(|record| format!("{record:?}")).collect(), reading.ending)
}

fn journal_entry(seq: u64, variant: &str) -> knockdown::bench::Entry {
    let entry = entry(seq);
    knockdown::bench::Entry { typed: entry.typed.map(|typed| typed + variant), ..entry }
}

fn add_to_journal(home: &Home, seq: u64, variant: &str) -> Result<Option<PathBuf>, StoreError> {
    let (mut journal, torn) = match home.session(&id()) {
        Err(StoreError::Missing { .. }) => (home.begin_session("2026-11-02", &super::header())?, None),
        _ => {
            let opened = home.resume_session(&id(), NOW)?;
            (opened.writer, opened.torn)
        }
    };
    journal.append(&journal_entry(seq, variant))?;
    Ok(torn)
}

/// What a person's yes does where a log ends inside an entry.
pub fn put_aside<L: Single>(home: &Home) -> Result<Option<PathBuf>, StoreError> {
    match home.log::<L>()?.map(|reading| reading.ending) {
        Some(Ending::Torn { .. }) => home.put_aside::<L>(NOW),
        _ => Ok(None),
    }
}

fn quote(seq: u64, variant: &str) -> QuoteRecord {
    QuoteRecord {
        at: NOW.to_owned(),
        yard: "hollow-lane".to_owned(),
        grade: format!("copper-{seq}"),
        price: format!("3.{seq} CAD/lb"),
        date: "2026-11-02".to_owned(),
        origin: (seq != 2 || !variant.is_empty()).then(|| format!("phone \"é漢\\\t\u{1b}[2J\"{variant}")),
    }
}

fn stock_entry(seq: u64, variant: &str) -> stock::StockEntry {
    stock::StockEntry {
        lots: vec![format!("2026-11-02-oven-1/part {seq}"), "loose \"é漢\\ \u{1b}".to_owned()],
        grade: Some("copper-2".to_owned()),
        mass: Some(format!("1{seq} g").parse().expect("a weight")),
        pieces: seq.is_multiple_of(2).then_some(3),
        note: (seq != 2 || !variant.is_empty()).then(|| format!("found{variant}")),
        ..stock::StockEntry::new(seq, NOW.to_owned(), stock::ActKind::Add)
    }
}
