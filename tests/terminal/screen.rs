//! A pseudo-terminal with the program in it. Waits have deadlines; nothing here sleeps for a fixed time.

use std::io::{Read, Write};
use std::num::NonZero;
use std::path::Path;
use std::sync::{Arc, Condvar, Mutex};
use std::time::{Duration, Instant};

use portable_pty::{Child, CommandBuilder, MasterPty, PtySize, SlavePty, native_pty_system};
use tempfile::TempDir;

use crate::stock;

/// How long a test waits before it fails.
const PATIENCE: Duration = Duration::from_secs(60);

/// How many lines the terminal has.
const ROWS: u16 = 40;

/// How an editor asks where the cursor is.
const WHERE: &[u8] = b"\x1b[6n";

/// Set for a test that another test runs on a terminal.
pub const ON_A_TERMINAL: &str = "KNOCKDOWN_TEST_ON_A_TERMINAL";

/// A folder with the test recipe and yard, with `fixed-yard` in use.
pub struct Place {
    dir: TempDir,
}

impl Place {
    pub fn new() -> Place {
        let place = Place { dir: TempDir::new().unwrap() };
        place.write("home/recipes/test-box.rhai", stock::BOX);
        place.write("home/yards/fixed-yard.rhai", stock::FIXED_YARD);
        place.write("home/config.toml", "yard = \"fixed-yard\"\n");
        place
    }

    pub fn write(&self, name: &str, text: &str) {
        let path = self.dir.path().join(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, text).unwrap();
    }

    pub fn path(&self, name: &str) -> std::path::PathBuf {
        self.dir.path().join(name)
    }

    pub fn read(&self, name: &str) -> String {
        std::fs::read_to_string(self.dir.path().join(name)).unwrap()
    }

    /// The program on a terminal of 100 columns, without colours.
    pub fn run(&self, arguments: &[&str]) -> Screen {
        self.run_at(100, arguments, &[("NO_COLOR", "1"), ("TERM", "xterm-256color")])
    }

    /// The program on a terminal of some width with more in its environment.
    pub fn run_at(&self, columns: u16, arguments: &[&str], environment: &[(&str, &str)]) -> Screen {
        self.run_sized(columns, ROWS, arguments, environment)
    }

    /// The program in a window of some size, without colours.
    pub fn run_in(&self, columns: u16, rows: u16, arguments: &[&str]) -> Screen {
        self.run_sized(columns, rows, arguments, &[("NO_COLOR", "1"), ("TERM", "xterm-256color")])
    }

    /// The program in a window of some size, with its colours.
    pub fn run_coloured(&self, columns: u16, rows: u16, arguments: &[&str]) -> Screen {
        self.run_sized(columns, rows, arguments, &[("TERM", "xterm-256color")])
    }

    fn run_sized(&self, columns: u16, rows: u16, arguments: &[&str], environment: &[(&str, &str)]) -> Screen {
        let program = Path::new(env!("CARGO_BIN_EXE_knockdown"));
        Screen::new(program, self.dir.path(), (columns, rows), arguments, environment)
    }

    /// The tests themselves on a terminal: one of them, by its name, told by the environment that it runs there.
    pub fn run_test(&self, name: &str) -> Screen {
        let tests = std::env::current_exe().unwrap();
        let arguments = ["--exact", name, "--nocapture", "--test-threads=1"];
        Screen::new(&tests, self.dir.path(), (100, ROWS), &arguments, &[(ON_A_TERMINAL, "1")])
    }
}

/// What has come from the program.
struct Heard {
    parser: vt100::Parser,
    raw: Vec<u8>,
    /// How often the program asked for the cursor, and was told.
    asked: usize,
}

/// A program on a terminal.
pub struct Screen {
    master: Box<dyn MasterPty + Send>,
    // Kept open, so that the state of the terminal can be looked at after the program has gone.
    _slave: Box<dyn SlavePty + Send>,
    child: Box<dyn Child + Send + Sync>,
    writer: Arc<Mutex<Box<dyn Write + Send>>>,
    heard: Arc<(Mutex<Heard>, Condvar)>,
    /// Up to where the stream has been looked at.
    mark: usize,
    /// The count of cursor questions when Enter was last pressed.
    entered: usize,
}

impl Screen {
    fn new(
        program: &Path,
        folder: &Path,
        (columns, rows): (u16, u16),
        arguments: &[&str],
        environment: &[(&str, &str)],
    ) -> Screen {
        let size = PtySize { rows, cols: columns, pixel_width: 0, pixel_height: 0 };
        let pair = native_pty_system().openpty(size).unwrap();
        let mut command = CommandBuilder::new(program);
        command.args(arguments);
        command.cwd(folder);
        command.env_clear();
        command.env("KNOCKDOWN_HOME", "home");
        command.env("KNOCKDOWN_CLOCK", "2026-11-02T10:00:00Z");
        environment.iter().for_each(|(name, value)| command.env(name, value));
        let child = pair.slave.spawn_command(command).unwrap();
        let writer = Arc::new(Mutex::new(pair.master.take_writer().unwrap()));
        let heard = Heard { parser: vt100::Parser::new(lines(rows), lines(columns), 500), raw: Vec::new(), asked: 0 };
        let heard = Arc::new((Mutex::new(heard), Condvar::new()));
        listen(pair.master.try_clone_reader().unwrap(), heard.clone(), writer.clone());
        Screen { master: pair.master, _slave: pair.slave, child, writer, heard, mark: 0, entered: 0 }
    }

