//! A finding: what is wrong, how bad it is, where, and which answers lead to it.

use crate::bench::{Answer, Question, exact};
use crate::recipe::{Mark, RecipeFault};

/// How bad a finding is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// Worth knowing.
    Note,
    /// Probably unintended; somebody should look.
    Warning,
    /// Wrong: the script should not be used as it is.
    Error,
}

impl Severity {
    /// The word on screen and in JSON.
    pub fn word(self) -> &'static str {
        match self {
            Severity::Note => "note",
            Severity::Warning => "warning",
            Severity::Error => "error",
        }
    }
}

/// An assumed answer to one question.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Supposed {
    /// The question: `step/key`.
    pub name: String,
    /// The exact text, as in a journal.
    pub exact: String,
    /// The text a person would type, as in an answers file.
    pub typed: String,
}

impl Supposed {
    /// An answer to a question.
    pub fn new(question: &Question, answer: &Answer) -> Supposed {
        let exact = exact(question, answer);
        let typed = match answer {
            Answer::Weight(reading) => reading.net.to_string(),
            _ => exact.clone(),
        };
        Supposed { name: question.name(), exact, typed }
    }
}

/// Something found in a script.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Finding {
    /// How bad it is.
    pub severity: Severity,
    /// The rule that found it: a short name that stays the same when sentences change.
    pub rule: &'static str,
    /// The place in the script.
    pub mark: Mark,
    /// What is wrong, with the offending values.
    pub message: String,
    /// What to do about it; may be empty.
    pub hint: String,
    /// The answers that lead to it, in the order asked; empty if none are needed.
    pub answers: Vec<Supposed>,
}

impl Finding {
    /// A finding that needs no answers.
    pub fn new(
        severity: Severity,
        rule: &'static str,
        mark: Mark,
        message: impl Into<String>,
        hint: impl Into<String>,
    ) -> Finding {
        Finding { severity, rule, mark, message: message.into(), hint: hint.into(), answers: Vec::new() }
    }

    /// A fault of the script itself.
    pub fn of_fault(fault: RecipeFault) -> Finding {
        Finding::new(Severity::Error, "script", fault.mark, fault.message, fault.hint)
    }
}
