//! Everything that the program does to a folder, on a disk of which every operation fails once, in every way.
//!
//! A *deed* is one call that is acknowledged or refused, done several times over. Whatever fails, and whatever a crash then
//! leaves: the folder shows what was acknowledged, or that and the one deed that was under way, and nothing else; and the
//! deed can be done again.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::disk::{Fault, TestDisk};
use super::subjects::{SUBJECTS, Subject, put_aside};
use super::{NOW, home};
use knockdown::store::bundle::{Bundle, BundleKind, Contents};
use knockdown::store::home::Shelf;
use knockdown::store::log::Ending;
use knockdown::store::quotes::QuoteLog;
use knockdown::store::stock::StockLog;
use knockdown::store::{Home, Id, StoreError, digest, files};

/// How often a deed is done.
const TIMES: u64 = 4;

/// Something that the program does to a folder.
struct Deed {
    name: &'static str,
    /// Does it for the n-th time, from 1.
    act: fn(&Home, u64) -> Result<(), StoreError>,
    /// How often the folder shows that it was done; panics at anything that was never written. It is given the highest
    /// number that was begun.
    done: fn(&Home, u64) -> u64,
}

const DEEDS: [Deed; 11] = [
    Deed {
        name: "journal",
        act: |home, n| log_act(&SUBJECTS[0], home, n),
        done: |home, _| log_done(&SUBJECTS[0], home),
    },
    Deed {
        name: "quotes",
        act: |home, n| log_act(&SUBJECTS[1], home, n),
        done: |home, _| log_done(&SUBJECTS[1], home),
    },
    Deed { name: "stock", act: |home, n| log_act(&SUBJECTS[2], home, n), done: |home, _| log_done(&SUBJECTS[2], home) },
    Deed { name: "settlement", act: settle, done: |home, _| booked(home, "a settlement") },
    Deed {
        name: "settings",
        act: |home, n| home.configure("floor_per_hour", Some(&n.to_string()), NOW),
        done: |home, _| home.config().expect("in order").floor_per_hour.map_or(0, |n| n.parse().expect("a number")),
    },
    Deed { name: "own script", act: put_script, done: scripts_done },
    Deed {
        name: "test session",
        act: |home, n| home.put_test_session(&name("oven"), &text(n), NOW).map(drop),
        done: |home, most| which(home.test_session(&name("oven")).expect("readable").as_deref(), most),
    },
    Deed { name: "kept copies", act: |home, n| home.keep_script(&text(n)).map(drop), done: copies_done },
    Deed { name: "adopted bundle", act: |home, n| home.adopt(&bundle(n), NOW).map(drop), done: adopted_done },
    Deed { name: "written-out file", act: |home, n| write_out(home, n), done: written_out },
    Deed { name: "exported table", act: |home, n| export(home, n), done: exported },
];

fn name(name: &str) -> Id {
    Id::new(name).expect("a name")
}

/// The n-th text: longer than one write of a growing file.
fn text(n: u64) -> String {
    format!("// text {n}\n").repeat(20)
}

/// Which of the texts it is; 0 for none at all.
fn which(found: Option<&str>, most: u64) -> u64 {
    let Some(found) = found else { return 0 };
    (1..=most).find(|n| text(*n) == found).unwrap_or_else(|| panic!("never written: {found:?}"))
}

fn log_act(subject: &Subject, home: &Home, n: u64) -> Result<(), StoreError> {
    (subject.add)(home, n, "").map(drop)
}

fn log_done(subject: &Subject, home: &Home) -> u64 {
    match (subject.read)(home) {
        Err(StoreError::Missing { .. }) => 0,
        Err(error) => panic!("{error}"),
        Ok((records, ending)) => {
            assert!(!matches!(ending, Ending::Damaged(_)), "{ending:?}");
            assert_eq!(records, subject.records(records.len() as u64));
            records.len() as u64
        }
    }
}

fn ticket(n: u64) -> String {
    format!("format = \"knockdown-ticket\"\nversion = 2\nnumber = \"{n}\"\n")
}

fn settle(home: &Home, n: u64) -> Result<(), StoreError> {
    put_aside::<StockLog>(home)?;
    put_aside::<QuoteLog>(home)?;
    super::settle(home, n, &ticket(n)).map(drop)
}

