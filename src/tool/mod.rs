//! Bench tools as pure data: what a tool asks, how an answer is read, and its results.
//!
//! A tool is a script that declares its inputs and computes results from the answers. Prompts, options, completion,
//! help, JSON and tests are all generated from the declaration in this room.

mod draft;
mod figure;
mod given;
mod input;
mod measure;
mod past;
mod sheet;
mod table;
mod till;

use crate::recipe::Mark;

pub use draft::{ToolDraft, is_taken};
pub use figure::{Amount, Figure};
pub use given::{GivenInput, Rules, Value, are_numbers, value_of};
pub use input::{Input, InputKind};
pub use measure::measure;
pub use past::PastSession;
pub use sheet::{PriceUsed, RowUsed, Sheet};
pub use table::{Row, Table, TableCell, Tables};
pub use till::Till;

/// A bench tool as its script declares it.
#[derive(Debug, Clone, PartialEq)]
pub struct Tool {
    /// Its id, which becomes its command.
    pub id: String,
    /// What it does, in a line.
    pub title: String,
    /// Messages shown before the first question.
    pub says: Vec<String>,
    /// The sources of its figures.
    pub figures_from: Vec<String>,
    /// Its author; empty if not stated.
    pub author: String,
    /// The licence for passing it on; empty if not stated.
    pub licence: String,
    /// Increases with every change; 1 if not stated.
    pub revision: u32,
    /// The script API version it requires; 1 if not stated.
    pub needs_api: u32,
    /// Whether it reads past sessions, which makes it a report.
    pub reads_sessions: bool,
    /// What it asks, in order.
    pub inputs: Vec<Input>,
    /// Worked examples, which are its tests.
    pub examples: Vec<Example>,
    /// Where it is declared.
    pub mark: Mark,
}

/// A worked example: inputs and results.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Example {
    /// What it shows.
    pub title: String,
    /// Input keys with answers as one would type them.
    pub given: Vec<(String, String)>,
    /// Result keys with their values; `verdict`, `caution` and `refused` are keys as well.
    pub gives: Vec<(String, String)>,
    /// The yard whose prices are used; the first shipped one if not stated.
    pub yard: Option<String>,
    /// The sessions that a report reads here, instead of the user's.
    pub sessions: Vec<PastSession>,
    /// Where it is written.
    pub mark: Mark,
}

impl Tool {
    /// The input with that key.
    #[must_use]
    pub fn input(&self, key: &str) -> Option<&Input> {
        self.inputs.iter().find(|input| input.key == key)
    }
}
