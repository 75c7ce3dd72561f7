//! The script host: recipes and yards are Rhai scripts, and this room is the only one that knows it.
//!
//! One [`Host`] builds the one engine, with every limit set and nothing in it that reads a clock, a file or a network.
//! [`Host::glance`] reads only the first statement of a script, enough to list it; [`Host::recipe`] and [`Host::yard`] run
//! its declarations; [`Host::run`] runs a recipe over the answers that stand.

mod allowance;
mod bench_words;
mod builtins;
mod catalogue;
mod contain;
mod definitions;
mod desk;
mod edit;
mod engine;
mod error;
mod explain;
mod host;
mod library;
mod loops;
mod memory;
mod pace;
mod recipe_words;
mod rule;
mod sheet_words;
mod source;
mod thresholds;
mod tool_words;
mod tools;
mod unit_words;
mod words;
mod yard_words;

pub use allowance::{on_a_deep_stack, processor_time, watch_memory};
pub use catalogue::Catalogue;
pub use edit::FreesCall;
pub use error::ScriptError;
pub use host::{Glance, Host, Probe, Script};
pub use library::Library;
pub use pace::Pace;
pub use thresholds::Thresholds;
pub use unit_words::unit_word;
pub use words::{WEIGHT_SIGNS, WORDS, Word};
