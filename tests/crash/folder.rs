//! Folders that are read-only, taken away, or hold links, pipes and folders in place of files. Nothing hangs.

use std::os::unix::fs::{PermissionsExt, symlink};
use std::process::Command;
use std::time::{Duration, Instant};

use crate::bench::{Bench, Call, Ended};
use crate::sessions::{kept, lines};

const ID: &str = "2026-11-02-test-box-1";

/// Everything that a person's folder can hold, made by the program itself.
fn full_bench() -> Bench {
    let bench = Bench::stocked();
    bench.work(&["6 kg", "pause"]).exits(5);
    bench.run(&["quote", "brass", "3", "--yard", "fixed-yard"]).exits(0);
    bench.run(&["stock", "add", "brass", "1.2 kg"]).exits(0);
    bench.run(&["settings", "unit", "kg"]).exits(0);
    bench.run(&["bundle", "test-box", "--out", "box.toml"]);
    bench
}

/// Commands that read and write every file of the folder.
const COMMANDS: [&[&str]; 9] = [
    &["recipes"],
    &["replay", "--all"],
    &["quote", "brass", "4", "--yard", "fixed-yard"],
    &["stock", "add", "brass", "1 kg"],
    &["settings", "unit", "lb"],
    &["resume"],
    &["bench", "test-box", "--yard", "fixed-yard"],
    &["test", "test-box"],
    &["doctor"],
];

/// Runs a command that must come to an end by itself.
#[track_caller]
fn ends(bench: &Bench, arguments: &[&str]) -> Ended {
    let mut child = bench.call(arguments).command();
    let stdio = std::process::Stdio::piped;
    let mut child = child.stdin(std::process::Stdio::null()).stdout(stdio()).stderr(stdio()).spawn().unwrap();
    let until = Instant::now() + Duration::from_secs(60);
    while child.try_wait().unwrap().is_none() {
        if Instant::now() > until {
            child.kill().unwrap();
            panic!("{arguments:?} hangs");
        }
        std::thread::sleep(Duration::from_millis(5));
    }
    Ended::of(child.wait_with_output().unwrap())
}

/// What is put in place of a file or folder.
const STRANGERS: [(&str, &str); 4] = [
    ("fifo", "is a pipe, socket or device"),
    ("link", "is a symbolic link"),
    ("link to nothing", "is a symbolic link"),
    ("folder", "is a folder"),
];

fn put(bench: &Bench, stranger: &str, name: &str) {
    let path = bench.path(name);
    if path.exists() {
        std::fs::rename(&path, bench.path("away")).unwrap();
    }
    match stranger {
        "fifo" => assert!(Command::new("mkfifo").arg(&path).status().unwrap().success()),
        "link" => symlink(bench.path("away"), &path).unwrap(),
        "link to nothing" => symlink(bench.path("nowhere"), &path).unwrap(),
        _ => std::fs::create_dir(&path).unwrap(),
    }
}

/// No command hangs, follows the stranger or writes through it, and `doctor` names it with what to do.
#[test]
fn links_pipes_and_folders_in_place_of_files() {
    let files = [
        "config.toml",
        "quotes.toml",
        "stock.toml",
        "pinned.toml",
        "history.txt",
        "lock",
        &format!("sessions/{ID}.toml"),
        &format!("sessions/{ID}.lock"),
        "recipes/test-box.rhai",
        "recipes/test-box.session.toml",
        "yards/fixed-yard.rhai",
    ];
    for file in files {
        for (stranger, words) in STRANGERS {
            let bench = full_bench();
            let name = format!("home/{file}");
            put(&bench, stranger, &name);
            let away = bench.path("away");
            let before = std::fs::read(&away).ok();
            for arguments in COMMANDS {
                ends(&bench, arguments);
            }
            assert_eq!(std::fs::read(&away).ok(), before, "{stranger} in place of {file}: written through");
            assert!(!bench.has("nowhere"), "{stranger} in place of {file}: made");
            let doctor = bench.call(&["doctor"]).env("COLUMNS", "400").run().exits(1);
            let named = doctor
                .out
                .lines()
                .any(|line| line.starts_with("FAULT") && line.contains(&name) && line.contains(words));
            assert!(named, "{stranger} in place of {file}:\n{}", doctor.out);
        }
    }
}

#[test]
fn pipes_and_links_in_place_of_folders() {
    for folder in ["sessions", "recipes", "yards", "scripts-seen", "tickets", "tools", "library"] {
        for (stranger, words) in [("fifo", "is a pipe, socket or device"), ("file", "is a file")] {
            let bench = full_bench();
            let name = format!("home/{folder}");
            if bench.has(&name) {
                std::fs::rename(bench.path(&name), bench.path("away")).unwrap();
            }
            match stranger {
                "file" => bench.write(&name, "in the way\n"),
                _ => put(&bench, stranger, &name),
            }
            for arguments in COMMANDS {
                ends(&bench, arguments);
            }
            let doctor = bench.call(&["doctor"]).env("COLUMNS", "400").run().exits(1);
            let named = doctor
                .out
                .lines()
                .any(|line| line.starts_with("FAULT") && line.contains(&name) && line.contains(words));
            assert!(named, "{stranger} in place of {folder}:\n{}", doctor.out);
        }
    }
}

