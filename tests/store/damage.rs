//! Logs that are not as they were written: journals, quotes and stock alike.

use std::sync::Arc;

use super::disk::TestDisk;
use super::subjects::{SUBJECTS, Subject};
use super::{home, id, path};
use knockdown::stock::{ActKind, StockEntry};
use knockdown::store::log::Ending;
use knockdown::store::{Home, StoreError};

/// A disk whose only log has these bytes.
fn disk_with(subject: &Subject, bytes: &[u8]) -> Arc<TestDisk> {
    let disk = Arc::new(TestDisk::new());
    disk.put(&(subject.path)(), bytes);
    disk
}

/// Neither read as whole nor written on; what is shown is a beginning of the true records. Returns what is said, which
/// names the file and the line, and says what to do.
fn assert_refused(subject: &Subject, bytes: &[u8], what: &str) -> String {
    let what = format!("{}, {what}", subject.format);
    let disk = disk_with(subject, bytes);
    let mut next = 1;
    let said = match (subject.read)(&home(&disk)) {
        Ok((records, ending)) => {
            next = records.len() as u64 + 1;
            assert_eq!(records, subject.records(next - 1), "{what}");
            match ending {
                Ending::Damaged(damage) => damage.to_string(),
                other => panic!("{what}: taken for {other:?}"),
            }
        }
        Err(error) => error.to_string(),
    };
    assert!((subject.add)(&home(&disk), next, "").is_err(), "{what}: written on");
    assert_eq!(disk.bytes(&(subject.path)()).as_deref(), Some(bytes), "{what}: changed");
    assert!(said.starts_with(&*(subject.path)().to_string_lossy()), "{what}: {said}");
    let names_line = said.contains(", line ") || said.contains("newer version") || said.contains("the journal of");
    assert!(names_line, "{what}: {said}");
    said
}

#[test]
fn cut_at_every_byte() {
    for subject in &SUBJECTS {
        let whole = subject.bytes(4);
        let ends = subject.ends(&whole);
        for cut in 0..whole.len() {
            let sound = ends.iter().filter(|end| **end <= cut).count();
            if sound == 0 {
                let said = assert_refused(subject, &whole[..cut], &format!("cut at {cut}"));
                assert!(said.contains("ends within its header"), "{said}");
                continue;
            }
            let tail = &whole[ends[sound - 1]..cut];
            let disk = disk_with(subject, &whole[..cut]);
            let (records, ending) = (subject.read)(&home(&disk)).expect("readable");
            assert_eq!(records, subject.records(sound as u64 - 1));
            match &ending {
                Ending::Whole => assert!(tail.is_empty(), "cut at {cut}"),
                Ending::Torn { tail: found, .. } => assert!(!tail.is_empty() && found == tail, "cut at {cut}"),
                Ending::Damaged(damage) => panic!("cut at {cut}: {damage}"),
            }
            assert_tail_is_moved(subject, &disk, tail, sound as u64);
        }
    }
}

/// Writing on moves a torn tail to a side file, whole, and puts the next record in its place.
fn assert_tail_is_moved(subject: &Subject, disk: &Arc<TestDisk>, tail: &[u8], next: u64) {
    let torn = (subject.add)(&home(disk), next, "").expect("added");
    assert_eq!(torn.is_some(), !tail.is_empty());
    if let Some(side) = &torn {
        assert_eq!(side.to_string_lossy(), format!("{}.torn-1", (subject.path)().display()));
        assert_eq!(disk.bytes(side).as_deref(), Some(tail));
    }
    let (records, ending) = (subject.read)(&home(disk)).expect("readable");
    assert_eq!((records, ending), (subject.records(next), Ending::Whole));
}

/// Without leave to put it aside, no log of the folder is written behind a torn tail, and nothing of it is moved.
#[test]
fn a_torn_tail_is_written_behind_only_after_leave() {
    let [_, quotes, stock] = &SUBJECTS;
    type Add = fn(&Home) -> Result<(), StoreError>;
    let adds: [(&Subject, Add); 2] = [
        (quotes, |home| home.add_quote(&super::quote("3.55 CAD/lb"), super::NOW)),
        (stock, |home| home.add_stock_entry(&StockEntry::new(2, super::NOW.to_owned(), ActKind::Undo))),
    ];
    for (subject, add) in adds {
        let whole = subject.bytes(2);
        let ends = subject.ends(&whole);
        for cut in ends[1] + 1..ends[2] {
            let disk = disk_with(subject, &whole[..cut]);
            let refused = add(&home(&disk));
            assert!(matches!(&refused, Err(StoreError::Torn { .. })), "cut at {cut}: {refused:?}");
            assert_eq!(disk.bytes(&(subject.path)()).as_deref(), Some(&whole[..cut]));
            assert!(disk.file_names().iter().all(|name| !name.to_string_lossy().contains("torn")), "cut at {cut}");
            let (_, ending) = (subject.read)(&home(&disk)).expect("readable");
            let told = ending.told().expect("told");
            assert!(told.starts_with("line ") && told.ends_with("never finished is left out"), "{told}");
        }
        assert!(add(&home(&disk_with(subject, &whole[..ends[1]]))).is_ok());
    }
}

