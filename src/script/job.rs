//! A tool at work, as the host hands it to the words of a sheet.

use std::cell::RefCell;
use std::collections::BTreeMap;

use crate::tool::{GivenInput, PastSession, Sheet, Till};

/// What a tool works with: the answers, the yard, and the sheet that it fills.
pub(super) struct Job {
    /// Answers by key; one for every input.
    pub given: BTreeMap<String, GivenInput>,
    /// The yard in use.
    pub till: Till,
    /// Sessions of the past, oldest first; `None` for a tool that does not say that it reads them.
    pub sessions: Option<Vec<PastSession>>,
    /// What it came to so far.
    pub sheet: RefCell<Sheet>,
}
