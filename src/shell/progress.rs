//! Progress of long work: shown after a second, and only on a terminal.

use std::io::{IsTerminal, Write, stderr};
use std::time::{Duration, Instant};

use super::terminal::Terminal;

/// Delay before anything is shown.
const PATIENCE: Duration = Duration::from_secs(1);
/// Update interval.
const BEAT: Duration = Duration::from_millis(100);

/// A counter on the error stream that erases itself at the end.
pub struct Progress {
    what: &'static str,
    of: usize,
    done: usize,
    begun: Instant,
    shown: Option<Instant>,
    wanted: bool,
}

impl Progress {
    /// Counts `of` things, named `what` in the plural.
    pub fn new(terminal: &Terminal, what: &'static str, of: usize) -> Progress {
        let wanted = stderr().is_terminal() && !terminal.look.plain;
        Progress { what, of, done: 0, begun: Instant::now(), shown: None, wanted }
    }

    /// One more is done.
    pub fn step(&mut self) {
        self.done += 1;
        let now = Instant::now();
        let due = self.shown.map_or(now - self.begun >= PATIENCE, |last| now - last >= BEAT);
        if self.wanted && due {
            self.shown = Some(now);
            let share = self.done * 100 / self.of.max(1);
            let _unheard = write!(stderr().lock(), "\r{} of {} {} ({share} %)", self.done, self.of, self.what);
        }
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        if self.shown.is_some() {
            let _unheard = write!(stderr().lock(), "\r{:60}\r", "");
        }
    }
}