#[test]
fn every_bit_flipped() {
    for subject in &SUBJECTS {
        let whole = subject.bytes(3);
        for at in 0..whole.len() {
            for bit in 0..8 {
                let mut bytes = whole.clone();
                bytes[at] ^= 1 << bit;
                assert_refused(subject, &bytes, &format!("bit {bit} of byte {at}"));
            }
        }
    }
}

#[test]
fn every_byte_left_out_doubled_or_replaced() {
    for subject in &SUBJECTS {
        let whole = subject.bytes(2);
        for at in 0..whole.len() {
            let (before, rest) = whole.split_at(at);
            let what = format!("byte {at}");
            // Where the same byte follows, leaving out this one or that is the same; the next round has it. At the very
            // end, less is a torn tail, and one more newline is the beginning of an entry.
            if whole.get(at + 1) != Some(&whole[at]) && at + 1 < whole.len() {
                assert_refused(subject, &[before, &rest[1..]].concat(), &what);
                assert_refused(subject, &[before, &rest[..1], rest].concat(), &what);
            }
            for other in [0, b'\r', b'\n', b'"', b'\\', b' ', b'#', 0xff].into_iter().filter(|other| *other != rest[0])
            {
                assert_refused(subject, &[before, &[other], &rest[1..]].concat(), &what);
            }
        }
    }
}

#[test]
fn lines_left_out_doubled_swapped_or_spliced() {
    for subject in &SUBJECTS {
        let whole = String::from_utf8(subject.bytes(3)).expect("text");
        let lines: Vec<&str> = whole.split_inclusive('\n').collect();
        for at in 0..lines.len() {
            let mut changed = lines.clone();
            changed.insert(at, lines[at]);
            assert_refused(subject, changed.concat().as_bytes(), &format!("line {} doubled", at + 1));
            changed = lines.clone();
            changed.remove(at);
            if at + 1 < lines.len() {
                assert_refused(subject, changed.concat().as_bytes(), &format!("line {} left out", at + 1));
            }
            for other in (at + 1..lines.len()).filter(|other| lines[*other] != lines[at]) {
                changed = lines.clone();
                changed.swap(at, other);
                let what = format!("lines {} and {} swapped", at + 1, other + 1);
                assert_refused(subject, changed.concat().as_bytes(), &what);
                // Half of one line and half of another, as two writers without a lock would leave it.
                changed = lines.clone();
                let spliced = [cut_in_half(lines[at]).0, cut_in_half(lines[other]).1].concat();
                changed[at] = &spliced;
                if spliced != lines[at] {
                    let what = format!("lines {} and {} spliced", at + 1, other + 1);
                    assert_refused(subject, changed.concat().as_bytes(), &what);
                }
            }
        }
    }
}

fn cut_in_half(line: &str) -> (&str, &str) {
    let middle = (line.len() / 2..line.len()).find(|at| line.is_char_boundary(*at)).unwrap_or(line.len());
    line.split_at(middle)
}

#[test]
fn records_left_out_doubled_swapped_or_from_elsewhere() {
    for subject in &SUBJECTS {
        let whole = subject.bytes(3);
        let ends = subject.ends(&whole);
        let header = &whole[..ends[0]];
        let block = |number: usize| &whole[ends[number - 1]..ends[number]];
        let said = assert_refused(subject, &[header, block(1), block(1), block(2)].concat(), "doubled");
        assert!(said.contains("in entry 2: expected seq = 2, found \"seq = 1\""), "{said}");
        assert!(said.contains("Entry 1 is safe"), "{said}");
        assert_refused(subject, &[header, block(2), block(1), block(3)].concat(), "swapped");
        assert_refused(subject, &[header, block(1), block(3)].concat(), "left out");
        assert_refused(subject, &[block(1), header].concat(), "header last");
        assert_refused(subject, &[header, header, block(1)].concat(), "header doubled");

        // StockEntry 2 of this log behind entry 1 of another, as a careless merge leaves it.
        let other = subject.bytes_of(&["something else"]);
        let disk = disk_with(subject, &[&other, block(2)].concat());
        let (records, ending) = (subject.read)(&home(&disk)).expect("readable");
        assert_eq!(records, [(subject.record)(1, "something else")]);
        let Ending::Damaged(damage) = ending else { panic!("taken for {ending:?}") };
        assert!(damage.what.starts_with("in entry 2: the digest"), "{damage}");
    }
}

