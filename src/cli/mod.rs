//! The command line: one declaration per command, from which shell, help, completions and man page are all made.

mod adopt;
mod bench;
mod bundle;
mod check;
mod compare;
mod copy;
mod correct;
mod demo;
mod discard;
mod doctor;
mod draft;
mod export;
mod find_grade;
mod help;
mod load;
mod misread;
mod new;
mod note;
mod options;
mod paper;
mod plan;
mod prices;
mod problem;
mod quote;
mod recipes;
mod replay;
mod report;
mod resume;
mod run;
mod settings;
mod settle;
mod show;
mod stock;
mod tally;
mod test;
mod tools;
mod words;
mod yards;

use clap::{ArgMatches, Command};

use crate::shell::terminal::Terminal;
use crate::store::StoreError;
use crate::store::home::Shelf;
use crate::world::AppError;

pub use run::main;

/// The result of a command.
pub type Outcome = Result<Code, AppError>;

/// Exit codes. Documented in the README and the man page, and checked by tests.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[repr(u8)]
pub enum Code {
    /// Done.
    Done = 0,
    /// Failed: a file, a folder, a damaged journal.
    Failed = 1,
    /// The command line was not understood, or names nothing.
    Usage = 2,
    /// A script is at fault.
    Script = 3,
    /// An answer is missing or invalid.
    Answer = 4,
    /// The session was paused before its end.
    Paused = 5,
}

impl Code {
    /// The exit code for an error.
    fn of(error: &AppError) -> Code {
        match error {
            // The input is at fault, not the disk.
            AppError::Store(StoreError::Refused { .. } | StoreError::BadName { .. }) => Code::Usage,
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
    run: fn(&mut Terminal, &ArgMatches) -> Outcome,
    /// Whether it works even if the settings cannot be read.
    without_settings: bool,
}

impl Verb {
    const fn new(declare: fn() -> Command, run: fn(&mut Terminal, &ArgMatches) -> Outcome) -> Verb {
        Verb { declare, run, without_settings: false }
    }

    const fn without_settings(self) -> Verb {
        Verb { without_settings: true, ..self }
    }
}

/// All commands, in the order in which help lists them.
const VERBS: &[Verb] = &[
    Verb::new(bench::declare, bench::run),
    Verb::new(resume::declare, resume::run),
    Verb::new(correct::declare, correct::run),
    Verb::new(note::declare, note::run),
    Verb::new(discard::declare, discard::run),
    Verb::new(recipes::declare, recipes::run),
    Verb::new(yards::declare, yards::run),
    Verb::new(tools::declare, tools::run),
    Verb::new(find_grade::declare, find_grade::run),
    Verb::new(show::declare, show::run),
    Verb::new(plan::declare, plan::run),
    Verb::new(tally::declare, tally::run),
    Verb::new(replay::declare, replay::run),
    Verb::new(compare::declare, compare::run),
    Verb::new(draft::declare, draft::run),
    Verb::new(report::declare, report::run),
    Verb::new(report::declare_sheet, report::run_sheet),
    Verb::new(export::declare, export::run),
    Verb::new(quote::declare, quote::run),
    Verb::new(prices::declare, prices::run),
    Verb::new(stock::declare, stock::run),
    Verb::new(load::declare, load::run),
    Verb::new(settle::declare, settle::run),
    Verb::new(check::declare, check::run),
    Verb::new(copy::declare, copy::run),
    Verb::new(new::declare, new::run),
    Verb::new(words::declare, words::run).without_settings(),
    Verb::new(test::declare, test::run),
    Verb::new(bundle::declare, bundle::run),
    Verb::new(adopt::declare, adopt::run),
    Verb::new(settings::declare, settings::run),
    Verb::new(demo::declare, demo::run),
    Verb::new(doctor::declare, doctor::run).without_settings(),
    Verb::new(help::declare, help::run).without_settings(),
    Verb::new(paper::declare_completions, paper::completions).without_settings(),
    Verb::new(paper::declare_manual, paper::manual).without_settings(),
];

/// Kinds of scripts that can be named for copying, passing on, testing or showing.
const NAMED: [Shelf; 4] = [Shelf::Recipes, Shelf::Yards, Shelf::Tools, Shelf::Reports];
