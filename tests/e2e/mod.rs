//! End-to-end tests: the real binary in a cleared environment, its whole output, error output and exit code.
//!
//! Recipes and yards are the tests' own, so that a change of the shipped ones changes nothing here; only the tests that are
//! about shipped scripts name them.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on fails")]

mod advice;
mod answers;
mod as_ran;
#[allow(dead_code, reason = "tests of crashes and of old formats use more of it")]
pub mod bench;
mod broken;
mod commands;
mod confidence;
mod crash;
mod demo;
mod doctor;
mod edited;
mod emergency;
mod inert;
mod input;
mod looks;
mod pipes;
mod results;
mod safety;
mod session;
pub mod stock;
mod tools;
mod torn;
mod unfamiliar;
mod yards;
