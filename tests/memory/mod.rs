//! Past sessions on the real binary: replay, compare, learn, slips, reports, export.

#![allow(clippy::unwrap_used, clippy::new_without_default, reason = "a test may fail by panicking")]

mod compare;
mod damage;
mod discard;
mod export;
mod learn;
mod progress;
mod replay;
mod report;
mod slips;
mod sold;

use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

/// A person's folder of their own, on a clock that stands still.
pub struct Folder {
    root: tempfile::TempDir,
}

impl Folder {
    /// An empty one.
    pub fn new() -> Folder {
        Folder { root: tempfile::tempdir().unwrap() }
    }

    /// Where it is.
    pub fn path(&self) -> &Path {
        self.root.path()
    }

    fn command(&self, day: &str, arguments: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_knockdown"));
        command
            .args(arguments)
            .env_clear()
            .env("KNOCKDOWN_HOME", self.path())
            .env("KNOCKDOWN_CLOCK", if day.contains('T') { day.to_owned() } else { format!("{day}T10:00:00Z") })
            .env("COLUMNS", "120");
        command
    }

    /// Runs the program on a day, at ten o'clock, or at a moment.
    pub fn on(&self, day: &str, arguments: &[&str]) -> Output {
        self.command(day, arguments).output().unwrap()
    }

    /// Runs the program on a terminal of so many columns.
    pub fn wide(&self, columns: usize, arguments: &[&str]) -> Output {
        self.command("2026-11-25", arguments).env("COLUMNS", columns.to_string()).output().unwrap()
    }

    /// Runs the program and gives what it printed; it must end well.
    pub fn says(&self, arguments: &[&str]) -> String {
        let output = self.on("2026-11-25", arguments);
        assert!(output.status.success(), "{arguments:?}: {}", String::from_utf8_lossy(&output.stderr));
        String::from_utf8(output.stdout).unwrap()
    }

    /// Runs the program and reads what it printed as JSON.
    pub fn json(&self, arguments: &[&str]) -> serde_json::Value {
        serde_json::from_str(&self.says(arguments)).unwrap()
    }

    /// Runs the program with lines typed.
    pub fn typed(&self, day: &str, arguments: &[&str], lines: &str) -> String {
        let mut child = self
            .command(day, arguments)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        child.stdin.take().unwrap().write_all(lines.as_bytes()).unwrap();
        String::from_utf8(child.wait_with_output().unwrap().stdout).unwrap()
    }

    /// Plays a session of the shipped oven recipe with the transformer at this weight, and gives its journal.
    pub fn oven(&self, day: &str, transformer: &str, person: Option<&str>) -> PathBuf {
        let session = include_str!("../../recipes/countertop-oven.session.toml");
        let line = session.lines().find(|line| line.starts_with("transformer = ")).unwrap();
        let session = session.replace(line, &format!("transformer = \"{transformer}\""));
        let answers = self.path().join("answers.toml");
        std::fs::write(&answers, session).unwrap();
        if let Some(person) = person {
            self.says(&["settings", "person", person]);
        }
        let output = self.on(day, &["bench", "countertop-oven", "--answers", answers.to_str().unwrap()]);
        assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
        std::fs::remove_file(&answers).unwrap();
        self.path().join(format!("sessions/{}-countertop-oven-1.toml", &day[..10]))
    }

    /// Sells all copper windings at a moment, at a better price than expected, 10.00/kg, and keeps that price.
    pub fn sold(&self, moment: &str) {
        let file = self.path().join("ticket.toml");
        let line = "line-1 = { name = \"No. 2 copper\", price = \"10.00\" }";
        let rest = "took = \"No. 2 copper\"\nquotes = \"yes\"\nbook = \"yes\"";
        std::fs::write(&file, format!("{rest}\n{line}\n")).unwrap();
        let output = self.on(moment, &["settle", "--yard", "bluegum-siding", "--answers", file.to_str().unwrap()]);
        assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
        std::fs::remove_file(&file).unwrap();
    }

    /// The folder's own copy of a shipped script, changed.
    pub fn edit(&self, shelf: &str, id: &str, old: &str, new: &str) {
        let path = self.path().join(shelf).join(format!("{id}.rhai"));
        if !path.exists() {
            self.says(&["copy", id]);
        }
        let text = std::fs::read_to_string(&path).unwrap();
        assert!(text.contains(old), "{id} has no {old:?}");
        std::fs::write(&path, text.replacen(old, new, 1)).unwrap();
    }
}

/// A decimal that stands in JSON as a string.
pub fn decimal(value: &serde_json::Value) -> rust_decimal::Decimal {
    value.as_str().unwrap_or_else(|| panic!("{value} is no decimal")).parse().unwrap()
}
