//! A place to run the program in: a temporary folder, a fixed clock, a fixed width.

use std::io::{Read, Write};
use std::path::PathBuf;
use std::process::{Child, ChildStdout, Command, Stdio};
use std::time::{Duration, Instant};

use tempfile::TempDir;

use crate::stock;

/// How long a test waits for the program before it fails.
const PATIENCE: Duration = Duration::from_secs(60);

/// A folder of its own, in which `home` is the person's folder.
pub struct Bench {
    dir: TempDir,
}

impl Bench {
    /// A place where nothing was done yet.
    pub fn new() -> Bench {
        Bench { dir: TempDir::new().unwrap() }
    }

    /// A place with the test recipe and the test yards.
    pub fn stocked() -> Bench {
        let bench = Bench::new();
        bench.write("home/recipes/test-box.rhai", stock::BOX);
        bench.write("home/yards/fixed-yard.rhai", stock::FIXED_YARD);
        bench.write("home/yards/comma-yard.rhai", stock::COMMA_YARD);
        bench
    }

    /// The path of a file in this place.
    pub fn path(&self, name: &str) -> PathBuf {
        self.dir.path().join(name)
    }

    /// Writes a file, with the folders above it.
    pub fn write(&self, name: &str, text: &str) {
        let path = self.path(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, text).unwrap();
    }

    /// Reads a file.
    pub fn read(&self, name: &str) -> String {
        std::fs::read_to_string(self.path(name)).unwrap()
    }

    /// Whether there is such a file or folder.
    pub fn has(&self, name: &str) -> bool {
        self.path(name).exists()
    }

    /// A call of the program, to be run or changed further.
    pub fn call(&self, arguments: &[&str]) -> Call {
        let mut command = Command::new(env!("CARGO_BIN_EXE_knockdown"));
        command
            .args(arguments)
            .current_dir(self.dir.path())
            .env_clear()
            .env("KNOCKDOWN_HOME", "home")
            .env("KNOCKDOWN_CLOCK", "2026-11-02T10:00:00Z")
            .env("COLUMNS", "80");
        Call { command, input: Vec::new() }
    }

    /// Runs the program with nothing on its input.
    pub fn run(&self, arguments: &[&str]) -> Ended {
        self.call(arguments).run()
    }

    /// Runs the program with these lines on its input.
    pub fn feed(&self, arguments: &[&str], lines: &[&str]) -> Ended {
        self.call(arguments).lines(lines).run()
    }

    /// Takes the test box apart at the fixed yard with these lines, in plain mode.
    pub fn work(&self, lines: &[&str]) -> Ended {
        self.feed(&["bench", "test-box", "--yard", "fixed-yard", "--plain"], lines)
    }
}

/// A call of the program.
pub struct Call {
    command: Command,
    input: Vec<u8>,
}

impl Call {
    /// Sets a variable of the environment.
    pub fn env(mut self, name: &str, value: &str) -> Call {
        self.command.env(name, value);
        self
    }

    /// Takes a variable out of the environment.
    pub fn without(mut self, name: &str) -> Call {
        self.command.env_remove(name);
        self
    }

    /// What stands on the input.
    pub fn input(mut self, bytes: &[u8]) -> Call {
        self.input = bytes.to_vec();
        self
    }

    /// Lines on the input.
    pub fn lines(self, lines: &[&str]) -> Call {
        let text: String = lines.iter().map(|line| format!("{line}\n")).collect();
        self.input(text.as_bytes())
    }

    /// The same call through another program, which comes first: `sh -c …`, say.
    pub fn under(mut self, program: &str, before: &[&str], arguments: &[&str]) -> Call {
        let mut command = Command::new(program);
        command.args(before).arg(self.command.get_program()).args(arguments).env_clear().env("PATH", "/usr/bin:/bin");
        command.current_dir(self.command.get_current_dir().unwrap());
        command.envs(self.command.get_envs().filter_map(|(name, value)| Some((name, value?))));
        self.command = command;
        self
    }

    /// The command itself, for what a call cannot do.
    pub fn command(self) -> Command {
        self.command
    }

    /// Runs the program to its end.
    pub fn run(self) -> Ended {
        self.try_run().unwrap()
    }

    /// Runs the program to its end; `None` if it cannot be started.
    pub fn try_run(mut self) -> Option<Ended> {
        self.command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
        let mut child = self.command.spawn().ok()?;
        let mut stdin = child.stdin.take().unwrap();
        let input = self.input;
        // The program may end without reading all of it.
        let writer = std::thread::spawn(move || drop(stdin.write_all(&input)));
        let output = child.wait_with_output().unwrap();
        writer.join().unwrap();
        Some(Ended::of(output))
    }

    /// Starts the program with its input held open.
    pub fn start(mut self) -> Running {
        self.command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::null());
        let mut child = self.command.spawn().unwrap();
        let stdout = child.stdout.take().unwrap();
        Running { child, heard: listen(stdout), text: String::new() }
    }
}

