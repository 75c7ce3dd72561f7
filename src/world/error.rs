//! What can go wrong in a use case, and what to do about it.

use std::fmt;

use crate::market::tally::TallyError;
use crate::script::ScriptError;
use crate::store::StoreError;

/// Why a use case failed.
#[derive(Debug)]
pub enum AppError {
    /// A file could not be read or written, or is damaged.
    Store(StoreError),
    /// A script is at fault; holds every fault found.
    Script(Vec<ScriptError>),
    /// A name that matches nothing, or several things.
    Name(String),
    /// A required answer is missing or invalid.
    Answer(String),
    /// The request cannot be carried out in the current state.
    Refused(String),
    /// The tally could not be computed.
    Tally(TallyError),
}

impl fmt::Display for AppError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            AppError::Store(error) => error.fmt(f),
            AppError::Script(errors) => {
                let lines: Vec<String> = errors.iter().map(ToString::to_string).collect();
                f.write_str(&lines.join("\n"))
            }
            AppError::Name(text) | AppError::Answer(text) | AppError::Refused(text) => f.write_str(text),
            AppError::Tally(error) => error.fmt(f),
        }
    }
}

impl std::error::Error for AppError {}

impl From<StoreError> for AppError {
    fn from(error: StoreError) -> AppError {
        AppError::Store(error)
    }
}

impl From<Vec<ScriptError>> for AppError {
    fn from(errors: Vec<ScriptError>) -> AppError {
        AppError::Script(errors)
    }
}

impl From<Box<ScriptError>> for AppError {
    fn from(error: Box<ScriptError>) -> AppError {
        AppError::Script(vec![*error])
    }
}

impl From<TallyError> for AppError {
    fn from(error: TallyError) -> AppError {
        AppError::Tally(error)
    }
}