/// How many sales are booked. Each has its ticket and both its prices, whole; no two share a ticket, whatever is left of
/// others that never came to be booked.
pub fn booked(home: &Home, when: &str) -> u64 {
    let sales = home.stock().expect("readable").map(|reading| reading.records).unwrap_or_default();
    let quotes = home.quotes().expect("readable").map(|reading| reading.records).unwrap_or_default();
    let mut names = BTreeSet::new();
    for sale in &sales {
        let id = sale.ticket.clone().expect("a sale names its ticket");
        let found: toml::Table = home.ticket(&name(&id)).unwrap_or_else(|error| panic!("{when}: {error}"));
        assert!(found.get("number").is_none_or(|number| number.as_str() == sale.note.as_deref()), "{when}: {id}");
        let prices: Vec<&str> =
            quotes.iter().filter(|quote| quote.ticket() == Some(&id)).map(|quote| quote.price.as_str()).collect();
        assert_eq!(prices, [format!("{}.40 CAD/lb", sale.seq), format!("{}.55 CAD/lb", sale.seq)], "{when}: {id}");
        assert!(names.insert(id), "{when}");
    }
    sales.len() as u64
}

fn put_script(home: &Home, n: u64) -> Result<(), StoreError> {
    match n {
        1 => home.add_script(Shelf::Recipes, &name("oven"), &text(n), NOW).map(drop),
        _ => home.replace_script(Shelf::Recipes, &name("oven"), &text(n), NOW).map(drop),
    }
}

fn scripts_done(home: &Home, most: u64) -> u64 {
    let done = which(home.script(Shelf::Recipes, &name("oven")).expect("readable").as_deref(), most);
    let others = home.scripts(Shelf::Recipes).expect("listed").others;
    assert_eq!(others, Vec::<String>::new());
    // What was replaced is kept.
    for old in 1..done {
        assert_eq!(home.seen_script(&digest(text(old).as_bytes())).expect("sound"), Some(text(old)));
    }
    done
}

fn copies_done(home: &Home, most: u64) -> u64 {
    let kept = |n: &u64| home.seen_script(&digest(text(*n).as_bytes())).expect("sound").is_some();
    let done = (1..=most).filter(kept).count() as u64;
    assert!((1..=done).all(|n| kept(&n)), "in order");
    assert_eq!(home.seen_scripts().expect("listed").ids.len() as u64, done);
    done
}

fn bundle(n: u64) -> Bundle {
    let contents = Contents {
        kind: BundleKind::Recipe,
        id: "oven".to_owned(),
        name: "Oven".to_owned(),
        author: String::new(),
        licence: String::new(),
        revision: 1,
        needs_api: 1,
        notes: String::new(),
        source: text(n),
        session: Some(format!("# {n}\n")),
        imports: [("mica".to_owned(), format!("// module {n}\n"))].into(),
    };
    Bundle::seal(contents).expect("sealed")
}

/// The text decides whether a bundle was taken in. No text of a stranger's is there without its pin, and one that is not
/// the pinned one is told apart by the digest.
fn adopted_done(home: &Home, most: u64) -> u64 {
    let done = which(home.script(Shelf::Recipes, &name("oven")).expect("readable").as_deref(), most);
    let pins = home.pins().expect("readable");
    let module = home.script(Shelf::Library, &name("mica")).expect("readable");
    for (shelf, id, found) in [(Shelf::Recipes, "oven", done > 0), (Shelf::Library, "mica", module.is_some())] {
        assert!(!found || pins.get(shelf, id).is_some(), "{id} is there without its pin");
    }
    if let Some(pin) = pins.get(Shelf::Recipes, "oven") {
        let kept = home.seen_script(&pin.script).expect("sound").expect("what was pinned is kept");
        let pinned = which(Some(&kept), most);
        assert!(pinned == done || pinned == done + 1, "{pinned} is pinned, {done} is there");
    }
    let session = home.test_session(&name("oven")).expect("readable");
    // The session is written last: until it is there, the bundle counts as not yet taken in.
    let session_of = |n: u64| session.as_deref() == Some(&*format!("# {n}\n"));
    if done == 0 || session_of(done) { done } else { done - 1 }
}

fn out(home: &Home) -> PathBuf {
    home.root().join("out")
}

fn write_out(home: &Home, n: u64) -> Result<(), StoreError> {
    files::make_folders(home.disk().as_ref(), &out(home))?;
    files::write_new(home.disk().as_ref(), &out(home).join(format!("{n}.toml")), text(n).as_bytes())
}

fn written_out(home: &Home, most: u64) -> u64 {
    let read = |n: u64| match files::read_text(home.disk().as_ref(), &out(home).join(format!("{n}.toml")), 10_000) {
        Err(StoreError::Missing { .. }) => false,
        Err(error) => panic!("{error}"),
        Ok(found) => found == text(n) || panic!("{n}: never written: {found:?}"),
    };
    let done = (1..=most).filter(|n| read(*n)).count() as u64;
    assert!((1..=done).all(read), "in order");
    done
}

