//! The command line: one declaration a command, from which shell, help, completions and man page all come.

mod bench;
mod check;
mod copy;
mod demo;
mod doctor;
mod options;
mod paper;
mod quote;
mod recipes;
mod resume;
mod run;
mod settings;
mod show;
mod tally;
mod yards;

use clap::{ArgMatches, Command};

use crate::app::AppError;
use crate::shell::face::Face;

pub use run::main;

/// What a command ended with.
pub type Outcome = Result<Code, AppError>;

/// Exit codes. Documented in the README and on the man page, and held by tests.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[repr(u8)]
pub enum Code {
    /// Done.
    Done = 0,
    /// It failed: a file, a folder, a damaged journal.
    Failed = 1,
    /// The command line was not understood, or names nothing.
    Usage = 2,
    /// A script is at fault.
    Script = 3,
    /// An answer is missing, or is none.
    Answer = 4,
    /// The session was laid aside before its end.
    Paused = 5,
}

impl Code {
    /// The code that an error ends with.
    fn of(error: &AppError) -> Code {
        match error {
            AppError::Store(_) | AppError::Tally(_) => Code::Failed,
            AppError::Script(_) => Code::Script,
            AppError::Name(_) | AppError::Refused(_) => Code::Usage,
            AppError::Answer(_) => Code::Answer,
        }
    }
}

/// A command.
struct Verb {
    /// Its declaration: name, options, help.
    declare: fn() -> Command,
    /// What it does.
    run: fn(&mut Face, &ArgMatches) -> Outcome,
}

/// All commands, in the order in which help lists them.
const VERBS: &[Verb] = &[
    Verb { declare: bench::declare, run: bench::run },
    Verb { declare: resume::declare, run: resume::run },
    Verb { declare: recipes::declare, run: recipes::run },
    Verb { declare: yards::declare, run: yards::run },
    Verb { declare: show::declare, run: show::run },
    Verb { declare: tally::declare, run: tally::run },
    Verb { declare: quote::declare, run: quote::run },
    Verb { declare: check::declare, run: check::run },
    Verb { declare: copy::declare, run: copy::run },
    Verb { declare: settings::declare, run: settings::run },
    Verb { declare: demo::declare, run: demo::run },
    Verb { declare: doctor::declare, run: doctor::run },
    Verb { declare: paper::declare_completions, run: paper::completions },
    Verb { declare: paper::declare_manual, run: paper::manual },
];
