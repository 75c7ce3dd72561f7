//! What really reaches the system: each write and sync of a process, watched from between it and the system (see
//! `shim/lib.rs`), one of them failing, and the process killed before each of them.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use super::NOW;
use super::subjects::SUBJECTS;
use knockdown::store::Home;
use knockdown::store::home::Shelf;
use knockdown::store::log::Ending;
use tempfile::TempDir;

/// Names the folder in which a copy of this test is to write.
const WRITER: &str = "STORE_TEST_WRITER";

/// How many records of each log are written.
const RECORDS: u64 = 3;

/// In the copy: does everything once or several times, and says so each time it is done. In the test itself: nothing.
#[test]
fn writer() {
    let Some(root) = std::env::var_os(WRITER) else { return };
    let home = Home::at(&root);
    let sales = Home::at(Path::new(&root).join("sales"));
    let script = |n: u64| format!("// {n}\n");
    for subject in &SUBJECTS {
        for seq in 1..=RECORDS {
            (subject.add)(&home, seq, "").unwrap_or_else(|error| panic!("{error}"));
            println!("done {} {seq}", subject.format);
        }
    }
    for n in 1..=2 {
        home.configure("floor_per_hour", Some(&n.to_string()), NOW).unwrap();
        println!("done settings {n}");
        home.keep_script(&script(n)).unwrap();
        println!("done copy {n}");
        super::settle(&sales, n, "format = \"knockdown-ticket\"\nversion = 2\n").unwrap();
        println!("done ticket {n}");
        home.replace_script(Shelf::Yards, &knockdown::store::Id::new("mill").unwrap(), &script(n + 2), NOW).unwrap();
        println!("done script {n}");
    }
}

/// The shim, compiled; `None` where there is no compiler to be had or the system takes none.
fn shim(folder: &Path) -> Option<PathBuf> {
    let library = folder.join("libshim.so");
    let source = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/store/shim/lib.rs");
    let rustc = std::env::var("RUSTC").unwrap_or_else(|_| "rustc".to_owned());
    let built = Command::new(rustc)
        .args(["--edition", "2024", "--crate-type", "cdylib", "--crate-name", "shim", "-o"])
        .arg(&library)
        .arg(source)
        .output();
    match built {
        Ok(output) => {
            assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
            Some(library)
        }
        Err(error) => {
            println!("not run: no compiler ({error})");
            None
        }
    }
}

/// A run of the writer in a new folder, watched.
struct Watched {
    folder: TempDir,
    output: Output,
}

impl Watched {
    fn run(shim: &Path, plan: Option<(&str, usize)>) -> Watched {
        let folder = tempfile::tempdir().unwrap();
        let root = folder.path().canonicalize().unwrap();
        let mut command = Command::new(std::env::current_exe().unwrap());
        command.args(["--exact", "system::writer", "--nocapture", "--test-threads", "1"]);
        command.env(WRITER, root.join("home")).env("LD_PRELOAD", shim);
        command.env("SHIM_TRACE", root.join("trace")).env("SHIM_FOLDER", root.join("home"));
        if let Some((name, number)) = plan {
            command.env(name, number.to_string());
        }
        let output = command.output().unwrap();
        Watched { folder, output }
    }

    fn home(&self) -> Home {
        Home::at(self.folder.path().join("home"))
    }

    fn trace(&self) -> String {
        std::fs::read_to_string(self.folder.path().join("trace")).unwrap()
    }

    /// What it said was done.
    fn done(&self) -> Vec<String> {
        let said = String::from_utf8_lossy(&self.output.stdout);
        said.lines().filter_map(|line| Some(line.split_once("done ")?.1.to_owned())).collect()
    }

    /// All that it said was done is there.
    fn assert_kept(&self, when: &str) {
        let done = self.done();
        let count = |what: &str| done.iter().filter(|line| line.starts_with(what)).count();
        let home = self.home();
        for subject in &SUBJECTS {
            match (subject.read)(&home) {
                Ok((records, ending)) => {
                    assert!(!matches!(ending, Ending::Damaged(_)), "{when}: {ending:?}");
                    assert_eq!(records, subject.records(records.len() as u64), "{when}");
                    assert!(records.len() >= count(subject.format), "{when}: {}: {done:?}", subject.format);
                }
                Err(error) => assert_eq!(count(subject.format), 0, "{when}: {error}"),
            }
        }
        let floor = home.config().unwrap().floor_per_hour.map_or(0, |text| text.parse::<usize>().unwrap());
        assert!(floor >= count("settings"), "{when}");
        assert!(home.seen_scripts().unwrap().ids.len() >= count("copy"), "{when}");
        for id in home.seen_scripts().unwrap().ids {
            assert!(home.seen_script(id.as_str()).unwrap().is_some(), "{when}");
        }
        let booked = super::deeds::booked(&Home::at(home.root().join("sales")), when);
        assert!(booked as usize >= count("ticket"), "{when}");
        let yard = home.script(Shelf::Yards, &knockdown::store::Id::new("mill").unwrap()).unwrap();
        assert!(count("script") == 0 || yard.is_some(), "{when}");
    }
}

/// Nothing is said while a write waits for its sync; and whatever got a name in a folder, the folder was synced before.
#[test]
fn nothing_is_acknowledged_before_it_was_synced() {
    let folder = tempfile::tempdir().unwrap();
    let Some(shim) = shim(folder.path()) else { return };
    let watched = Watched::run(&shim, None);
    assert!(watched.output.status.success(), "{:?}", watched.output);
    assert_eq!(watched.done().len() as u64, 3 * RECORDS + 8);
    let mut waiting: BTreeSet<PathBuf> = BTreeSet::new();
    let (mut writes, mut syncs) = (0, 0);
    for line in watched.trace().lines() {
        match line.split_once(' ') {
            // The note in a lock file says who holds it; nothing rests on it.
            Some(("write", path)) if path.ends_with(".lock") || path.ends_with("/lock") => {}
            Some(("write", path)) => {
                writes += 1;
                waiting.insert(PathBuf::from(path));
                if path.ends_with(".part") {
                    waiting.insert(Path::new(path).parent().unwrap().to_owned());
                }
            }
            Some(("sync", path)) => {
                syncs += 1;
                waiting.remove(Path::new(path));
            }
            _ => assert!(waiting.is_empty(), "said while these wait for a sync: {waiting:?}\n{}", watched.trace()),
        }
    }
    assert!(writes >= 20 && syncs >= 40, "{writes} writes and {syncs} syncs were seen");
    watched.assert_kept("in the end");
}

/// One write or sync after the other fails with an input/output error, or the process ends before it.
#[test]
fn each_write_and_sync_fails_or_is_the_last() {
    let folder = tempfile::tempdir().unwrap();
    let Some(shim) = shim(folder.path()) else { return };
    for plan in ["SHIM_FAIL", "SHIM_KILL"] {
        for number in 1.. {
            let watched = Watched::run(&shim, Some((plan, number)));
            watched.assert_kept(&format!("{plan} {number}"));
            if watched.output.status.success() && watched.done().len() as u64 == 3 * RECORDS + 8 && number > 60 {
                break;
            }
            assert!(number < 1000, "{plan}: no end");
        }
    }
}
