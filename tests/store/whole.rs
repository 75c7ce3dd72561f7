//! Whole files that are not as they were written: kept copies, bundles, tickets, pins, settings.
//!
//! What the program alone writes carries a digest, so every change is named. Settings, scripts and answers are made to be
//! edited by hand and carry none: a change there is the person's own word, and is taken or refused with its line.

use std::path::Path;
use std::sync::Arc;

use super::disk::TestDisk;
use super::{NOW, home};
use knockdown::store::bundle::{Bundle, BundleKind, Contents};
use knockdown::store::home::{Pins, Shelf};
use knockdown::store::{Home, Id, StoreError, answers, digest};

fn name(name: &str) -> Id {
    Id::new(name).expect("a name")
}

/// Every way in which a file can be a little different: each bit flipped, cut at each byte, each line left out, doubled
/// or swapped with the next, Windows line endings, a byte order mark, a NUL byte.
fn changes(whole: &[u8]) -> Vec<(String, Vec<u8>)> {
    let mut changes = Vec::new();
    for at in 0..whole.len() {
        changes.push((format!("cut at {at}"), whole[..at].to_vec()));
        for bit in 0..8 {
            let mut bytes = whole.to_vec();
            bytes[at] ^= 1 << bit;
            changes.push((format!("bit {bit} of byte {at}"), bytes));
        }
    }
    let lines: Vec<&[u8]> = whole.split_inclusive(|byte| *byte == b'\n').collect();
    for at in 0..lines.len() {
        let mut changed = lines.clone();
        changed.remove(at);
        changes.push((format!("line {} left out", at + 1), changed.concat()));
        changed = lines.clone();
        changed.insert(at, lines[at]);
        changes.push((format!("line {} doubled", at + 1), changed.concat()));
        if at + 1 < lines.len() {
            changed = lines.clone();
            changed.swap(at, at + 1);
            changes.push((format!("line {} swapped", at + 1), changed.concat()));
        }
    }
    let windows = String::from_utf8_lossy(whole).replace('\n', "\r\n").into_bytes();
    changes.push(("Windows line endings".to_owned(), windows));
    changes.push(("a byte order mark".to_owned(), [b"\xef\xbb\xbf", whole].concat()));
    changes.push(("a NUL byte".to_owned(), [whole, b"\0"].concat()));
    changes.retain(|(_, bytes)| bytes != whole);
    changes
}

/// The folder with these bytes in one of its files.
fn with(path: &Path, bytes: &[u8]) -> Home {
    let disk = Arc::new(TestDisk::new());
    disk.put(path, bytes);
    home(&disk)
}

/// The error names the file, and a line or what the file should have been.
fn assert_named(error: &StoreError, path: &Path, what: &str) {
    let said = error.to_string();
    assert!(said.starts_with(&*path.to_string_lossy()), "{what}: {said}");
    let places = [", line ", "is larger than", "newer version"];
    assert!(places.iter().any(|place| said.contains(place)), "{what}: {said}");
}

#[test]
fn a_kept_copy_is_what_its_name_says_or_is_named() {
    let text = "unit(\"x\", \"X\");\nstep(\"a\", \"A\");\n";
    let digest = digest(text.as_bytes());
    let path = Path::new("/k/scripts-seen").join(format!("{digest}.rhai"));
    for (what, bytes) in changes(text.as_bytes()) {
        let error = with(&path, &bytes).seen_script(&digest).expect_err(&what);
        assert_named(&error, &path, &what);
        // Keeping the same script again does not paper over it.
        assert!(with(&path, &bytes).keep_script(text).is_err(), "{what}");
    }
    assert_eq!(with(&path, text.as_bytes()).seen_script(&digest).expect("sound").as_deref(), Some(text));
}

fn bundle() -> Bundle {
    let contents = Contents {
        kind: BundleKind::Recipe,
        id: "oven".to_owned(),
        name: "Oven".to_owned(),
        author: "A. Writer".to_owned(),
        licence: "CC0-1.0".to_owned(),
        revision: 1,
        needs_api: 1,
        notes: "Two lines.\nOf notes.".to_owned(),
        source: "unit(\"oven\", \"Oven\");\n".to_owned(),
        session: Some("[a]\nb = 1\n".to_owned()),
        imports: [("mica".to_owned(), "fn f() { 1 }\n".to_owned())].into(),
    };
    Bundle::seal(contents).expect("sealed")
}

#[test]
fn a_bundle_says_what_it_said_or_is_refused() {
    let path = Path::new("/k/oven.toml");
    let whole = bundle().text();
    let mut refused = 0;
    for (what, bytes) in changes(whole.as_bytes()) {
        match Bundle::read(with(path, &bytes).disk().as_ref(), path) {
            // A change of spaces, of the remark at its head, or of the order of its keys says nothing else.
            Ok(read) => assert_eq!(read, bundle(), "{what}"),
            Err(error) => {
                refused += 1;
                assert_named(&error, path, &what);
            }
        }
    }
    assert!(refused > whole.len() * 7, "{refused} of the changes of {} bytes were refused", whole.len());
}

const TICKET: &str = "format = \"knockdown-ticket\"\nversion = 2\nyard = \"hollow-lane\"\npaid = \"12.50 CAD\"\n";

