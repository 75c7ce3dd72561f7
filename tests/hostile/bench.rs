//! The test bench: a fresh home with a half-finished session, and the real program run in it under watch.

use std::fs::{self, File};
use std::path::PathBuf;
use std::process::{Command, Stdio};
use std::time::Duration;

use knockdown::naming::is_unsafe;
use tempfile::TempDir;
use wait4::Wait4;

use crate::folders::copy_folder;

/// The recipe under which the session was begun; hostile recipes take its place.
pub const INNOCENT: &str = include_str!("innocent.rhai");
/// Answers to every question of that recipe.
pub const ANSWERS: &str = include_str!("innocent.toml");

/// The most memory that a process may ever hold, in bytes.
const MOST_MEMORY: u64 = 128 * 1024 * 1024;
/// The most processor time that one may take as it is installed, and in a debug build, whose engine is a fifth as fast.
const MOST_TIME: Duration = Duration::from_millis(if cfg!(debug_assertions) { 3000 } else { 1000 });

/// How one process ended.
pub struct Outcome {
    /// What was run.
    pub line: String,
    /// Its exit code.
    pub code: i32,
    /// What it printed.
    pub out: String,
    /// What it printed as errors.
    pub err: String,
    /// Peak resident memory in bytes.
    pub memory: u64,
    /// Processor time.
    pub time: Duration,
}

/// A home of its own for one case.
pub struct Bench {
    folder: TempDir,
}

impl Bench {
    /// A home with the innocent recipe and a session that was begun under it, with two parts mixed, and laid aside.
    pub fn new() -> Bench {
        let bench = Bench { folder: tempfile::tempdir().expect("a folder") };
        bench.put("home/recipes/victim.rhai", INNOCENT);
        let lines = "5 kg\ndo\n1 kg\n2\ndo\n0.5 kg\n3\nmix lid, core\npause\n";
        let begun = bench.run(&["bench", "victim"], lines);
        assert_eq!(begun.code, 5, "{}{}", begun.out, begun.err);
        bench
    }

    /// A copy of this home.
    pub fn copy(&self) -> Bench {
        let bench = Bench { folder: tempfile::tempdir().expect("a folder") };
        copy_folder(&self.home(), &bench.home());
        bench
    }

    /// The home.
    pub fn home(&self) -> PathBuf {
        self.folder.path().join("home")
    }

    /// Puts a file into the folder.
    pub fn put(&self, name: &str, text: &str) -> PathBuf {
        let path = self.folder.path().join(name);
        fs::create_dir_all(path.parent().expect("a folder")).expect("made");
        fs::write(&path, text).expect("written");
        path
    }

    /// Every journal with its bytes.
    pub fn journals(&self) -> Vec<(PathBuf, Vec<u8>)> {
        let sessions = fs::read_dir(self.home().join("sessions")).expect("sessions");
        let mut paths: Vec<PathBuf> = sessions.map(|entry| entry.expect("an entry").path()).collect();
        paths.sort();
        paths.into_iter().map(|path| (path.clone(), fs::read(&path).expect("read"))).collect()
    }

    /// Runs the program with a main stack of 8 MiB. A process that hangs is ended by the system after 20 s of processor time.
    pub fn run(&self, arguments: &[&str], typed: &str) -> Outcome {
        let file = |name: &str| File::create(self.folder.path().join(name)).expect("a file");
        let typed = self.put("typed", typed);
        let mut child = Command::new("sh")
            .args([
                "-c",
                "ulimit -s 8192; ulimit -c 0; ulimit -t 20; exec \"$@\"",
                "sh",
                env!("CARGO_BIN_EXE_knockdown"),
            ])
            .args(arguments)
            .env_clear()
            .envs([("KNOCKDOWN_HOME", self.home().as_os_str()), ("COLUMNS", "100".as_ref())])
            .env("KNOCKDOWN_CLOCK", "2026-11-02T10:00:00Z")
            .stdin(Stdio::from(File::open(typed).expect("typed")))
            .stdout(file("out"))
            .stderr(file("err"))
            .spawn()
            .expect("the program starts");
        let used = child.wait4().expect("the program ends");
        let text = |name: &str| {
            let bytes = fs::read(self.folder.path().join(name)).expect("read");
            String::from_utf8(bytes).unwrap_or_else(|_| panic!("{arguments:?} printed what is no UTF-8"))
        };
        Outcome {
            line: arguments.join(" "),
            code: used
                .status
                .code()
                .unwrap_or_else(|| panic!("{arguments:?} was killed: {}\n{}", used.status, text("err"))),
            out: text("out"),
            err: text("err"),
            memory: used.rusage.maxrss,
            time: used.rusage.utime + used.rusage.stime,
        }
    }
}

impl Outcome {
    /// What holds of every process, whatever script it met: no panic, nothing unsafe on the screen, one error if any, bounded
    /// memory and time.
    pub fn check(&self, case: &str) {
        let what = format!("{case}: {}\n--- out\n{}\n--- err\n{}", self.line, self.out, self.err);
        assert!((0..=5).contains(&self.code), "exit code {}: {what}", self.code);
        for text in [&self.out, &self.err] {
            assert!(!text.contains("panicked") && !text.contains("defect"), "{what}");
            let raw = text.chars().find(|c| is_unsafe(*c) && *c != '\n');
            assert!(raw.is_none(), "U+{:04X} on the screen: {what:?}", u32::from(raw.unwrap_or_default()));
        }
        let errors = self.err.lines().filter(|line| line.starts_with("error")).count();
        // A session whose recipe went bad is taken up again under the copy that it ran under: then the fault is shown beside it.
        let failed = (1..=4).contains(&self.code) && !self.reports();
        assert!(if failed { errors == 1 } else { errors <= 1 }, "one error, no more: {what}");
        assert!(self.memory < MOST_MEMORY, "{} bytes of memory: {what}", self.memory);
        assert!(self.time < MOST_TIME, "{:?}: {what}", self.time);
    }

    /// Whether the command prints what it finds wrong as its result.
    fn reports(&self) -> bool {
        ["check", "doctor", "test", "replay"].iter().any(|verb| self.line.starts_with(verb)) && !self.out.is_empty()
    }

    /// Whether the command went well, or the session was laid aside as asked.
    pub fn is_well(&self) -> bool {
        matches!(self.code, 0 | 5)
    }
}