/// A folder that the person reaches by a link of their own works like any other.
#[test]
fn a_folder_behind_a_link_is_the_persons_own_arrangement() {
    let bench = full_bench();
    std::fs::rename(bench.path("home"), bench.path("elsewhere")).unwrap();
    symlink(bench.path("elsewhere"), bench.path("home")).unwrap();
    std::fs::rename(bench.path("elsewhere/sessions"), bench.path("big-disk")).unwrap();
    symlink(bench.path("big-disk"), bench.path("elsewhere/sessions")).unwrap();
    bench.feed(&["resume"], &["note here"]).exits(5).shows(&["has 1 answer.", "Noted."]);
    bench.run(&["settings", "unit", "lb"]).exits(0);
    bench.run(&["doctor"]).exits(0).quietly();
}

/// Permissions bind everybody but root, who drops to a user without rights here; where that cannot be done, the test says so.
#[test]
fn a_read_only_folder_is_read_and_says_that_it_cannot_be_written() {
    let bench = full_bench();
    let mode = |mode: u32| {
        for folder in ["home", "home/sessions", "home/scripts-seen", "home/recipes"] {
            std::fs::set_permissions(bench.path(folder), std::fs::Permissions::from_mode(mode)).unwrap();
        }
        std::fs::set_permissions(bench.path(""), std::fs::Permissions::from_mode(0o755)).unwrap();
    };
    mode(0o555);
    let binds = std::fs::write(bench.path("home/probe"), "x").is_err();
    let run = |arguments: &[&str]| {
        let wide = |call: Call| call.env("COLUMNS", "400");
        if binds {
            return Some(wide(bench.call(arguments)).run());
        }
        let as_nobody = ["--reuid=65534", "--clear-groups"];
        let ended = wide(bench.call(&[])).under("setpriv", &as_nobody, arguments).try_run()?;
        (!ended.err.starts_with("setpriv:")).then_some(ended)
    };
    let Some(tally) = run(&["tally"]) else {
        println!("not run: this user may write everywhere and cannot become one who may not");
        mode(0o755);
        return;
    };
    tally.exits(0);
    for arguments in [&["recipes"][..], &["quote"], &["stock"]] {
        run(arguments).unwrap().exits(0);
    }
    for arguments in [
        &["resume"][..],
        &["bench", "test-box"],
        &["settings", "unit", "lb"],
        &["quote", "brass", "4", "--yard", "fixed-yard"],
        &["stock", "add", "brass", "1 kg"],
        &["copy", "countertop-oven"],
    ] {
        let ended = run(arguments).unwrap().exits(1);
        assert!(ended.err.contains("Check who owns the folder"), "{arguments:?}: {}", ended.err);
    }
    let doctor = run(&["doctor"]).unwrap().exits(1);
    assert!(doctor.out.contains("FAULT  folder home: "), "{}", doctor.out);
    mode(0o755);
    bench.run(&["doctor"]).exits(0);
}

/// The folder goes away under a running session: the next answer is not acknowledged.
#[test]
fn a_folder_that_is_removed_while_the_program_runs() {
    for taken in ["home", "home/sessions", &format!("home/sessions/{ID}.toml")] {
        let bench = Bench::stocked();
        let mut running = bench.call(&["bench", "test-box", "--yard", "fixed-yard", "--plain"]).start();
        running.waits_for("> ");
        running.types("6 kg");
        running.waits_for("Take off the lid?");
        running.waits_for("> ");
        std::fs::rename(bench.path(taken), bench.path("taken")).unwrap();
        running.types("do");
        let (text, code) = running.ends();
        assert!(!text.contains("Weigh: lid"), "{taken}: {text}");
        assert_eq!(code, Some(1), "{taken}: {text}");
        std::fs::rename(bench.path("taken"), bench.path(taken)).unwrap();
        let found = kept(&bench, ID, &["6 kg".to_owned(), "do".to_owned()]);
        assert!(found >= 1);
        bench.feed(&["resume"], &["pause"]).exits(5);
    }
}

/// Somebody edits a journal while a session runs: the program writes nothing more to it.
#[test]
fn a_journal_that_is_changed_under_a_running_session() {
    let bench = Bench::stocked();
    let lines = lines();
    let mut running = bench.call(&["bench", "test-box", "--yard", "fixed-yard", "--plain"]).start();
    running.waits_for("> ");
    running.types(&lines[0]);
    running.waits_for("Noted.");
    running.waits_for("> ");
    let name = format!("home/sessions/{ID}.toml");
    let edited = bench.read(&name) + "# mine\n";
    bench.write(&name, &edited);
    running.types(&lines[1]);
    let (text, code) = running.ends();
    assert!(!text.contains("Noted."), "{text}");
    assert_eq!(code, Some(1), "{text}");
    bench
        .call(&["doctor"])
        .env("COLUMNS", "400")
        .run()
        .exits(1)
        .shows(&[&format!("FAULT  session {ID}: read only up to a damaged place: {name}, line "), "Entry 1 is safe"]);
}