fn export(home: &Home, n: u64) -> Result<(), StoreError> {
    files::make_folders(home.disk().as_ref(), &out(home))?;
    let mut file = files::Growing::begin(home.disk().as_ref(), &out(home).join("sessions.csv"))?;
    for _ in 0..3 {
        // More than is gathered before it is written.
        file.add(text(n).repeat(300).as_bytes())?;
    }
    file.finish()
}

fn exported(home: &Home, most: u64) -> u64 {
    match files::read_text(home.disk().as_ref(), &out(home).join("sessions.csv"), 1_000_000) {
        Err(StoreError::Missing { .. }) => 0,
        Err(error) => panic!("{error}"),
        Ok(found) => (1..=most).find(|n| text(*n).repeat(900) == found).expect("one of the tables, whole"),
    }
}

/// Does a deed until it is refused; how often it was acknowledged.
fn do_all(deed: &Deed, home: &Home) -> u64 {
    (1..=TIMES).take_while(|n| (deed.act)(home, *n).is_ok()).count() as u64
}

/// The folder shows what was acknowledged or one more that was begun, and the deed can be done again, so that it lasts.
fn assert_holds(deed: &Deed, disk: &Arc<TestDisk>, acknowledged: u64, when: &str) {
    let home = home(disk);
    let most = (acknowledged + 1).min(TIMES);
    let done = (deed.done)(&home, most);
    assert!((acknowledged..=most).contains(&done), "{when}: {acknowledged} acknowledged, {done} found");
    let next = done + 1;
    (deed.act)(&home, next).unwrap_or_else(|error| panic!("{when}: again: {error}"));
    assert_eq!((deed.done)(&home, next), next, "{when}: again");
    let after = super::home(&disk.power_cut());
    assert_eq!((deed.done)(&after, next), next, "{when}: again, power cut");
}

#[test]
fn every_failure_of_every_deed_keeps_what_was_acknowledged() {
    for deed in &DEEDS {
        for fault in Fault::ALL {
            for good in 0.. {
                let disk = Arc::new(TestDisk::new());
                disk.fail_after(good, fault);
                let acknowledged = do_all(deed, &home(&disk));
                let failed = disk.has_failed();
                disk.heal();
                for (crash, left) in disk.images() {
                    assert_holds(deed, &left, acknowledged, &format!("{}: {fault:?} at {good}, {crash}", deed.name));
                }
                if !failed {
                    assert_eq!(acknowledged, TIMES, "{}", deed.name);
                    assert!(good >= 20, "{}: only {good} operations were tried", deed.name);
                    break;
                }
            }
        }
    }
}

/// The disk fails once and works again, and the process goes on: what it then shows is still what was acknowledged.
#[test]
fn the_process_that_met_the_failure_can_go_on() {
    for deed in &DEEDS {
        for fault in [Fault::Nothing, Fault::Late, Fault::Half] {
            for good in 0.. {
                let disk = Arc::new(TestDisk::new());
                disk.fail_after(good, fault);
                let acknowledged = do_all(deed, &home(&disk));
                let failed = disk.has_failed();
                disk.heal();
                assert_holds(deed, &disk, acknowledged, &format!("{}: {fault:?} at {good}, going on", deed.name));
                if !failed {
                    break;
                }
            }
        }
    }
}

/// A power cut at any moment while nothing fails: after each operation there is an image.
#[test]
fn no_leftover_of_a_crash_is_taken_for_a_file_of_the_persons() {
    for deed in &DEEDS {
        for good in 0.. {
            let disk = Arc::new(TestDisk::new());
            disk.fail_after(good, Fault::Gone);
            do_all(deed, &home(&disk));
            let failed = disk.has_failed();
            disk.heal();
            for (crash, left) in disk.images() {
                let home = home(&left);
                let when = format!("{} at {good}, {crash}", deed.name);
                for shelf in Shelf::ALL {
                    let list = home.scripts(shelf).expect("listed");
                    assert!(list.others.is_empty() && list.ids.len() <= 1, "{when}: {list:?}");
                }
                assert!(home.sessions().expect("listed").others.is_empty(), "{when}");
                assert!(left.file_names().iter().all(|path| is_known(path)), "{when}: {:?}", left.file_names());
            }
            if !failed {
                break;
            }
        }
    }
}

/// Whether the program knows what a file is: by its place, or as a file in the making.
fn is_known(path: &Path) -> bool {
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    let in_the_making = name.starts_with('.') && name.ends_with(".part");
    in_the_making
        || name.ends_with(".toml")
        || name.ends_with(".rhai")
        || name.ends_with(".csv")
        || name == "lock"
        || name.contains(".toml.torn-")
}
