//! Counts the bytes that each thread holds, so that the script host can end a script that fills the memory.
//!
//! Each by itself: a script is held to what its own thread takes, whatever another one reads beside it. What one
//! thread takes and another gives back makes the count of the second go below zero, which is as good a place to count
//! from.
//!
//! The only unsafe code of the program: it hands every request on to the system's allocator, unchanged, and adds up
//! sizes.

#![allow(unsafe_code, reason = "an allocator cannot be written otherwise")]

use std::alloc::{GlobalAlloc, Layout, System};
use std::cell::Cell;

thread_local! {
    /// Bytes that this thread took less those that it gave back. Neither made on first use nor ever dropped, so that
    /// counting allocates nothing and is possible at any moment.
    static LIVE: Cell<isize> = const { Cell::new(0) };
}

/// The system's allocator, counted.
pub struct Counted;

/// Bytes that this thread holds at the moment.
pub fn live() -> isize {
    LIVE.get()
}

/// Counts bytes taken, or given back if negative. No layout is larger than `isize::MAX`. One look at the thread's
/// count: some texts of scripts grow by a character, and ask for each.
fn count(bytes: isize) {
    LIVE.with(|live| live.set(live.get().wrapping_add(bytes)));
}

// SAFETY: every method passes its arguments on to `System`, whose contract is that of `GlobalAlloc`, and returns what
// that returns. Counting neither allocates nor panics: additions and subtractions wrap.
unsafe impl GlobalAlloc for Counted {
    unsafe fn alloc(&self, layout: Layout) -> *mut u8 {
        // SAFETY: the caller keeps the contract of `alloc`.
        let at = unsafe { System.alloc(layout) };
        if !at.is_null() {
            count(layout.size() as isize);
        }
        at
    }

    unsafe fn dealloc(&self, at: *mut u8, layout: Layout) {
        // SAFETY: the caller keeps the contract of `dealloc`; `at` came from `System` by way of the methods here.
        unsafe { System.dealloc(at, layout) };
        count(-(layout.size() as isize));
    }

    unsafe fn alloc_zeroed(&self, layout: Layout) -> *mut u8 {
        // SAFETY: the caller keeps the contract of `alloc_zeroed`.
        let at = unsafe { System.alloc_zeroed(layout) };
        if !at.is_null() {
            count(layout.size() as isize);
        }
        at
    }

    unsafe fn realloc(&self, at: *mut u8, layout: Layout, size: usize) -> *mut u8 {
        // SAFETY: the caller keeps the contract of `realloc`; `at` came from `System` by way of the methods here.
        let moved = unsafe { System.realloc(at, layout, size) };
        if !moved.is_null() {
            count(size as isize - layout.size() as isize);
        }
        moved
    }
}
