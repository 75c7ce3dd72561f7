//! Bench tools as pure data: what a tool asks, how an answer is read, and what it comes to.
//!
//! A tool is a script that declares its inputs and works out results from the answers. Prompts, options, completion,
//! help, JSON and tests are all made from the declaration in this room.

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
pub use given::{Given, Rules, Value, are_numbers, value_of};
pub use input::{Input, Kind, When};
pub use measure::{Measure, measure, measures};
pub use past::PastSession;
pub use sheet::{PriceUsed, RowUsed, Sheet};
pub use table::{Cell, Row, Table, TableError, Tables};
pub use till::Till;

/// A bench tool as its script declares it.
#[derive(Debug, Clone, PartialEq)]
pub struct Tool {
    /// Its id: the command that it becomes.
    pub id: String,
    /// What it does, in a line.
    pub title: String,
    /// What is said before the first question.
    pub says: Vec<String>,
    /// Where its figures come from.
    pub figures_from: Vec<String>,
    /// Who wrote it; empty when not said.
    pub author: String,
    /// Under which licence it may be passed on; empty when not said.
    pub licence: String,
    /// Counts up with every change; 1 when not said.
    pub revision: u32,
    /// The script version that it needs; 1 when not said.
    pub needs_api: u32,
    /// Whether it reads the sessions of the past: then it is a report.
    pub reads_sessions: bool,
    /// What it asks, in order.
    pub inputs: Vec<Input>,
    /// Worked examples, which are its tests.
    pub examples: Vec<Example>,
    /// Where it is declared.
    pub mark: Mark,
}

/// A worked example: what is given, and what comes of it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Example {
    /// What it shows.
    pub title: String,
    /// Keys of inputs with answers as one would type them.
    pub given: Vec<(String, String)>,
    /// Keys of results with what they come to; `verdict`, `caution` and `refused` are keys as well.
    pub gives: Vec<(String, String)>,
    /// The yard whose prices count; the first shipped one when not said.
    pub yard: Option<String>,
    /// The sessions that a report reads here, in place of the person's.
    pub sessions: Vec<PastSession>,
    /// Where it is written.
    pub mark: Mark,
}

impl Tool {
    /// The input of that key.
    #[must_use]
    pub fn input(&self, key: &str) -> Option<&Input> {
        self.inputs.iter().find(|input| input.key == key)
    }
}
