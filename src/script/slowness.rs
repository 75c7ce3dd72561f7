//! How fast a script goes over many runs: one that takes its time in each of them is given up early.

use std::cell::Cell;
use std::time::Duration;

use super::allowance::{RunEffort, held};
use super::host::Host;

/// Processor time of one run that is no longer fast. A recipe takes up to a hundredth of a second in a debug build,
/// whose engine is not optimised, and a fifth of one otherwise; with 200 questions, a run for each, a recipe of slow
/// runs would take a second for a single way.
const SLOW_RUN: Duration = Duration::from_millis(if cfg!(debug_assertions) { 16 } else { 4 });
/// Processor time after which it counts whether runs are slow.
const PATIENCE: Duration = Duration::from_millis(300);
/// Processor time over which the runs are averaged: runs that grow slower with every one are found by the latest of
/// them.
const STRETCH: Duration = Duration::from_millis(200);
/// What the process may hold while many runs are made and their results kept, in bytes.
const MAX_KEPT: isize = 40 * 1024 * 1024;

/// Watches many runs of one script in a row that nobody waits for one by one: a check, a session from a file.
#[derive(Debug, Clone)]
pub struct Slowness {
    before: RunEffort,
    /// Where the latest stretch began.
    stretch: Cell<RunEffort>,
}

impl Slowness {
    /// Starts watching what a host runs.
    pub fn start(host: &Host) -> Slowness {
        let before = host.effort();
        Slowness { before, stretch: Cell::new(before) }
    }

    /// As [`Slowness::trouble`], for runs that are few and short where a script is honest: slow or not, together they may
    /// take no longer than it takes to tell.
    pub fn trouble_with_few(&self, host: &Host) -> Option<String> {
        let all = host.effort().since(self.before);
        self.trouble(host).or_else(|| (all.used > PATIENCE).then(|| all.too_slow()))
    }

    /// Why no further run should be made, if so: what was wrong with those made since the start.
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
