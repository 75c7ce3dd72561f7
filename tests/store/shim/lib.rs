//! Stands between a process and the system: writes down every write and sync, and lets one of them fail or end the process.
//! Compiled by the test that needs it and loaded with `LD_PRELOAD`; no part of the program.
//!
//! `SHIM_TRACE` names the file to write to; `SHIM_FAIL` or `SHIM_KILL` is the number, from 1, of the operation on a file
//! below `SHIM_FOLDER` that fails with an input/output error or ends the process before it is done.

use std::ffi::{c_int, c_long, c_void};
use std::sync::OnceLock;
use std::sync::atomic::{AtomicUsize, Ordering};

unsafe extern "C" {
    fn syscall(number: c_long, ...) -> c_long;
    fn __errno_location() -> *mut c_int;
}

#[cfg(target_arch = "x86_64")]
mod numbers {
    pub const WRITE: i64 = 1;
    pub const FSYNC: i64 = 74;
    pub const FDATASYNC: i64 = 75;
    pub const GETPID: i64 = 39;
    pub const KILL: i64 = 62;
}

#[cfg(target_arch = "aarch64")]
mod numbers {
    pub const WRITE: i64 = 64;
    pub const FSYNC: i64 = 82;
    pub const FDATASYNC: i64 = 83;
    pub const GETPID: i64 = 172;
    pub const KILL: i64 = 129;
}

const EIO: c_int = 5;

struct Plan {
    trace: Option<std::os::fd::RawFd>,
    folder: String,
    fail: usize,
    kill: usize,
}

static PLAN: OnceLock<Plan> = OnceLock::new();
static COUNT: AtomicUsize = AtomicUsize::new(0);

fn plan() -> &'static Plan {
    PLAN.get_or_init(|| {
        let text = |name: &str| std::env::var(name).unwrap_or_default();
        let number = |name: &str| text(name).parse().unwrap_or(0);
        let trace = std::fs::OpenOptions::new().append(true).create(true).open(text("SHIM_TRACE"));
        let trace = trace.ok().map(std::os::fd::IntoRawFd::into_raw_fd);
        Plan { trace, folder: text("SHIM_FOLDER"), fail: number("SHIM_FAIL"), kill: number("SHIM_KILL") }
    })
}

/// Whether the operation is to be done; notes it.
fn passes(what: &str, fd: c_int) -> bool {
    let plan = plan();
    if Some(fd) == plan.trace {
        return true;
    }
    let path = std::fs::read_link(format!("/proc/self/fd/{fd}")).unwrap_or_default();
    let path = path.to_string_lossy();
    let is_ours = path.starts_with(&plan.folder);
    if !is_ours && fd != 1 {
        return true;
    }
    if is_ours {
        let number = COUNT.fetch_add(1, Ordering::SeqCst) + 1;
        if number == plan.kill {
            unsafe { syscall(numbers::KILL as c_long, syscall(numbers::GETPID as c_long), 9 as c_long) };
        }
        if number == plan.fail {
            unsafe { *__errno_location() = EIO };
            return false;
        }
    }
    let line = if is_ours { format!("{what} {path}\n") } else { "say\n".to_owned() };
    if let Some(trace) = plan.trace {
        unsafe { syscall(numbers::WRITE as c_long, trace as c_long, line.as_ptr(), line.len()) };
    }
    true
}

/// # Safety
/// As the system's own.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn write(fd: c_int, bytes: *const c_void, len: usize) -> isize {
    if !passes("write", fd) {
        return -1;
    }
    unsafe { syscall(numbers::WRITE as c_long, fd as c_long, bytes, len) as isize }
}

/// # Safety
/// As the system's own.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fsync(fd: c_int) -> c_int {
    if !passes("sync", fd) {
        return -1;
    }
    unsafe { syscall(numbers::FSYNC as c_long, fd as c_long) as c_int }
}

/// # Safety
/// As the system's own.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fdatasync(fd: c_int) -> c_int {
    if !passes("sync", fd) {
        return -1;
    }
    unsafe { syscall(numbers::FDATASYNC as c_long, fd as c_long) as c_int }
}
