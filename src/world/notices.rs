//! What a person should hear once about a script or a log that is used all the same.

use std::collections::BTreeSet;

use super::changes::Changes;

/// Something that a person should hear about a script or a log although it is used all the same.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Notice {
    /// What there is to say.
    pub text: String,
    /// What changed, where that is known.
    pub changes: Changes,
}

/// What stands in the place of a shelf for a report on a log.
pub(super) const LOGS: &str = "log";

/// What is to be said, and of which texts it was said already.
#[derive(Debug, Default)]
pub(crate) struct Reports {
    pub said: BTreeSet<(&'static str, String)>,
    pub waiting: Vec<Notice>,
}
