//! What one evaluation of a script may use up: operations, memory, time, stack.
//!
//! The engine's own limits leave gaps: closures that its functions call are not counted, values that closures capture
//! have no size, and an error can be swallowed by the function that called the closure. So everything is counted here,
//! once for all levels, and an end that was reached stays reached, whatever the script catches.
//!
//! Operations decide, and they are the same everywhere. Memory and time only end scripts that make single operations
//! as dear as no recipe does; a hundred times what the longest recipe takes lies between.

use std::cell::Cell;
use std::panic::resume_unwind;
use std::sync::OnceLock;
use std::thread;
use std::time::Duration;

/// Operations of one evaluation: some forty times what the longest recipe needs.
const MAX_OPERATIONS: u64 = 100_000;
/// How much more memory the thread may hold than before the evaluation, in bytes. Recipes need some ten thousand; a
/// single operation can still multiply what is there, by copying or printing it.
const MAX_GROWTH: isize = 8 * 1024 * 1024;
/// How much the thread may hold when an evaluation begins, in bytes. Only values that hold each other in a circle,
/// which nothing frees, and what a check keeps, add up to that.
const MAX_HELD: isize = 64 * 1024 * 1024;
/// The processor time of one evaluation. A recipe takes some two thousandths of a second.
const MAX_TIME: Duration = Duration::from_millis(250);
/// How many operations lie between two looks at the clock, which are dear.
const CLOCK_EVERY: u64 = 16;
/// The stack on which scripts are read, run and freed, in bytes: enough for the deepest nesting and for the longest
/// chain of closures that [`MAX_OPERATIONS`] and [`MAX_GROWTH`] let a script build, with a quarter of it left for
/// everything else. Only what is used of it takes memory.
const STACK: usize = 64 * 1024 * 1024;

/// Tells how many bytes the thread holds.
static MEMORY: OnceLock<fn() -> isize> = OnceLock::new();

/// Hands the host a count of the bytes that the thread at hand holds. Without it, memory is bounded by operations and
/// sizes alone. Only the first call counts: a process has one allocator.
pub fn watch_memory(held: fn() -> isize) {
    let _first = MEMORY.set(held);
}

/// Runs `act` on a thread with enough stack for whatever a script nests, and waits for it. A program does all of its
/// work in one call of this: whoever has a host of scripts on a smaller stack must trust the scripts not to nest
/// deeply.
///
/// # Errors
/// The system's, if it has no thread to give.
pub fn on_a_deep_stack<T: Send>(act: impl FnOnce() -> T + Send) -> std::io::Result<T> {
    thread::scope(|scope| {
        let running = thread::Builder::new().name("main".into()).stack_size(STACK).spawn_scoped(scope, act)?;
        Ok(running.join().unwrap_or_else(|panic| resume_unwind(panic)))
    })
}

/// Why an evaluation was ended by force.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Stop {
    /// A question waits, or the run has ended.
    Halted,
    /// Too many operations.
    Operations,
    /// Too much memory.
    Memory,
    /// Too much time.
    Time,
}

impl Stop {
    /// What happened, and what to do about it, in an author's words. `None` for a halt, which is no error.
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

/// What all evaluations of a host so far came to.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct RunEffort {
    /// How many there were.
    pub runs: u32,
    /// Processor time that they used.
    pub used: Duration,
    /// How many were ended by force.
    pub forced: u32,
}

impl RunEffort {
    /// What has come to it since an earlier moment.
    pub fn since(self, earlier: RunEffort) -> RunEffort {
        RunEffort {
            runs: self.runs.saturating_sub(earlier.runs),
            used: self.used.saturating_sub(earlier.used),
            forced: self.forced.saturating_sub(earlier.forced),
        }
    }

    /// That it was too much.
    pub fn too_slow(self) -> String {
        format!("the script is too slow: {} runs took {} ms", self.runs, self.used.as_millis())
    }
}

/// What the evaluation at hand has used up.
#[derive(Debug, Default)]
pub(super) struct Allowance {
    operations: Cell<u64>,
    /// What the program keeps for itself of earlier evaluations.
    kept: Cell<isize>,
    most: Cell<isize>,
    begun: Cell<Duration>,
    stop: Cell<Option<Stop>>,
    effort: Cell<RunEffort>,
}

impl Allowance {
    /// Starts anew, for the next evaluation.
    pub fn begin(&self) {
        let held = held();
        self.operations.set(0);
        self.most.set(held.saturating_add(MAX_GROWTH).min(MAX_HELD.saturating_add(self.kept.get())));
        self.begun.set(processor_time());
        self.stop.set(None);
    }

    /// Adds up what the evaluation took.
    pub fn close(&self) {
        let RunEffort { runs, used, forced } = self.effort.get();
        let by_force = matches!(self.stop.get(), Some(Stop::Operations | Stop::Memory | Stop::Time));
        self.effort.set(RunEffort {
            runs: runs.saturating_add(1),
            used: used.saturating_add(processor_time().saturating_sub(self.begun.get())),
            forced: forced.saturating_add(u32::from(by_force)),
        });
    }

    /// What all evaluations so far came to.
    pub fn effort(&self) -> RunEffort {
        self.effort.get()
    }

    /// Takes up to `bytes` more out of account, for what the program keeps of an evaluation: its results over
    /// thousands of sessions must not look like values that no script lets go.
    pub fn keep(&self, bytes: isize) {
        self.kept.set(self.kept.get().saturating_add(bytes));
    }

    /// Counts an operation. `false`, from then on always, when there must be no further one.
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

    /// Ends the evaluation. The first reason stands.
    pub fn end(&self, stop: Stop) {
        self.stop.set(self.stop.get().or(Some(stop)));
    }

    /// Why the evaluation was ended by force, if it was.
    pub fn stopped(&self) -> Option<Stop> {
        self.stop.get()
    }
}

/// Bytes that this thread holds; 0 where nobody counts them.
pub(super) fn held() -> isize {
    MEMORY.get().map_or(0, |held| held())
}

/// Processor time that this thread has used: a machine that is busy or asleep ends no script.
#[cfg(unix)]
pub fn processor_time() -> Duration {
    let time = rustix::time::clock_gettime(rustix::time::ClockId::ThreadCPUTime);
    let (seconds, nanoseconds) = (u64::try_from(time.tv_sec), u32::try_from(time.tv_nsec));
    Duration::new(seconds.unwrap_or(0), nanoseconds.unwrap_or(0))
}

/// Elsewhere the time on the wall has to do.
#[cfg(not(unix))]
pub fn processor_time() -> Duration {
    static START: OnceLock<std::time::Instant> = OnceLock::new();
    START.get_or_init(std::time::Instant::now).elapsed()
}
