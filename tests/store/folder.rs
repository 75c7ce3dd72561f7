//! A person's folder on a real disk: layout, locks, settings, quotes, scripts, and processes that are killed.

use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Command, Stdio};
use std::sync::atomic::{AtomicUsize, Ordering};

use super::quote;
use knockdown::bench::{Entry, Kind};
use knockdown::store::home::{FolderListing, Shelf};
use knockdown::store::journal::SessionHeader;
use knockdown::store::log::Ending;
use knockdown::store::quotes::{QuoteLog, QuoteRecord};
use knockdown::store::{Home, Id, StoreError};
use tempfile::TempDir;

/// Some moment.
const NOW: &str = "2026-11-02T14:03:11Z";

/// A folder that is not there yet, in one that goes away with the test.
fn new_home() -> (TempDir, Home) {
    let folder = tempfile::tempdir().expect("a folder");
    let home = Home::at(folder.path().join("deep/home"));
    (folder, home)
}

fn header(recipe: &str) -> SessionHeader {
    SessionHeader {
        started: NOW.to_owned(),
        offset: "+00:00".to_owned(),
        recipe: recipe.to_owned(),
        ..SessionHeader::default()
    }
}

fn entry(seq: u64) -> Entry {
    Entry {
        seq,
        at: NOW.to_owned(),
        kind: Kind::Answer,
        question: Some(format!("step/{seq}")),
        typed: Some(format!("{seq} kg")),
        understood: None,
        origin: None,
    }
}

fn id(name: &str) -> Id {
    Id::new(name).expect("a name")
}

fn names(folder: &Path) -> Vec<String> {
    let entries = std::fs::read_dir(folder).expect("a folder");
    let mut names: Vec<String> =
        entries.map(|entry| entry.expect("an entry").file_name().to_string_lossy().into_owned()).collect();
    names.sort();
    names
}

#[test]
fn the_flag_comes_before_the_variable_before_the_platform() {
    let choose = |flag: Option<&str>, variable: Option<&str>, platform: Option<&str>| {
        Home::choose(flag.map(Path::new), variable.map(AsRef::as_ref), platform.map(Into::into))
    };
    assert_eq!(choose(Some("/f"), Some("/v"), Some("/p")).expect("chosen"), Path::new("/f"));
    assert_eq!(choose(None, Some("/v"), Some("/p")).expect("chosen"), Path::new("/v"));
    assert_eq!(choose(None, Some(""), Some("/p")).expect("chosen"), Path::new("/p"));
    assert!(choose(Some(""), Some("/v"), None).expect_err("refused").to_string().contains("--home is empty"));
    assert!(choose(None, None, None).expect_err("refused").to_string().contains("KNOCKDOWN_HOME"));
}

#[test]
fn reading_makes_nothing() {
    let (folder, home) = new_home();
    assert!(!home.exists().expect("looked"));
    assert!(home.sessions().expect("listed").ids.is_empty());
    assert_eq!(home.scripts(Shelf::Recipes).expect("listed"), FolderListing::default());
    assert!(home.script(Shelf::Yards, &id("x")).expect("looked").is_none());
    assert!(home.quotes().expect("looked").is_none());
    assert_eq!(home.config().expect("read"), Default::default());
    assert!(matches!(home.session(&id("x")), Err(StoreError::Missing { .. })));
    assert!(matches!(home.resume_session(&id("x"), NOW), Err(StoreError::Missing { .. })));
    assert!(names(folder.path()).is_empty());
}

#[test]
fn sessions_are_numbered_and_listed_in_order() {
    let (_folder, home) = new_home();
    for number in 1..=11 {
        let journal = home.begin_session("2026-11-02", &header("oven")).expect("begun");
        assert_eq!(journal.path(), home.session_file(&id(&format!("2026-11-02-oven-{number}"))));
    }
    drop(home.begin_session("2026-11-01", &header("tool")).expect("begun"));
    std::fs::write(home.root().join("sessions/My notes.toml"), "x").expect("written");
    std::fs::write(home.root().join("sessions/x.toml.torn-1"), "x").expect("written");
    let list = home.sessions().expect("listed");
    let wanted = (1..=11).map(|number| format!("2026-11-02-oven-{number}"));
    let wanted: Vec<Id> = std::iter::once("2026-11-01-tool-1".to_owned()).chain(wanted).map(|name| id(&name)).collect();
    assert_eq!(list.ids, wanted);
    assert_eq!(list.others, ["My notes.toml"]);
    for (date, recipe) in [("../2026", "oven"), ("2026-11-02", "../../etc"), ("2026-11-02", &"x".repeat(80))] {
        assert!(matches!(home.begin_session(date, &header(recipe)), Err(StoreError::BadName { .. })));
    }
}

