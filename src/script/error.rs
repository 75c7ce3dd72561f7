//! An error in a script: where, which values, what to do.

use std::fmt;
use std::rc::Rc;

use crate::naming::one_line;
use crate::recipe::{Mark, RecipeFault};

/// An error in a script, with its source text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ScriptError {
    /// The file name shown to users.
    pub file: Rc<str>,
    /// The whole source, so that an excerpt can always be shown.
    pub source: Rc<str>,
    /// The place; line 0 for the script as a whole.
    pub mark: Mark,
    /// What is wrong, with the values found.
    pub message: String,
    /// What to do about it.
    pub hint: Option<String>,
}

/// The most characters of a message or a hint: they can quote a script, which can be long.
const MAX_WORDS: usize = 400;

impl ScriptError {
    /// Builds an error. Message and hint are each cut to one short line, whatever the script put into them.
    pub fn new(file: &Rc<str>, source: &Rc<str>, mark: Mark, message: &str, hint: &str) -> ScriptError {
        ScriptError {
            file: file.clone(),
            source: source.clone(),
            mark,
            message: one_line(message, MAX_WORDS),
            hint: (!hint.is_empty()).then(|| one_line(hint, MAX_WORDS)),
        }
    }

    /// Converts a fault found by a pure room.
    pub fn from_fault(file: &Rc<str>, source: &Rc<str>, fault: RecipeFault) -> ScriptError {
        ScriptError::new(file, source, fault.mark, &fault.message, &fault.hint)
    }
}

impl fmt::Display for ScriptError {
    /// One line: `file:line:column: message; hint`. The shell draws an excerpt instead.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.file)?;
        if self.mark.line > 0 {
            write!(f, ":{}:{}", self.mark.line, self.mark.column)?;
        }
        write!(f, ": {}", self.message)?;
        match &self.hint {
            Some(hint) => write!(f, "; {hint}"),
            None => Ok(()),
        }
    }
}

impl std::error::Error for ScriptError {}
