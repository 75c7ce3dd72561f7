//! Tests on a real terminal: the program under a pseudo-terminal, its screen as a terminal would draw it.

#![cfg(unix)]
#![allow(clippy::unwrap_used, reason = "a test that cannot go on fails")]

mod emergency;
mod interrupt;
mod looks;
mod paste;
pub mod screen;
mod session;
mod shell;
mod tools;
mod unfamiliar;
mod wide;