#[test]
fn one_writer_at_a_time_and_no_lock_files_are_left() {
    let (_folder, home) = new_home();
    let first = home.begin_session("2026-11-02", &header("oven")).expect("begun");
    let name = id("2026-11-02-oven-1");
    let said = home.resume_session(&name, NOW).expect_err("locked").to_string();
    if cfg!(unix) {
        assert!(said.contains(&format!("is in use by process {} since {NOW}", std::process::id())), "{said}");
    }
    assert!(home.session(&name).is_ok(), "readers need no lock");
    drop(first);
    let opened = home.resume_session(&name, NOW).expect("free");
    assert_eq!(opened.reading.ending, Ending::Whole);
    drop(opened);
    if cfg!(unix) {
        assert_eq!(names(&home.root().join("sessions")), ["2026-11-02-oven-1.toml"]);
    }
    let lock = home.lock(NOW).expect("locked");
    assert!(matches!(home.configure("unit", Some("kg"), NOW), Err(StoreError::Locked { .. })));
    drop(lock);
    home.configure("unit", Some("kg"), NOW).expect("set");
}

#[test]
fn many_threads_never_share_a_session() {
    let (_folder, home) = new_home();
    let begin = || home.begin_session("2026-11-02", &header("oven")).expect("begun").path().to_owned();
    let mut paths: Vec<_> = std::thread::scope(|scope| {
        let threads: Vec<_> = (0..8).map(|_| scope.spawn(|| (0..5).map(|_| begin()).collect::<Vec<_>>())).collect();
        threads.into_iter().flat_map(|thread| thread.join().expect("no panic")).collect()
    });
    paths.sort();
    paths.dedup();
    assert_eq!(paths.len(), 40);
}

/// Releasing removes the lock file, and a lock on a removed file would keep nobody out.
#[test]
fn a_lock_has_one_holder_however_often_it_changes_hands() {
    let (_folder, home) = new_home();
    let holders = AtomicUsize::new(0);
    let taken = AtomicUsize::new(0);
    let contend = || {
        for _ in 0..2000 {
            match home.lock(NOW) {
                Ok(lock) => {
                    assert_eq!(holders.fetch_add(1, Ordering::SeqCst), 0, "two holders");
                    taken.fetch_add(1, Ordering::SeqCst);
                    std::thread::yield_now();
                    holders.fetch_sub(1, Ordering::SeqCst);
                    drop(lock);
                }
                Err(error) => assert!(matches!(error, StoreError::Locked { .. }), "{error}"),
            }
        }
    };
    std::thread::scope(|scope| (0..4).for_each(|_| drop(scope.spawn(contend))));
    assert!(taken.into_inner() > 0);
}

#[test]
fn settings_are_changed_in_place() {
    let (_folder, home) = new_home();
    home.configure("yard", Some("hollow-lane"), NOW).expect("set");
    let path = home.config_file();
    let text = format!("# mine\n{}", std::fs::read_to_string(&path).expect("read"));
    std::fs::write(&path, &text).expect("written");
    home.configure("yard", Some("mill-road"), NOW).expect("set");
    assert_eq!(std::fs::read_to_string(&path).expect("read"), "# mine\nyard = \"mill-road\"\n");
    assert_eq!(home.config().expect("read").yard.as_deref(), Some("mill-road"));
    assert!(home.configure("yrad", Some("x"), NOW).is_err());
    std::fs::write(&path, "yard = 3\n").expect("written");
    let said = home.config().expect_err("refused").to_string();
    assert!(said.contains("config.toml, line 1: "), "{said}");
}

