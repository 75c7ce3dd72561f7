//! The program and its scripts: the real binary in a cleared environment and on a terminal, and the shipped recipes, yards and tools.

#![allow(clippy::unwrap_used, clippy::new_without_default, reason = "a test may fail by panicking")]

mod catalogue;
mod check;
mod common_practice;
mod e2e;
mod memory;
mod old_formats;
mod plan_command;
mod readme;
mod replay_paths;
mod scale;
mod schemas;
mod share;
mod terminal;
mod tools_published;
mod yardrun;

// What the rooms of this file share.
use e2e::{bench, stock};
use old_formats::folders;
#[cfg(unix)]
use terminal::screen;
