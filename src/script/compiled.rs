//! A compiled script, with its source text for error excerpts.

use std::rc::Rc;

use rhai::AST;

use super::error::ScriptError;
use super::library::Modules;
use crate::recipe::{Mark, RecipeFault};

/// A compiled script.
#[derive(Clone)]
pub struct Script {
    pub(super) file: Rc<str>,
    pub(super) source: Rc<str>,
    pub(super) declares: AST,
    pub(super) runs: AST,
    /// Module texts that it imports instead of the current modules.
    pub(super) then: Modules,
}

impl Script {
    /// The file name shown to users.
    pub fn file(&self) -> &Rc<str> {
        &self.file
    }

    /// The source.
    pub fn source(&self) -> &Rc<str> {
        &self.source
    }

    /// The same script, importing these texts instead of the current modules of the same names.
    #[must_use]
    pub fn importing(self, then: Modules) -> Script {
        Script { then, ..self }
    }

    pub(super) fn error(&self, mark: Mark, message: impl AsRef<str>, hint: impl AsRef<str>) -> ScriptError {
        ScriptError::new(&self.file, &self.source, mark, message.as_ref(), hint.as_ref())
    }

    /// Converts faults in the script's declarations to errors of the script.
    pub(super) fn in_script(&self, faults: Vec<RecipeFault>) -> Vec<ScriptError> {
        faults.into_iter().map(|fault| ScriptError::from_fault(&self.file, &self.source, fault)).collect()
    }
}