#[test]
fn quotes_are_kept_in_order_and_a_torn_one_is_moved() {
    let (_folder, home) = new_home();
    home.add_quote(&quote("3.40 CAD/lb"), NOW).expect("saved");
    home.add_quote(&quote("3.55 CAD/lb"), NOW).expect("saved");
    let path = home.log_file::<QuoteLog>();
    let mut bytes = std::fs::read(&path).expect("read");
    bytes.extend_from_slice(b"\n[[quote]]\nseq = 3\nat = \"20");
    std::fs::write(&path, &bytes).expect("written");
    let refused = home.add_quote(&quote("3.60 CAD/lb"), NOW).expect_err("refused").to_string();
    assert!(refused.contains("quotes.toml, line 24: the log ends inside an entry"), "{refused}");
    let torn = home.put_aside::<QuoteLog>(NOW).expect("moved").expect("a torn tail");
    home.add_quote(&quote("3.60 CAD/lb"), NOW).expect("saved");
    assert_eq!(std::fs::read(torn).expect("read"), b"\n[[quote]]\nseq = 3\nat = \"20");
    let quotes = home.quotes().expect("read").expect("there").records;
    assert_eq!(quotes, [quote("3.40 CAD/lb"), quote("3.55 CAD/lb"), quote("3.60 CAD/lb")]);
    let bad = QuoteRecord { date: "tomorrow".to_owned(), ..quote("1 CAD/lb") };
    let said = home.add_quote(&bad, NOW).expect_err("refused").to_string();
    assert!(said.contains("date is \"tomorrow\", which is no date like"), "{said}");
}

#[test]
fn scripts_are_kept_by_digest() {
    let (_folder, home) = new_home();
    let digest = home.keep_script("unit(\"x\")").expect("kept");
    assert_eq!(home.keep_script("unit(\"x\")").expect("kept"), digest);
    assert_eq!(home.seen_script(&digest).expect("read").as_deref(), Some("unit(\"x\")"));
    assert_eq!(home.seen_script(&"0".repeat(64)).expect("read"), None);
    assert!(matches!(home.seen_script("../config"), Err(StoreError::BadName { .. })));
    std::fs::write(home.root().join(format!("scripts-seen/{digest}.rhai")), "changed").expect("written");
    assert!(home.seen_script(&digest).expect_err("refused").to_string().contains("the text was changed"));

    let path = home.add_script(Shelf::Recipes, &id("oven"), "text", NOW).expect("added");
    assert_eq!(path, home.script_file(Shelf::Recipes, &id("oven")));
    assert!(matches!(home.add_script(Shelf::Recipes, &id("oven"), "other", NOW), Err(StoreError::Exists { .. })));
    assert_eq!(home.script(Shelf::Recipes, &id("oven")).expect("read").as_deref(), Some("text"));
    std::fs::write(path.with_file_name("My oven.rhai"), "text").expect("written");
    let listing = home.scripts(Shelf::Recipes).expect("listed");
    assert_eq!((listing.ids, listing.others), (vec![id("oven")], vec!["My oven.rhai".to_owned()]));
    std::fs::write(&path, "x".repeat(128 * 1024 + 1)).expect("written");
    assert!(matches!(home.script(Shelf::Recipes, &id("oven")), Err(StoreError::TooLarge { .. })));
}

#[test]
fn a_file_in_place_of_the_folder_is_one_clear_error() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("home");
    std::fs::write(&path, "x").expect("written");
    let home = Home::at(&path);
    for error in [
        home.begin_session("2026-11-02", &header("oven")).expect_err("refused"),
        home.configure("unit", Some("kg"), NOW).expect_err("refused"),
        home.exists().expect_err("refused"),
    ] {
        assert!(matches!(error, StoreError::WrongKind { .. } | StoreError::Io { .. }), "{error}");
        assert!(error.to_string().contains("home"), "{error}");
    }
}

/// Root may write everywhere, so as root this can show nothing and says so.
#[test]
#[cfg(unix)]
fn a_read_only_folder_can_be_read_and_says_once_that_it_cannot_be_written() {
    use std::os::unix::fs::PermissionsExt;
    let (_folder, home) = new_home();
    drop(home.begin_session("2026-11-02", &header("oven")).expect("begun"));
    let allow = |mode: u32| {
        for folder in [home.root().to_owned(), home.root().join("sessions")] {
            std::fs::set_permissions(folder, std::fs::Permissions::from_mode(mode)).expect("set");
        }
    };
    allow(0o555);
    if std::fs::write(home.root().join("probe"), "x").is_ok() {
        eprintln!("skipped: this user may write in read-only folders");
        allow(0o755);
        return;
    }
    assert_eq!(home.sessions().expect("listed").ids, [id("2026-11-02-oven-1")]);
    home.session(&id("2026-11-02-oven-1")).expect("readable");
    for error in [
        home.begin_session("2026-11-02", &header("oven")).expect_err("refused"),
        home.resume_session(&id("2026-11-02-oven-1"), NOW).expect_err("refused"),
        home.configure("unit", Some("kg"), NOW).expect_err("refused"),
    ] {
        assert!(error.to_string().contains("Check who owns the folder, or choose another with --home"), "{error}");
    }
    allow(0o755);
}

