//! Resource limits of one script evaluation: operations, memory, time, stack.
//!
//! The engine's own limits leave gaps: it does not count closures called by its functions, values captured by closures
//! have no size, and the function that called a closure can swallow its error. So everything is counted here, once for
//! all levels. A limit that was hit stays hit, whatever the script catches.
//!
//! The operation count decides, because it is the same on every machine. Memory and time only end scripts whose single
//! operations cost far more than any recipe's; both limits are about a hundred times what the longest recipe needs.

use std::cell::Cell;
use std::panic::resume_unwind;
use std::sync::OnceLock;
use std::thread;
use std::time::Duration;

/// Operations of one evaluation: about forty times what the longest recipe needs.
const MAX_OPERATIONS: u64 = 100_000;
/// How far the thread's memory may grow during an evaluation, in bytes. Recipes need about ten thousand; a single
/// operation can still multiply existing data by copying or printing it.
const MAX_GROWTH: isize = 8 * 1024 * 1024;
/// How much the thread may hold when an evaluation begins, in bytes. Only reference cycles, which nothing frees, and
/// the results that a check keeps add up to that.
const MAX_HELD: isize = 64 * 1024 * 1024;
/// The processor time of one evaluation. A recipe takes about 2 ms.
const MAX_TIME: Duration = Duration::from_millis(250);
/// Operations between two readings of the clock, which are expensive.
const CLOCK_EVERY: u64 = 16;
/// The stack on which scripts are parsed, run and freed, in bytes: enough for the deepest nesting and for the longest
/// chain of closures that [`MAX_OPERATIONS`] and [`MAX_GROWTH`] let a script build, with a quarter left for everything
/// else. Only the part in use takes memory.
const STACK: usize = 64 * 1024 * 1024;

/// Returns how many bytes the thread holds.
static MEMORY: OnceLock<fn() -> isize> = OnceLock::new();

/// Gives the host a counter of the bytes that the current thread holds. Without it, only operations and sizes bound
/// memory. Only the first call has an effect: a process has one allocator.
pub fn watch_memory(held: fn() -> isize) {
    let _first = MEMORY.set(held);
}

/// Runs `act` on a thread with enough stack for whatever a script nests, and waits for it. A program does all of its
/// work in one call of this; without it, on a smaller stack, the host must trust scripts not to nest deeply.
///
/// # Errors
/// The system's error if it cannot start a thread.
pub fn on_a_deep_stack<T: Send>(act: impl FnOnce() -> T + Send) -> std::io::Result<T> {
    thread::scope(|scope| {
        let running = thread::Builder::new().name("main".into()).stack_size(STACK).spawn_scoped(scope, act)?;
        Ok(running.join().unwrap_or_else(|panic| resume_unwind(panic)))
    })
}

/// Why an evaluation was aborted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Stop {
    /// A question is waiting for its answer, or the run has ended.
    Halted,
    /// Too many operations.
    Operations,
    /// Too much memory.
    Memory,
    /// Too much time.
    Time,
}

impl Stop {
    /// Message and hint for a script author. `None` for a halt, which is no error.
    pub(super) fn words(self) -> Option<(&'static str, &'static str)> {
        match self {
            Stop::Halted => None,
            Stop::Operations => Some(("the script does not come to an end", "look for a loop that never stops")),
            Stop::Time => {
                Some(("the script takes too long", "look for a loop that copies or compares long texts or lists"))
            }
            Stop::Memory => {
                Some(("the script takes too much memory", "look for a text or list that grows without end"))
            }
        }
    }
}

/// Totals over all evaluations of a host so far.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct RunEffort {
    /// Number of evaluations.
    pub runs: u32,
    /// Processor time used.
    pub used: Duration,
    /// How many were aborted.
    pub forced: u32,
}

impl RunEffort {
    /// The difference to an earlier total.
    pub fn since(self, earlier: RunEffort) -> RunEffort {
        RunEffort {
            runs: self.runs.saturating_sub(earlier.runs),
            used: self.used.saturating_sub(earlier.used),
            forced: self.forced.saturating_sub(earlier.forced),
        }
    }

    /// The message that these runs were too slow.
    pub fn too_slow(self) -> String {
        format!("the script is too slow: {} runs took {} ms", self.runs, self.used.as_millis())
    }
}

/// What the current evaluation has used.
#[derive(Debug, Default)]
pub(super) struct Allowance {
    operations: Cell<u64>,
    /// Bytes of earlier evaluations that the program itself retains.
    kept: Cell<isize>,
    most: Cell<isize>,
    begun: Cell<Duration>,
    stop: Cell<Option<Stop>>,
    effort: Cell<RunEffort>,
}

impl Allowance {
    /// Resets the counters for the next evaluation.
    pub fn begin(&self) {
        let held = held();
        self.operations.set(0);
        self.most.set(held.saturating_add(MAX_GROWTH).min(MAX_HELD.saturating_add(self.kept.get())));
        self.begun.set(processor_time());
        self.stop.set(None);
    }

    /// Adds this evaluation to the totals.
    pub fn close(&self) {
        let RunEffort { runs, used, forced } = self.effort.get();
        let by_force = matches!(self.stop.get(), Some(Stop::Operations | Stop::Memory | Stop::Time));
        self.effort.set(RunEffort {
            runs: runs.saturating_add(1),
            used: used.saturating_add(processor_time().saturating_sub(self.begun.get())),
            forced: forced.saturating_add(u32::from(by_force)),
        });
    }

    /// Totals over all evaluations so far.
    pub fn effort(&self) -> RunEffort {
        self.effort.get()
    }

    /// Exempts up to `bytes` more of retained results: kept over thousands of sessions, they must not be counted as a
    /// script leak.
    pub fn keep(&self, bytes: isize) {
        self.kept.set(self.kept.get().saturating_add(bytes));
    }

    /// Counts one operation. Returns `false`, from then on always, once a limit is hit.
    pub fn spend(&self) -> bool {
        let operations = self.operations.get() + 1;
        self.operations.set(operations);
        if operations > MAX_OPERATIONS {
            self.end(Stop::Operations);
        } else if held() > self.most.get() {
            self.end(Stop::Memory);
        } else if operations.is_multiple_of(CLOCK_EVERY) && processor_time().saturating_sub(self.begun.get()) > MAX_TIME
        {
            self.end(Stop::Time);
        }
        self.stop.get().is_none()
    }

    /// Aborts the evaluation. The first reason is kept.
    pub fn end(&self, stop: Stop) {
        self.stop.set(self.stop.get().or(Some(stop)));
    }

    /// Why the evaluation was aborted, if it was.
    pub fn stopped(&self) -> Option<Stop> {
        self.stop.get()
    }
}

/// Bytes that this thread holds; 0 if nobody counts them.
pub(super) fn held() -> isize {
    MEMORY.get().map_or(0, |held| held())
}

/// Processor time of this thread: a busy or sleeping machine must not end a script.
#[cfg(unix)]
pub fn processor_time() -> Duration {
    let time = rustix::time::clock_gettime(rustix::time::ClockId::ThreadCPUTime);
    let (seconds, nanoseconds) = (u64::try_from(time.tv_sec), u32::try_from(time.tv_nsec));
    Duration::new(seconds.unwrap_or(0), nanoseconds.unwrap_or(0))
}

/// On other systems, wall-clock time.
#[cfg(not(unix))]
pub fn processor_time() -> Duration {
    static START: OnceLock<std::time::Instant> = OnceLock::new();
    START.get_or_init(std::time::Instant::now).elapsed()
}
