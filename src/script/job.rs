//! A running tool, as the host passes it to the sheet words.

use std::cell::RefCell;
use std::collections::BTreeMap;

use crate::tool::{GivenInput, PastSession, Sheet, Till};

/// What a tool works with: the answers, the yard, and the sheet that it fills.
pub(super) struct Job {
    /// Answers by key; one for every input.
    pub given: BTreeMap<String, GivenInput>,
    /// The yard in use.
    pub till: Till,
    /// Past sessions, oldest first; `None` for a tool that does not declare that it reads them.
    pub sessions: Option<Vec<PastSession>>,
    /// Its results so far.
    pub sheet: RefCell<Sheet>,
}
