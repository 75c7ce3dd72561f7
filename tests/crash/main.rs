//! The real program against what befalls processes, disks, folders and clocks.
//!
//! The rule is the same everywhere: every acknowledged answer is there, nothing is invented, damage is named.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on fails")]
#![allow(dead_code, reason = "not everything that end-to-end tests need is needed here")]

#[path = "../e2e/bench.rs"]
mod bench;
mod clock;
mod doctor;
#[cfg(unix)]
mod folder;
#[cfg(unix)]
mod full;
mod kills;
mod sessions;
#[path = "../e2e/stock.rs"]
mod stock;
mod together;
