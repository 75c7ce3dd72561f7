//! How fast a script goes over many runs: one that takes its time in each of them is given up early.

use std::time::Duration;

use super::allowance::held;
use super::host::Host;

/// Processor time of one run that is no longer fast. A recipe takes some thousandths of a second, also in a debug build.
const SLOW_RUN: Duration = Duration::from_millis(10);
/// Processor time after which it counts whether runs are slow.
const PATIENCE: Duration = Duration::from_millis(400);
/// What the process may hold while many runs are made and their results kept, in bytes.
const MAX_KEPT: usize = 40 * 1024 * 1024;

/// What all evaluations of a host so far came to.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Effort {
    /// How many there were.
    pub runs: u32,
    /// Processor time that they used.
    pub used: Duration,
    /// How many were ended by force.
    pub forced: u32,
}

/// Watches many runs of one script in a row that nobody waits for one by one: a check, a session from a file.
#[derive(Debug, Clone, Copy)]
pub struct Pace {
    before: Effort,
}

impl Pace {
    /// Starts watching what a host runs.
    pub fn start(host: &Host) -> Pace {
        Pace { before: host.effort() }
    }

    /// Why no further run should be made, if so: what was wrong with those made since the start.
    pub fn trouble(&self, host: &Host) -> Option<String> {
        let now = host.effort();
        if now.forced > self.before.forced {
            return Some("the script had to be ended by force".to_owned());
        }
        let (runs, used) = (now.runs - self.before.runs, now.used.saturating_sub(self.before.used));
        if used > PATIENCE && used > SLOW_RUN * runs.max(1) {
            return Some(format!("the script is too slow: {runs} runs took {} ms", used.as_millis()));
        }
        (held() > MAX_KEPT).then(|| "what was kept of its runs takes too much memory".to_owned())
    }
}
