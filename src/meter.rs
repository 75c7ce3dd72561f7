//! Counts the bytes that the process holds, so that the script host can end a script that fills the memory.
//!
//! The only unsafe code of the program: it hands every request on to the system's allocator, unchanged, and adds up sizes.

#![allow(unsafe_code, reason = "an allocator cannot be written otherwise")]

use std::alloc::{GlobalAlloc, Layout, System};
use std::sync::atomic::{AtomicUsize, Ordering};

/// Bytes handed out and not yet given back. Relaxed: a count that lags by one request is as good.
static LIVE: AtomicUsize = AtomicUsize::new(0);

/// The system's allocator, counted.
pub struct Counted;

/// Bytes that the process holds at the moment.
pub fn live() -> usize {
    LIVE.load(Ordering::Relaxed)
}

// SAFETY: every method passes its arguments on to `System`, whose contract is that of `GlobalAlloc`, and returns what that
// returns. Counting neither allocates nor panics: additions and subtractions wrap.
unsafe impl GlobalAlloc for Counted {
    unsafe fn alloc(&self, layout: Layout) -> *mut u8 {
        // SAFETY: the caller keeps the contract of `alloc`.
        let at = unsafe { System.alloc(layout) };
        if !at.is_null() {
            LIVE.fetch_add(layout.size(), Ordering::Relaxed);
        }
        at
    }

    unsafe fn dealloc(&self, at: *mut u8, layout: Layout) {
        // SAFETY: the caller keeps the contract of `dealloc`; `at` came from `System` by way of the methods here.
        unsafe { System.dealloc(at, layout) };
        LIVE.fetch_sub(layout.size(), Ordering::Relaxed);
    }

    unsafe fn alloc_zeroed(&self, layout: Layout) -> *mut u8 {
        // SAFETY: the caller keeps the contract of `alloc_zeroed`.
        let at = unsafe { System.alloc_zeroed(layout) };
        if !at.is_null() {
            LIVE.fetch_add(layout.size(), Ordering::Relaxed);
        }
        at
    }

    unsafe fn realloc(&self, at: *mut u8, layout: Layout, size: usize) -> *mut u8 {
        // SAFETY: the caller keeps the contract of `realloc`; `at` came from `System` by way of the methods here.
        let moved = unsafe { System.realloc(at, layout, size) };
        if !moved.is_null() {
            LIVE.fetch_add(size, Ordering::Relaxed);
            LIVE.fetch_sub(layout.size(), Ordering::Relaxed);
        }
        moved
    }
}