/// Reads a stream on a thread of its own, so that a wait for text can have an end.
fn listen(mut stdout: ChildStdout) -> std::sync::mpsc::Receiver<Vec<u8>> {
    let (sender, receiver) = std::sync::mpsc::channel();
    std::thread::spawn(move || {
        let mut bytes = [0; 4096];
        while let Ok(read) = stdout.read(&mut bytes) {
            if read == 0 || sender.send(bytes[..read].to_vec()).is_err() {
                return;
            }
        }
    });
    receiver
}

/// A program that runs, with its input open.
pub struct Running {
    child: Child,
    heard: std::sync::mpsc::Receiver<Vec<u8>>,
    text: String,
}

impl Running {
    /// Writes a line to the program.
    pub fn types(&mut self, line: &str) {
        let stdin = self.child.stdin.as_mut().unwrap();
        stdin.write_all(format!("{line}\n").as_bytes()).unwrap();
        stdin.flush().unwrap();
    }

    /// Waits until the program has shown this since the last wait.
    pub fn waits_for(&mut self, text: &str) {
        let until = Instant::now() + PATIENCE;
        while !self.text.contains(text) {
            let left = until.saturating_duration_since(Instant::now());
            match self.heard.recv_timeout(left) {
                Ok(bytes) => self.text.push_str(&String::from_utf8_lossy(&bytes)),
                Err(why) => panic!("{text:?} did not come ({why}); shown so far:\n{}", self.text),
            }
        }
        let at = self.text.find(text).unwrap() + text.len();
        self.text.drain(..at);
    }

    /// Closes the input and waits until the program has ended: what it has shown since the last wait, and its exit code.
    pub fn ends(mut self) -> (String, Option<i32>) {
        drop(self.child.stdin.take());
        while let Ok(bytes) = self.heard.recv_timeout(PATIENCE) {
            self.text.push_str(&String::from_utf8_lossy(&bytes));
        }
        let code = self.child.wait().unwrap().code();
        (std::mem::take(&mut self.text), code)
    }

    /// Kills the program as a power cut would: it can do nothing about it.
    pub fn kill(mut self) {
        self.child.kill().unwrap();
        self.child.wait().unwrap();
    }
}

impl Drop for Running {
    fn drop(&mut self) {
        let _already_gone = self.child.kill();
        let _reaped = self.child.wait();
    }
}

/// What a program that has ended left.
pub struct Ended {
    /// Its whole output.
    pub out: String,
    /// Its whole error output.
    pub err: String,
    code: Option<i32>,
}

impl Ended {
    /// Whether the command line was not understood.
    pub fn is_misread(&self) -> bool {
        self.code == Some(2)
    }

    /// What this output says.
    pub fn of(output: std::process::Output) -> Ended {
        Ended {
            out: String::from_utf8(output.stdout).unwrap(),
            err: String::from_utf8(output.stderr).unwrap(),
            code: output.status.code(),
        }
    }

    /// It ended with this code.
    #[track_caller]
    pub fn exits(self, code: i32) -> Ended {
        assert_eq!(self.code, Some(code), "exit code\n--- out\n{}\n--- err\n{}", self.out, self.err);
        self
    }

    /// It wrote exactly this.
    #[track_caller]
    pub fn prints(self, text: &str) -> Ended {
        assert!(self.out == text, "--- wanted\n{text}\n--- printed\n{}\n--- err\n{}", self.out, self.err);
        self
    }

    /// Its error output is exactly this.
    #[track_caller]
    pub fn complains(self, text: &str) -> Ended {
        assert!(self.err == text, "--- wanted\n{text}\n--- complained\n{}\n--- out\n{}", self.err, self.out);
        self
    }

    /// These texts stand in its error output, wherever its lines are broken.
    #[track_caller]
    pub fn complains_of(self, texts: &[&str]) -> Ended {
        let said = self.err.replace("\n  ", " ");
        for text in texts {
            assert!(said.contains(text), "no {text:?} in\n{}", self.err);
        }
        self
    }

    /// It wrote nothing to its error output.
    #[track_caller]
    pub fn quietly(self) -> Ended {
        self.complains("")
    }

    /// These texts stand in its output, in this order.
    #[track_caller]
    pub fn shows(self, texts: &[&str]) -> Ended {
        let mut from = 0;
        for text in texts {
            match self.out[from..].find(text) {
                Some(at) => from += at + text.len(),
                None => panic!("{text:?} is not there, or too early, in\n{}\n--- err\n{}", self.out, self.err),
            }
        }
        self
    }

    /// None of these texts stands in its output.
    #[track_caller]
    pub fn hides(self, texts: &[&str]) -> Ended {
        for text in texts {
            assert!(!self.out.contains(text), "{text:?} is there:\n{}", self.out);
        }
        self
    }

    /// No character of its output or its error output drives a terminal.
    #[track_caller]
    pub fn inertly(self) -> Ended {
        for text in [&self.out, &self.err] {
            let driving = text.chars().find(|c| c.is_control() && *c != '\n');
            assert_eq!(driving, None, "in {text:?}");
        }
        self
    }
}
