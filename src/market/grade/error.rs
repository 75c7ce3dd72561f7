//! Why a grade list was rejected.

use thiserror::Error;

/// Why a grade list was rejected. Each names the entry and what to change.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum GradeError {
    /// Invalid TOML, or an entry with a missing, unknown or wrongly typed field; the message has line and column.
    #[error("the grade list cannot be read: {0}")]
    Syntax(String),
    /// A malformed id: a sentence with the id.
    #[error("a grade: {0}")]
    BadId(String),
    /// Two entries with one id.
    #[error("grade `{0}` is listed twice: remove or rename one")]
    Duplicate(String),
    /// A parent that is not in the list.
    #[error("grade `{id}` names `{parent}` as its parent, which is not in the list{}", did_you_mean(.nearest))]
    MissingParent {
        /// The entry.
        id: String,
        /// The parent that it names.
        parent: String,
        /// A similar listed id.
        nearest: Option<String>,
    },
    /// A grade that is to replace the hazards of its wider classes but has none.
    #[error(
        "grade `{0}` has `own_hazards` and no `hazards` to put in place of its parent's: give them, or take it off"
    )]
    NoHazards(String),
    /// The next waste code without its first day, or the day without the code.
    #[error("grade `{0}` has one of `waste_code_next` and `waste_code_next_from` without the other: give both or none")]
    HalfWasteCode(String),
    /// A grade that is its own ancestor.
    #[error("grades go round in a circle: {}", .0.join(" → "))]
    Cycle(
        /// The ids in order, the first repeated at the end.
        Vec<String>,
    ),
}

/// `; did you mean `x`?` if there is a suggestion.
pub(crate) fn did_you_mean(nearest: &Option<String>) -> String {
    nearest.as_ref().map_or_else(String::new, |id| format!("; did you mean `{id}`?"))
}
