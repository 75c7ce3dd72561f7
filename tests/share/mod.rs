//! Sharing and authoring on the real binary: what is printed, what is written, how it ends.

#![allow(clippy::unwrap_used, clippy::new_without_default, reason = "a test may fail by panicking")]

mod authoring;
mod bundles;
mod pins;
mod terminal;
mod tools;

use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// A folder of its own for one test, and the program over it.
pub(crate) struct Bench {
    folder: tempfile::TempDir,
}

/// How a run of the program ended.
pub(crate) struct Ran {
    pub(crate) code: i32,
    pub(crate) out: String,
    pub(crate) err: String,
}

impl Bench {
    pub(crate) fn new() -> Bench {
        Bench { folder: tempfile::tempdir().expect("a temporary folder") }
    }

    /// A path beside the person's folder.
    pub(crate) fn beside(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    pub(crate) fn home(&self) -> PathBuf {
        self.folder.path().join("home")
    }

    /// A file in the person's folder.
    pub(crate) fn read(&self, name: &str) -> String {
        std::fs::read_to_string(self.home().join(name)).unwrap_or_else(|error| panic!("{name}: {error}"))
    }

    pub(crate) fn write(&self, name: &str, text: &str) {
        let path = self.home().join(name);
        std::fs::create_dir_all(path.parent().expect("a folder")).expect("made");
        std::fs::write(path, text).expect("written");
    }

    pub(crate) fn command(&self) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_knockdown"));
        command
            .env_clear()
            .env("KNOCKDOWN_HOME", self.home())
            .env("KNOCKDOWN_CLOCK", "2026-11-02T10:00:00Z")
            .env("COLUMNS", "200")
            .current_dir(self.folder.path());
        command
    }

    pub(crate) fn run(&self, arguments: &[&str]) -> Ran {
        self.run_with(arguments, "")
    }

    /// Runs the program with lines on its input.
    pub(crate) fn run_with(&self, arguments: &[&str], input: &str) -> Ran {
        let mut command = self.command();
        command.args(arguments).stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
        let mut child = command.spawn().expect("the program starts");
        let mut stdin = child.stdin.take().expect("piped");
        // The program may end without reading all of it.
        let _unread = stdin.write_all(input.as_bytes());
        drop(stdin);
        let output = child.wait_with_output().expect("the program ends");
        Ran {
            code: output.status.code().expect("a code"),
            out: String::from_utf8(output.stdout).expect("UTF-8"),
            err: String::from_utf8(output.stderr).expect("UTF-8"),
        }
    }

    /// Runs the program where it must succeed without a word on its error stream; gives what it printed.
    pub(crate) fn done(&self, arguments: &[&str]) -> String {
        let ran = self.run(arguments);
        assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{arguments:?}\n{}", ran.out);
        ran.out
    }

    /// The bundle of a recipe or yard at a path beside the folder, and its digest.
    pub(crate) fn bundle(&self, id: &str) -> (PathBuf, String) {
        let path = self.beside(&format!("{id}.toml"));
        let out = self.done(&["bundle", id, "--out", text(&path)]);
        let digest = out.lines().find_map(|line| line.strip_prefix("digest ")).expect("a digest").to_owned();
        (path, digest)
    }
}

pub(crate) fn text(path: &Path) -> &str {
    path.to_str().expect("UTF-8")
}

/// A small recipe of somebody else's.
pub(crate) const SAMOVAR: &str = r#"unit("samovar", "Electric samovar")
    .weighs((0.8.kg..1.6.kg).usually(1.1.kg)).sold_whole_as("appliance-light")
    .guards(["mains-plugged"])
    .author("A. Writer").licence("CC0-1.0").revision(3).needs_api(1);
step("base", "Take off the base").minutes(1, 2, 3).frees("base", (100.g..300.g).usually(200.g), "plastic-mixed");
step("jug", "Part jug and heater").after("base").minutes(1, 2, 3).guards(["sharp-sheet"])
    .frees("heater", (50.g..120.g).usually(80.g), "stainless-with-iron");
"#;

/// Its test session, with what it comes to.
pub(crate) const SAMOVAR_SESSION: &str = r#"yard = "hollow-lane"
date = "2026-11-02"

[unit]
intake = "1.1 kg"
"guard.mains-plugged" = "UNPLUGGED"
remainder = "difference"

[base]
begin = "do"
base = "200 g"
minutes = 2

[jug]
begin = "do"
"guard.sharp-sheet" = "yes"
heater = "80 g"
minutes = 3
"#;