/// A full disk, as far as a test can have one without rights: a device that is always full.
#[test]
#[cfg(target_os = "linux")]
fn a_full_disk_says_so() {
    use knockdown::store::disk::{Disk, LocalDisk};
    let mut full = LocalDisk.append(Path::new("/dev/full")).expect("opened");
    let error = full.write(b"x").expect_err("full");
    assert_eq!(error.kind(), std::io::ErrorKind::StorageFull);
}

#[test]
#[cfg(unix)]
fn links_and_pipes_in_place_of_files_are_refused() {
    let (_folder, home) = new_home();
    drop(home.begin_session("2026-11-02", &header("oven")).expect("begun"));
    let real = home.session_file(&id("2026-11-02-oven-1"));
    let link = home.session_file(&id("linked"));
    std::os::unix::fs::symlink(&real, &link).expect("linked");
    let pipe = home.session_file(&id("piped"));
    assert!(Command::new("mkfifo").arg(&pipe).status().expect("mkfifo runs").success());
    for (name, wanted) in
        [("linked", "is a symbolic link, where a file belongs"), ("piped", "is a pipe, socket or device")]
    {
        let said = home.session(&id(name)).expect_err("refused").to_string();
        assert!(said.contains(wanted), "{said}");
        assert!(home.resume_session(&id(name), NOW).expect_err("refused").to_string().contains(wanted));
    }
    std::os::unix::fs::symlink(&real, home.root().join("lock")).expect("linked");
    let said = home.configure("unit", Some("kg"), NOW).expect_err("refused").to_string();
    assert!(said.contains("is a symbolic link"), "{said}");
    assert_eq!(home.session(&id("2026-11-02-oven-1")).expect("readable").records, []);
    std::fs::remove_file(home.root().join("lock")).expect("removed");
    std::fs::create_dir(home.config_file()).expect("made");
    assert!(home.config().expect_err("refused").to_string().contains("is a folder, where a file belongs"));
}

/// Names the folder in which a copy of this test is to write until it is killed.
const VICTIM: &str = "STORE_TEST_VICTIM";

/// In the copy: takes the session up, says how far it is, and adds entries, saying each once it is acknowledged. In the
/// test itself: nothing.
#[test]
fn victim() {
    let Some(root) = std::env::var_os(VICTIM) else { return };
    let opened = Home::at(root).resume_session(&id("2026-11-02-oven-1"), NOW).expect("opened");
    let mut journal = opened.writer;
    loop {
        let seq = journal.next_seq();
        journal.append(&entry(seq)).expect("saved");
        println!("saved {seq}");
    }
}

#[test]
fn killed_processes_lose_nothing_that_they_acknowledged() {
    let (_folder, home) = new_home();
    drop(home.begin_session("2026-11-02", &header("oven")).expect("begun"));
    let mut acknowledged = 0;
    for round in 0..25_u64 {
        let last = last_word_of_a_victim(home.root(), round % 7);
        let found = home.resume_session(&id("2026-11-02-oven-1"), NOW).expect("the lock died with its holder").reading;
        acknowledged = last.max(acknowledged);
        let count = found.records.len() as u64;
        assert!((acknowledged..=acknowledged + 1).contains(&count), "{acknowledged} acknowledged, {count} found");
        assert_eq!(found.records, (1..=count).map(entry).collect::<Vec<_>>());
        acknowledged = count;
    }
    assert!(acknowledged > 25, "the processes hardly wrote: {acknowledged}");
}

/// Runs a process that writes, kills it after some entries, and returns the last that it acknowledged.
fn last_word_of_a_victim(root: &Path, entries: u64) -> u64 {
    let mut victim = Command::new(std::env::current_exe().expect("this test"))
        .args(["--exact", "folder::victim", "--nocapture"])
        .env(VICTIM, root)
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .expect("started");
    let lines = BufReader::new(victim.stdout.take().expect("piped")).lines().map_while(Result::ok);
    let mut saved = lines.filter_map(|line| line.split_once("saved ")?.1.trim().parse::<u64>().ok());
    let early = saved.by_ref().take(entries as usize + 1).last();
    victim.kill().expect("killed");
    victim.wait().expect("gone");
    saved.last().or(early).unwrap_or(0)
}