#[test]
fn garbage_at_the_end_is_no_torn_tail() {
    for subject in &SUBJECTS {
        let whole = subject.bytes(2);
        let table = subject.table;
        // One newline alone is the beginning of an entry, so a torn tail.
        for garbage in [
            "hello\n",
            "\n\n",
            "# a remark\n",
            "\0\0\0\0",
            "x",
            "\n[[other]]\n",
            &format!("\n[[{table}]]\nseq = 4\n"),
            &format!("\n[[{table}]]\r\n"),
            // What merging two copies under version control leaves.
            "<<<<<<< mine\n",
        ] {
            assert_refused(subject, &[&whole, garbage.as_bytes()].concat(), garbage);
        }
        let tail = format!("\n[[{table}]]\nseq = 3\nat = \"2026-11-02T14:03:11Z\"\nstranger = \"x\"\n");
        let said = assert_refused(subject, &[&whole[..], tail.as_bytes()].concat(), "an unknown key");
        assert!(said.contains("found \"stranger = \\\"x\\\"\""), "{said}");
    }
}

#[test]
fn files_of_another_make_are_named() {
    for subject in &SUBJECTS {
        let whole = String::from_utf8(subject.bytes(2)).expect("text");
        let said = |text: &str| assert_refused(subject, text.as_bytes(), text);
        assert!(said(&whole.replace("version = 1", "version = 2")).contains("made by a newer version"));
        assert!(said(&whole.replace("version = 1", "version = 0")).contains("never was a version 0"));
        assert!(said(&whole.replace("version = 1", "version = 01")).contains("line 2"));
        assert!(said(&whole.replace(subject.format, "knockdown-other")).contains("this is not a knockdown-"));
        assert!(said("[package]\nname = \"x\"\n").contains("begins with \"[package]\""));
        assert!(said(&format!("\u{feff}{whole}")).contains("byte order mark"));
        assert!(said(&whole.replace('\n', "\r\n")).contains("Turn CR LF back into LF"));
        assert!(said(&whole.replace("\n\n", "\r\n\r\n")).contains("Windows line ending"));
        assert!(said(&format!("{whole}\0")).contains("a NUL byte"));
        assert!(said(&whole.replacen("seq", "\0eq", 1)).contains("a NUL byte"));
        assert!(said("").contains("ends within its header"));
    }
}

#[test]
fn a_journal_under_another_name_is_refused() {
    let [journal, ..] = &SUBJECTS;
    let disk = disk_with(journal, &journal.bytes(1));
    let other = knockdown::store::Id::new("2026-11-02-countertop-oven-2").expect("a name");
    disk.put(&home(&disk).session_file(&other), &journal.bytes(1));
    let said = home(&disk).session(&other).expect_err("refused").to_string();
    assert!(said.contains("the journal of the session \"2026-11-02-countertop-oven-1\""), "{said}");
    assert!(home(&disk).resume_session(&other, super::NOW).is_err());
}

#[test]
fn torn_tails_do_not_replace_one_another() {
    let whole = super::journal_of(2);
    let [journal, ..] = &SUBJECTS;
    let disk = disk_with(journal, &whole[..whole.len() - 3]);
    let first = home(&disk).resume_session(&id(), super::NOW).expect("opened").torn.expect("a side file");
    let shorter = &whole[..whole.len() - 30];
    disk.put(&path(), shorter);
    let second = home(&disk).resume_session(&id(), super::NOW).expect("opened").torn.expect("a side file");
    assert!(first.to_string_lossy().ends_with(".torn-1") && second.to_string_lossy().ends_with(".torn-2"));
    disk.put(&path(), shorter);
    let third = home(&disk).resume_session(&id(), super::NOW).expect("opened").torn.expect("a side file");
    assert_eq!(third, second, "the same tail is kept once");
}
