//! The script host: recipes and yards are Rhai scripts, and only this room knows Rhai.
//!
//! One [`Host`] builds the one engine, with every limit set and without access to clock, files or network.
//! [`Host::glance`] reads only the first statement of a script, enough to list it; [`Host::recipe`] and [`Host::yard`]
//! run its declarations; [`Host::run`] runs a recipe over the current answers.
//!
//! # Untrusted scripts
//!
//! Recipes, yards, tools and libraries come from strangers. What a script can do is small; what it may use is bounded;
//! what it changes is shown before it is adopted. `tests/hostile` tests this, one file per attack.
//!
//! **A script can** declare, compute with exact numbers, texts, lists and maps, call its own functions and those of
//! libraries, and, in a step's work, ask, say, grade and guard through `bench`. `words` lists every word with a tested
//! example.
//!
//! **A script cannot** read or write files, tell the time, sleep, use the network or random numbers, print, evaluate
//! text as code, call a function by a computed name, shadow a word of the language with a function of its own, or reach
//! the host through a name with two leading underscores. `import` finds modules by bare name, the program's own and
//! those in the folder `library`, and takes no path. Catching errors, or swallowing them in a sort, does not get a
//! script past a question, a guard or a limit: a run that was ended stays ended. Texts shown on a screen are refused if
//! they contain control, escape, bidirectional or invisible characters, and all output also passes through
//! `shell::ink`.
//!
//! | per run of a script | bound |
//! |---|---|
//! | source | 64 KiB, checked before anything is parsed |
//! | operations | 100,000 over all levels; the longest shipped recipe takes about 2,500 |
//! | processor time | 250 ms, which ends what the operations do not count |
//! | memory | 8 MiB of growth, counted at the allocator; 64 MiB in all |
//! | text, list, map | 16 KiB, 1,000 entries, 1,000 entries |
//! | calls, nesting | 32 deep; 96 outside and 48 inside functions; on a stack of 64 MiB |
//! | questions and texts of its works | 200 and 300 |
//!
//! Commands that make many runs in a row (`check`, `adopt`, `test`, `demo`, `bench --answers`) stop as soon as a run is
//! aborted, when runs are slow (more than 4 ms of processor time a run, 10 ms in a debug build, over the latest 200 ms,
//! after 300 ms), or when their retained results pass 40 MiB. All examples of a tool together have 300 ms. A check has
//! 20,000 runs and 20 seconds of processor time; after 300 ms it skips a step whose answers have more combinations than
//! that, and situations that never repeat. It reports what it skipped. `adopt` plays a test session only if `check`
//! finds no error.

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
