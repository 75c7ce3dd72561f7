//! Measures how fast a script gets through many runs, and gives up early on one whose runs are slow.

use std::cell::Cell;
use std::time::Duration;

use super::allowance::{RunEffort, held};
use super::host::Host;

/// Processor time above which a run counts as slow. A recipe takes up to 10 ms in a debug build, whose engine is not
/// optimised, and a fifth of that otherwise; with 200 questions, one run each, a recipe of slow runs would take a
/// second for a single path.
const SLOW_RUN: Duration = Duration::from_millis(if cfg!(debug_assertions) { 16 } else { 4 });
/// Processor time after which slow runs start to count.
const PATIENCE: Duration = Duration::from_millis(300);
/// Processor time over which runs are averaged: if runs keep getting slower, the latest ones show it.
const STRETCH: Duration = Duration::from_millis(200);
/// What the process may hold while it makes many runs and keeps their results, in bytes.
const MAX_KEPT: isize = 40 * 1024 * 1024;

/// Watches many runs of one script in a row for which nobody waits one by one: a check, a session from a file.
#[derive(Debug, Clone)]
pub struct Slowness {
    before: RunEffort,
    /// Start of the latest stretch.
    stretch: Cell<RunEffort>,
}

impl Slowness {
    /// Starts watching what a host runs.
    pub fn start(host: &Host) -> Slowness {
        let before = host.effort();
        Slowness { before, stretch: Cell::new(before) }
    }

    /// Like [`Slowness::trouble`], for runs that an honest script keeps few and short: slow or not, all of them
    /// together may take only as long as it takes to judge a run slow.
    pub fn trouble_with_few(&self, host: &Host) -> Option<String> {
        let all = host.effort().since(self.before);
        self.trouble(host).or_else(|| (all.used > PATIENCE).then(|| all.too_slow()))
    }

    /// Why no further run should be made, if so: what was wrong with the runs since the start.
    pub fn trouble(&self, host: &Host) -> Option<String> {
        let now = host.effort();
        if now.since(self.before).forced > 0 {
            return Some("the script had to be ended by force".to_owned());
        }
        if now.since(self.before).used > PATIENCE {
            let latest = now.since(self.stretch.get());
            if latest.used > STRETCH && latest.used > SLOW_RUN * latest.runs.max(1) {
                return Some(latest.too_slow());
            }
            if latest.used > STRETCH {
                self.stretch.set(now);
            }
        }
        (held() > MAX_KEPT).then(|| "what was kept of its runs takes too much memory".to_owned())
    }
}
