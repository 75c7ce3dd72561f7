//! Files that are not as they were written.

use std::sync::Arc;

use super::disk::TestDisk;
use super::{entry, home, id, journal_of, path};
use knockdown::bench::Entry;
use knockdown::store::StoreError;
use knockdown::store::journal::JournalReading;
use knockdown::store::log::Ending;

/// A disk whose only journal has these bytes.
fn disk_with(bytes: &[u8]) -> Arc<TestDisk> {
    let disk = Arc::new(TestDisk::new());
    disk.put(&path(), bytes);
    disk
}

fn read(bytes: &[u8]) -> Result<JournalReading, StoreError> {
    home(&disk_with(bytes)).session(&id())
}

/// Neither read as whole nor opened to be written; what is shown is a beginning of the true entries. Returns what is
/// said, which names the file and a line.
fn assert_refused(bytes: &[u8], what: &str) -> String {
    let said = match read(bytes) {
        Ok(reading) => {
            let shown = reading.records.len() as u64;
            assert_eq!(reading.records, (1..=shown).map(entry).collect::<Vec<Entry>>(), "{what}");
            match reading.ending {
                Ending::Damaged(damage) => damage.to_string(),
                other => panic!("{what}: taken for {other:?}"),
            }
        }
        Err(error) => error.to_string(),
    };
    let disk = disk_with(bytes);
    let opened = home(&disk).resume_session(&id(), super::NOW);
    assert!(opened.is_err(), "{what}: opened to be written");
    assert_eq!(disk.bytes(&path()).as_deref(), Some(bytes), "{what}: changed");
    assert!(said.starts_with("/k/sessions/2026-11-02-countertop-oven-1.toml"), "{what}: {said}");
    said
}

#[test]
fn cut_at_every_byte() {
    let whole = journal_of(4);
    let ends: Vec<usize> = (0..=4).map(|count| journal_of(count).len()).collect();
    for cut in 0..whole.len() {
        let sound = ends.iter().filter(|end| **end <= cut).count();
        if sound == 0 {
            let said = assert_refused(&whole[..cut], &format!("cut at {cut}"));
            assert!(said.contains("ends within its header"), "{said}");
            continue;
        }
        let disk = disk_with(&whole[..cut]);
        let reading = home(&disk).session(&id()).expect("readable");
        let true_entries: Vec<Entry> = (1..sound as u64).map(entry).collect();
        let tail = &whole[ends[sound - 1]..cut];
        assert_eq!(reading.records, true_entries);
        match &reading.ending {
            Ending::Whole => assert!(tail.is_empty(), "cut at {cut}"),
            Ending::Torn { tail: found, .. } => assert!(!tail.is_empty() && found == tail, "cut at {cut}"),
            Ending::Damaged(damage) => panic!("cut at {cut}: {damage}"),
        }
        assert_tail_is_moved(&disk, tail, &true_entries);
    }
}

/// Opening to write moves a torn tail to a side file, whole, and leaves the rest.
fn assert_tail_is_moved(disk: &Arc<TestDisk>, tail: &[u8], true_entries: &[Entry]) {
    let opened = home(disk).resume_session(&id(), super::NOW).expect("opened");
    assert_eq!(opened.torn.is_some(), !tail.is_empty());
    if let Some(side) = &opened.torn {
        assert_eq!(side.to_string_lossy(), "/k/sessions/2026-11-02-countertop-oven-1.toml.torn-1");
        assert_eq!(disk.bytes(side).as_deref(), Some(tail));
    }
    drop(opened);
    let reading = home(disk).session(&id()).expect("readable");
    assert_eq!((reading.records.as_slice(), &reading.ending), (true_entries, &Ending::Whole));
}

#[test]
fn every_bit_flipped() {
    let whole = journal_of(3);
    for at in 0..whole.len() {
        for bit in 0..8 {
            let mut bytes = whole.clone();
            bytes[at] ^= 1 << bit;
            assert_refused(&bytes, &format!("bit {bit} of byte {at}"));
        }
    }
}

#[test]
fn every_byte_left_out_doubled_or_replaced() {
    let whole = journal_of(3);
    for at in 0..whole.len() {
        let (before, rest) = whole.split_at(at);
        let what = format!("byte {at}");
        if whole.get(at + 1) != Some(&whole[at]) {
            let without = [before, &rest[1..]].concat();
            // At the very end, less is a torn tail, and one more newline is the beginning of an entry.
            if at + 1 < whole.len() {
                assert_refused(&without, &what);
                assert_refused(&[before, &rest[..1], rest].concat(), &what);
            }
        }
        for other in [0, b'\r', b'\n', b'"', b'\\', b' ', b'#', 0xff].into_iter().filter(|other| *other != rest[0]) {
            assert_refused(&[before, &[other], &rest[1..]].concat(), &what);
        }
    }
}

