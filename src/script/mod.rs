//! The script host: recipes and yards are Rhai scripts, and this room is the only one that knows it.
//!
//! One [`Host`] builds the one engine, with every limit set and nothing in it that reads a clock, a file or a network.
//! [`Host::glance`] reads only the first statement of a script, enough to list it; [`Host::recipe`] and [`Host::yard`]
//! run its declarations; [`Host::run`] runs a recipe over the answers that stand.
//!
//! # Strangers' scripts
//!
//! Recipes, yards, tools and libraries come from people whom nobody knows. What a script may do at all is small; what
//! it may use up is bounded; what it changes is shown before it is taken in. `tests/hostile` holds this, one file an
//! attack.
//!
//! **A script can** declare, compute with exact numbers, texts, lists and maps, call its own functions and those of
//! libraries, and, in a step's work, ask, say, grade and guard through `bench`. `words` lists every word with an
//! example that is tested.
//!
//! **A script cannot** read or write files, tell the time, sleep, use the network or chance, print, evaluate text as
//! code, call a function by a computed name, hide a word of the language behind a function of its own, or reach the
//! program by a name with two leading underscores. `import` finds modules by bare name, those of the program and those
//! in the folder `library`, and no path. Catching errors, or swallowing them in a sort, does not help it past a
//! question, a guard or a limit: what ended a run stays ended. Texts that a screen shows are refused if they hold
//! control, escape, bidirectional or invisible characters, and all output passes through `shell::ink` besides.
//!
//! | of one run of a script | bound |
//! |---|---|
//! | source | 64 KiB, read before anything is parsed |
//! | operations | 100,000 over all levels; the longest shipped recipe takes some 2,500 |
//! | processor time | 250 ms, which ends what the operations do not count |
//! | memory | 8 MiB more than before, counted at the allocator; 64 MiB in all |
//! | text, list, map | 16 KiB, 1,000 entries, 1,000 entries |
//! | calls, nesting | 32 deep; 96 outside and 48 inside functions; on a stack of 64 MiB |
//! | questions and texts of its works | 200 and 300 |
//!
//! Where many runs are made in a row (`check`, `adopt`, `test`, `demo`, `bench --answers`), they end at once when a
//! run had to be ended by force, when they are slow (more than 4 ms of processor time a run, 10 ms in a debug build,
//! over the latest 200 ms, after 300 ms), or when what is kept of them passes 40 MiB. All examples of a tool together
//! have 300 ms. A check has 20,000 runs and 20 seconds of processor time; after 300 ms it leaves a step whose answers
//! have more combinations than that, and situations that never repeat. What was not looked at is said. `adopt` plays
//! the test session only of what `check` finds no error in.

mod allowance;
mod bench_words;
mod builtins;
mod catalogue;
mod catch;
mod compiled;
mod definitions;
mod desk;
mod drive;
mod edit;
mod engine;
mod error;
mod explain;
mod glance;
mod host;
mod job;
mod library;
mod limits;
mod loops;
mod memory;
mod number_words;
mod reading;
mod recipe_words;
mod refusal;
mod rule;
mod sheet_words;
mod slowness;
mod source;
mod thresholds;
mod tokens;
mod tool_words;
mod tools;
mod unit_words;
mod values;
mod word;
mod words;
mod yard_words;

pub use allowance::{on_a_deep_stack, processor_time, watch_memory};
pub use catalogue::Catalogue;
pub use compiled::Script;
pub use error::ScriptError;
pub use glance::Glance;
pub use host::Host;
pub use library::{Library, Modules};
pub use slowness::Slowness;
pub use unit_words::{WEIGHT_SIGNS, unit_word};
pub use word::Word;
pub use words::WORDS;
