//! Every operation of the disk fails once, in every way, while a session begins, goes on and is taken up again.

use std::sync::Arc;

use super::disk::{Fault, TestDisk};
use super::{entry, home, id, journal_of, path};
use knockdown::bench::Entry;
use knockdown::store::StoreError;

/// How many entries a session has here.
const ENTRIES: u64 = 20;

/// What a session got to know before its disk failed.
#[derive(Debug, Default)]
struct Told {
    /// Whether its journal was acknowledged.
    begun: bool,
    /// How many entries were.
    entries: u64,
    /// Whether one more was tried and refused, so that it may or may not be there.
    tried: bool,
}

/// Runs a session until it is done or the disk fails.
fn session(disk: &Arc<TestDisk>) -> Told {
    let mut told = Told::default();
    let Ok(mut journal) = home(disk).begin_session("2026-11-02", &super::header()) else { return told };
    told.begun = true;
    for seq in 1..=ENTRIES {
        if let Err(error) = journal.append(&entry(seq)) {
            told.tried = true;
            assert!(matches!(error, StoreError::NotSaved { entry, .. } if entry == seq), "{error}");
            assert_poisoned(disk, journal, seq);
            return told;
        }
        told.entries = seq;
    }
    told
}

/// After a failure, nothing more is written even if the disk works again.
fn assert_poisoned(disk: &Arc<TestDisk>, mut journal: knockdown::store::journal::Journal, seq: u64) {
    let before = disk.bytes(&path());
    let again = journal.append(&entry(seq)).expect_err("poisoned").to_string();
    assert!(again.contains(&format!("entry {seq} was not saved")), "{again}");
    assert_eq!(disk.bytes(&path()), before);
}

/// What was told holds on the disk as it is now: acknowledged entries are there, nothing is invented, and the session
/// can be taken up. Returns how many entries were found.
fn assert_kept(disk: &Arc<TestDisk>, told: &Told, when: &str) -> u64 {
    let opened = match home(disk).resume_session(&id(), super::NOW) {
        Ok(opened) => opened,
        Err(StoreError::Missing { .. }) if !told.begun => return 0,
        Err(error) => panic!("{when}: {told:?}: {error}"),
    };
    let found = opened.reading.records.len() as u64;
    let most = told.entries + u64::from(told.tried);
    assert!((told.entries..=most).contains(&found), "{when}: {told:?}, found {found}");
    assert_eq!(opened.reading.records, (1..=found).map(entry).collect::<Vec<Entry>>(), "{when}");
    let mut journal = opened.writer;
    journal.append(&entry(found + 1)).expect("the session goes on");
    drop(journal);
    let again = home(disk).session(&id()).expect("readable").records;
    assert_eq!(again, (1..=found + 1).map(entry).collect::<Vec<Entry>>(), "{when}");
    found
}

#[test]
fn every_failure_of_a_session_keeps_what_was_acknowledged() {
    for fault in Fault::ALL {
        let mut good = 0;
        loop {
            let disk = Arc::new(TestDisk::new());
            disk.fail_after(good, fault);
            let told = session(&disk);
            let failed = disk.has_failed();
            disk.heal();
            for (crash, left) in disk.images() {
                assert_kept(&left, &told, &format!("{fault:?} at {good}, {crash}"));
            }
            if !failed {
                assert_eq!(told.entries, ENTRIES);
                // One write, one sync and one look for each entry, and some to begin.
                assert!(good > 60, "only {good} operations were tried");
                break;
            }
            good += 1;
        }
    }
}

#[test]
fn a_power_cut_after_any_acknowledged_entry_keeps_it() {
    let disk = Arc::new(TestDisk::new());
    let mut journal = super::begin(&disk);
    for seq in 1..=ENTRIES {
        journal.append(&entry(seq)).expect("saved");
        let told = Told { begun: true, entries: seq, tried: false };
        for (crash, left) in disk.images() {
            assert_eq!(assert_kept(&left, &told, &format!("{crash} after {seq}")), seq);
        }
    }
}

