//! A compiled script, with the text that its errors point into.

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
    /// What it imports in place of today's modules.
    pub(super) then: Modules,
}

impl Script {
    /// The file as people know it.
    pub fn file(&self) -> &Rc<str> {
        &self.file
    }

    /// The source.
    pub fn source(&self) -> &Rc<str> {
        &self.source
    }

    /// The same script, importing these texts in place of today's modules of their names.
    #[must_use]
    pub fn importing(self, then: Modules) -> Script {
        Script { then, ..self }
    }

    pub(super) fn error(&self, mark: Mark, message: impl AsRef<str>, hint: impl AsRef<str>) -> ScriptError {
        ScriptError::new(&self.file, &self.source, mark, message.as_ref(), hint.as_ref())
    }

    /// Faults that were found in what the script declares, as errors of it.
    pub(super) fn in_script(&self, faults: Vec<RecipeFault>) -> Vec<ScriptError> {
        faults.into_iter().map(|fault| ScriptError::from_fault(&self.file, &self.source, fault)).collect()
    }
}