    /// Waits until something holds of what has come, and gives what it found.
    fn wait<T>(&self, what: &str, mut found: impl FnMut(&Heard) -> Option<T>) -> T {
        let until = Instant::now() + PATIENCE;
        let mut heard = self.heard.0.lock().unwrap();
        loop {
            if let Some(found) = found(&heard) {
                return found;
            }
            let left = until.saturating_duration_since(Instant::now());
            if left.is_zero() {
                let screen = heard.parser.screen().contents();
                drop(heard);
                panic!("waited in vain for {what}; the screen shows\n{screen}");
            }
            heard = self.heard.1.wait_timeout(heard, left).unwrap().0;
        }
    }

    /// Waits until the program has written this since the last wait.
    pub fn writes(&mut self, text: &str) {
        let mark = self.mark;
        self.mark = self.wait(&format!("{text:?}"), |heard| {
            find(&heard.raw[mark..], text.as_bytes()).map(|at| mark + at + text.len())
        });
    }

    /// Waits until the screen shows this.
    pub fn shows(&self, text: &str) {
        self.wait(&format!("{text:?} on the screen"), |heard| {
            heard.parser.screen().contents().contains(text).then_some(())
        });
    }

    /// What somebody makes of the screen as it is now.
    pub fn look<T>(&self, reads: impl FnOnce(&vt100::Screen) -> T) -> T {
        reads(self.heard.0.lock().unwrap().parser.screen())
    }

    /// Waits until the line with the cursor is this.
    pub fn edits(&self, line: &str) {
        self.wait(&format!("the line {line:?}"), |heard| {
            let screen = heard.parser.screen();
            let (row, _) = screen.cursor_position();
            let seen = screen.rows(0, u16::MAX).nth(usize::from(row))?;
            (seen.trim_end() == line).then_some(())
        });
    }

    /// Waits until the editor is ready for a new line.
    pub fn is_ready(&mut self) {
        let entered = self.entered;
        self.wait("a new line to edit", |heard| (heard.asked > entered).then_some(()));
    }

    /// Presses keys.
    pub fn press(&self, keys: &str) {
        let mut writer = self.writer.lock().unwrap();
        writer.write_all(keys.as_bytes()).unwrap();
        writer.flush().unwrap();
    }

    /// Presses keys that end the line being edited.
    pub fn enter(&mut self, keys: &str) {
        self.entered = self.heard.0.lock().unwrap().asked;
        self.press(keys);
    }

    /// Types a line into the editor once that is ready.
    pub fn types(&mut self, line: &str) {
        self.is_ready();
        self.press(line);
        self.shows(line);
        self.enter("\r");
    }

    /// Gives the window another width.
    pub fn resize(&self, columns: u16) {
        self.heard.0.lock().unwrap().parser.screen_mut().set_size(lines(ROWS), lines(columns));
        self.master.resize(PtySize { rows: ROWS, cols: columns, pixel_width: 0, pixel_height: 0 }).unwrap();
    }

    /// Everything that was written so far.
    pub fn raw(&self) -> String {
        String::from_utf8_lossy(&self.heard.0.lock().unwrap().raw).into_owned()
    }

    /// How the terminal treats keys and output: the flags that a full-screen program changes.
    pub fn modes(&self) -> String {
        let termios = self.master.get_termios().unwrap();
        format!("{:?} {:?} {:?}", termios.local_flags, termios.input_flags, termios.output_flags)
    }

    /// Sends a signal, by its name.
    pub fn signal(&self, name: &str) {
        let id = self.child.process_id().unwrap().to_string();
        assert!(std::process::Command::new("kill").args([name, &id]).status().unwrap().success());
    }

    /// Waits for the program to end; its exit code.
    pub fn ends(&mut self) -> u32 {
        let until = Instant::now() + PATIENCE;
        loop {
            if let Some(status) = self.child.try_wait().unwrap() {
                return status.exit_code();
            }
            if Instant::now() > until {
                let screen = self.heard.0.lock().unwrap().parser.screen().contents();
                panic!("the program does not end; the screen shows\n{screen}");
            }
            std::thread::sleep(Duration::from_millis(5));
        }
    }
}

impl Drop for Screen {
    fn drop(&mut self) {
        let _already_gone = self.child.kill();
        let _reaped = self.child.wait();
    }
}

/// Reads what the program writes, draws it, and answers questions about the cursor as a terminal does.
fn listen(
    mut reader: Box<dyn Read + Send>,
    heard: Arc<(Mutex<Heard>, Condvar)>,
    writer: Arc<Mutex<Box<dyn Write + Send>>>,
) {
    std::thread::spawn(move || {
        let mut bytes = [0; 4096];
        let mut looked_at = 0;
        while let Ok(read @ 1..) = reader.read(&mut bytes) {
            let mut state = heard.0.lock().unwrap();
            state.raw.extend_from_slice(&bytes[..read]);
            let mut drawn = 0;
            let start = state.raw.len() - read;
            while let Some(at) = find(&state.raw[looked_at..], WHERE) {
                looked_at += at + WHERE.len();
                // Everything up to the question is drawn before it is answered.
                let end = looked_at - start;
                state.parser.process(&bytes[drawn..end]);
                drawn = end;
                state.asked += 1;
                let (row, column) = state.parser.screen().cursor_position();
                let answer = format!("\x1b[{};{}R", row + 1, column + 1);
                let mut writer = writer.lock().unwrap();
                let _gone = writer.write_all(answer.as_bytes()).and_then(|()| writer.flush());
            }
            state.parser.process(&bytes[drawn..read]);
            heard.1.notify_all();
        }
    });
}

/// A number of rows or columns; no terminal has none.
fn lines(count: u16) -> NonZero<u16> {
    NonZero::new(count).unwrap()
}

fn find(bytes: &[u8], wanted: &[u8]) -> Option<usize> {
    bytes.windows(wanted.len()).position(|window| window == wanted)
}