#[test]
fn a_ticket_is_what_was_settled_or_is_named() {
    let disk = Arc::new(TestDisk::new());
    let id = name(&super::settle(&home(&disk), 1, TICKET).expect("kept").ticket.expect("a ticket"));
    let path = home(&disk).ticket_file(&id);
    let whole = disk.bytes(&path).expect("written");
    let read = |bytes: &[u8]| with(&path, bytes).ticket::<toml::Table>(&id);
    let sound = read(&whole).expect("sound");
    assert_eq!(sound["paid"].as_str(), Some("12.50 CAD"));
    for (what, bytes) in changes(&whole) {
        assert_named(&read(&bytes).expect_err(&what), &path, &what);
    }
    let said = |text: &str| read(text.as_bytes()).expect_err("refused").to_string();
    let text = String::from_utf8(whole).expect("text");
    assert!(said(&text.replace("12.50", "21.50")).contains("line 1: the digest is"));
    assert!(said(TICKET).contains("line 1: the digest that stands here in every ticket is missing"));
    assert!(said(&TICKET.replace("version = 2", "version = 3")).contains("made by a newer version"));
    assert!(said(&TICKET.replace("knockdown-ticket", "ticket")).contains("not a knockdown-ticket file"));
    // The first version had no digest.
    assert!(read(TICKET.replace("version = 2", "version = 1").as_bytes()).is_ok());
}

/// No digest covers the pins: taking one out is the person's right. But a pin that says something else cannot be had by a
/// slip without it being seen.
#[test]
fn pins_say_what_they_said_or_are_refused_or_lead_to_nothing() {
    let disk = Arc::new(TestDisk::new());
    home(&disk).adopt(&bundle(), NOW).expect("taken in");
    let path = home(&disk).pins_file();
    let whole = disk.bytes(&path).expect("written");
    let sound = home(&disk).pins().expect("sound");
    for (what, bytes) in changes(&whole) {
        disk.put(&path, &bytes);
        match home(&disk).pins() {
            Err(error) => assert_named(&error, &path, &what),
            Ok(pins) if what.starts_with("cut") || what.contains("left out") => assert_fewer(&pins, &sound, &what),
            Ok(pins) => assert_same_or_seen(&home(&disk), &pins, &sound, &what),
        }
    }
}

fn assert_fewer(pins: &Pins, sound: &Pins, what: &str) {
    for (shelf, id, pin) in pins.iter() {
        assert_eq!(sound.get(shelf, id), Some(pin), "{what}");
    }
}

/// Each pin is one that was there, or its text or the kept copy of it is not there.
fn assert_same_or_seen(home: &Home, pins: &Pins, sound: &Pins, what: &str) {
    for (shelf, id, pin) in pins.iter() {
        let text = home.script(shelf, &name(id)).expect("readable");
        let is_kept = home.seen_script(&pin.script).expect("sound").is_some();
        match sound.get(shelf, id) {
            Some(then) => assert!(then.script == pin.script || !is_kept, "{what}: {shelf:?} {id}"),
            None => assert_eq!(text, None, "{what}: {shelf:?} {id}"),
        }
    }
}

#[test]
fn settings_are_taken_or_refused_with_their_line() {
    let path = Path::new("/k/config.toml");
    let whole =
        b"# mine\nyard = \"hollow-lane\"\nunit = \"lb\"\nfloor_per_hour = \"12\"\n\n[containers]\nbucket = \"340 g\"\n";
    let mut refused = 0;
    for (what, bytes) in changes(whole) {
        let home = with(path, &bytes);
        if let Err(error) = home.config() {
            refused += 1;
            assert_named(&error, path, &what);
            // What is not understood is not written on.
            assert!(home.configure("unit", Some("kg"), NOW).is_err(), "{what}");
        }
    }
    assert!(refused > 300, "{refused}");
}

#[test]
fn answers_are_taken_or_refused_with_their_line() {
    let path = Path::new("/k/answers.toml");
    let whole = b"[unit]\nweight = \"6 kg\"\n\n[lid]\nbegin = \"do\"\nminutes = 6\nsure = true\n";
    let mut refused = 0;
    for (what, bytes) in changes(whole) {
        if let Err(error) = answers::read(with(path, &bytes).disk().as_ref(), path) {
            refused += 1;
            assert_named(&error, path, &what);
        }
    }
    assert!(refused > 100, "{refused}");
}

#[test]
fn a_note_in_a_lock_file_is_shown_and_nothing_else() {
    for bytes in [&b""[..], b"\0\0\0", b"process 12 since noon\n\x1b[2J", &[0xff; 3000]] {
        let disk = Arc::new(TestDisk::new());
        disk.put(Path::new("/k/lock"), bytes);
        // A lock file that a crash left keeps nobody out: the lock is the system's, not the file.
        home(&disk).configure("unit", Some("kg"), NOW).expect("set");
        let held = home(&disk).lock(NOW).expect("free");
        let said = home(&disk).configure("unit", Some("kg"), NOW).expect_err("held").to_string();
        assert!(said.starts_with("/k/lock is in use") && !said.contains('\u{1b}') && !said.contains('\0'), "{said:?}");
        drop(held);
    }
    assert!(Shelf::ALL.iter().all(|shelf| with(Path::new("/k/lock"), b"x").scripts(*shelf).is_ok()));
}