/// A journal with a torn tail; every operation of taking it up fails once, and the power may fail then as well.
#[test]
fn every_failure_of_a_recovery_keeps_entries_and_tail() {
    let whole = journal_of(6);
    let five = journal_of(5).len();
    let torn = &whole[..five + 40];
    let told = Told { begun: true, entries: 5, tried: false };
    for fault in Fault::ALL {
        let mut good = 0;
        loop {
            let disk = Arc::new(TestDisk::new());
            disk.put(&path(), torn);
            disk.fail_after(good, fault);
            let opened = home(&disk).resume_session(&id(), super::NOW);
            let failed = disk.has_failed();
            assert!(failed || opened.is_ok());
            drop(opened);
            disk.heal();
            for (crash, left) in disk.images() {
                let when = format!("{fault:?} at {good}, {crash}");
                assert!(tail_is_kept(&left, torn, &torn[five..]), "{when}");
                assert_kept(&left, &told, &when);
                assert!(tail_is_kept(&left, torn, &torn[five..]), "{when}");
            }
            if !failed {
                assert!(good > 10, "only {good} operations were tried");
                break;
            }
            good += 1;
        }
    }
}

/// Whether the torn tail is still in the journal, or whole in a side file.
fn tail_is_kept(disk: &TestDisk, torn: &[u8], tail: &[u8]) -> bool {
    let in_side_file = |name: &std::path::PathBuf| {
        name.to_string_lossy().contains(".toml.torn-") && disk.bytes(name).as_deref() == Some(tail)
    };
    disk.bytes(&path()).as_deref() == Some(torn) || disk.file_names().iter().any(in_side_file)
}

/// A sync that failed and then seems to have worked is the classic way to lose an entry without noticing.
#[test]
fn taking_up_again_rests_on_no_earlier_sync() {
    let disk = Arc::new(TestDisk::new());
    let mut journal = super::begin(&disk);
    journal.append(&entry(1)).expect("saved");
    disk.fail_after(1, Fault::Nothing);
    journal.append(&entry(2)).expect_err("the sync failed");
    drop(journal);
    disk.heal();
    // Entry 2 is seen, though it is not on the disk. What goes on from it must bring it along.
    let opened = home(&disk).resume_session(&id(), super::NOW).expect("opened");
    assert_eq!(opened.reading.records.len(), 2);
    let after = home(&disk.power_cut()).session(&id()).expect("readable");
    assert_eq!(after.records, [entry(1), entry(2)]);
}

#[test]
fn a_write_that_is_cut_short_says_so() {
    let disk = Arc::new(TestDisk::new());
    let mut journal = super::begin(&disk);
    (1..=2).for_each(|seq| journal.append(&entry(seq)).expect("saved"));
    disk.fail_after(0, Fault::Half);
    let said = journal.append(&entry(3)).expect_err("cut short").to_string();
    assert!(said.contains("bytes could be written; the disk may be full. Entries 1 to 2 are safe."), "{said}");
}

#[test]
fn a_journal_that_is_taken_away_is_noticed_at_the_next_answer() {
    let disk = Arc::new(TestDisk::new());
    let mut journal = super::begin(&disk);
    journal.append(&entry(1)).expect("saved");
    knockdown::store::disk::Disk::remove(disk.as_ref(), &path()).expect("removed");
    let said = journal.append(&entry(2)).expect_err("noticed").to_string();
    assert!(
        said.contains("moved, removed or changed by another program") && said.contains("Entry 1 is safe"),
        "{said}"
    );
}

#[test]
fn a_second_writer_is_refused_until_the_first_is_done() {
    let disk = Arc::new(TestDisk::new());
    let journal = super::begin(&disk);
    let second = home(&disk).resume_session(&id(), super::NOW);
    assert!(matches!(second, Err(StoreError::Locked { .. })), "{second:?}");
    assert!(home(&disk).session(&id()).is_ok(), "readers need no lock");
    drop(journal);
    home(&disk).resume_session(&id(), super::NOW).expect("free again");
}