#[test]
fn lines_left_out_doubled_or_swapped() {
    let whole = String::from_utf8(journal_of(3)).expect("text");
    let lines: Vec<&str> = whole.split_inclusive('\n').collect();
    for at in 0..lines.len() {
        let mut changed = lines.clone();
        changed.insert(at, lines[at]);
        assert_refused(changed.concat().as_bytes(), &format!("line {} doubled", at + 1));
        changed = lines.clone();
        changed.remove(at);
        if at + 1 < lines.len() {
            assert_refused(changed.concat().as_bytes(), &format!("line {} left out", at + 1));
        }
        for other in (at + 1..lines.len()).filter(|other| lines[*other] != lines[at]) {
            changed = lines.clone();
            changed.swap(at, other);
            assert_refused(changed.concat().as_bytes(), &format!("lines {} and {} swapped", at + 1, other + 1));
        }
    }
}

#[test]
fn entries_left_out_doubled_swapped_or_from_elsewhere() {
    let ends: Vec<usize> = (0..=3).map(|count| journal_of(count).len()).collect();
    let whole = journal_of(3);
    let header = &whole[..ends[0]];
    let block = |number: usize| &whole[ends[number - 1]..ends[number]];
    let said = assert_refused(&[header, block(1), block(1), block(2)].concat(), "doubled");
    assert!(said.contains("in entry 2: expected seq = 2, found \"seq = 1\""), "{said}");
    assert!(said.contains("Entry 1 is safe"), "{said}");
    assert_refused(&[header, block(2), block(1), block(3)].concat(), "swapped");
    assert_refused(&[header, block(1), block(3)].concat(), "left out");
    assert_refused(&[block(1), header].concat(), "header last");
    assert_refused(&[header, header, block(1)].concat(), "header doubled");

    let disk = Arc::new(TestDisk::new());
    let mut other = super::begin(&disk);
    other.append(&Entry { typed: Some("something else".to_owned()), ..entry(1) }).expect("saved");
    let other = disk.bytes(&path()).expect("written");
    // The entry before the damage is that of the other journal here.
    let reading = read(&[&other, block(2)].concat()).expect("readable");
    assert_eq!(reading.records.len(), 1);
    let Ending::Damaged(damage) = reading.ending else { panic!("taken for {:?}", reading.ending) };
    assert!(damage.what.starts_with("in entry 2: the digest"), "{damage}");
}

#[test]
fn garbage_at_the_end_is_no_torn_tail() {
    let whole = journal_of(2);
    // One newline alone is the beginning of an entry, so a torn tail.
    for garbage in [
        "hello\n",
        "\n\n",
        "# a remark\n",
        "\0\0\0\0",
        "\n[[entry]]\nseq = 4\n",
        "\n[[other]]\n",
        "\n[[entry]]\r\n",
        "x",
    ] {
        assert_refused(&[&whole, garbage.as_bytes()].concat(), garbage);
    }
    let tail = b"\n[[entry]]\nseq = 3\nat = \"2026-11-02T14:03:11Z\"\nkind = \"answer\"\nstranger = \"x\"\n";
    let said = assert_refused(&[&whole[..], tail].concat(), "an unknown key");
    assert!(said.contains("found \"stranger = \\\"x\\\"\""), "{said}");
}

#[test]
fn files_of_another_make_are_named() {
    let whole = String::from_utf8(journal_of(2)).expect("text");
    let said = |text: &str| assert_refused(text.as_bytes(), text);
    assert!(said(&whole.replace("version = 1", "version = 2")).contains("made by a newer version"));
    assert!(said(&whole.replace("version = 1", "version = 0")).contains("never was a version 0"));
    assert!(said(&whole.replace("version = 1", "version = 01")).contains("line 2"));
    assert!(said(&whole.replace("knockdown-session", "knockdown-quotes")).contains("not a knockdown-session file"));
    assert!(said("[package]\nname = \"x\"\n").contains("begins with \"[package]\""));
    assert!(said(&format!("\u{feff}{whole}")).contains("byte order mark"));
    assert!(said(&whole.replace('\n', "\r\n")).contains("begins with"));
    assert!(said(&whole.replace("\n\n", "\r\n\r\n")).contains("Windows line ending"));
    assert!(said(&format!("{whole}\0")).contains("a NUL byte"));
    assert!(said("").contains("ends within its header"));
}

#[test]
fn a_journal_under_another_name_is_refused() {
    let disk = disk_with(&journal_of(1));
    let other = knockdown::store::Id::new("2026-11-02-countertop-oven-2").expect("a name");
    disk.put(&home(&disk).session_file(&other), &journal_of(1));
    let said = home(&disk).session(&other).expect_err("refused").to_string();
    assert!(said.contains("the journal of the session \"2026-11-02-countertop-oven-1\""), "{said}");
    assert!(home(&disk).resume_session(&other, super::NOW).is_err());
}

#[test]
fn torn_tails_do_not_replace_one_another() {
    let whole = journal_of(2);
    let disk = disk_with(&whole[..whole.len() - 3]);
    let first = home(&disk).resume_session(&id(), super::NOW).expect("opened").torn.expect("a side file");
    let shorter = &whole[..whole.len() - 30];
    disk.put(&path(), shorter);
    let second = home(&disk).resume_session(&id(), super::NOW).expect("opened").torn.expect("a side file");
    assert!(first.to_string_lossy().ends_with(".torn-1") && second.to_string_lossy().ends_with(".torn-2"));
    disk.put(&path(), shorter);
    let third = home(&disk).resume_session(&id(), super::NOW).expect("opened").torn.expect("a side file");
    assert_eq!(third, second, "the same tail is kept once");
}
