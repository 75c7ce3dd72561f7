//! Bundles a script for passing on.

use std::collections::BTreeMap;

use super::facts::{Declared, Facts};
use crate::store::bundle::{Bundle, BundleKind, Contents};
use crate::store::home::Shelf;
use crate::world::{AppError, World};

impl World {
    /// A bundle of a script, shipped or the user's own, with the user's modules it imports and, for a recipe, its test
    /// session. `notes` is a message to the recipient.
    ///
    /// # Errors
    /// No such script, it is at fault, its id differs from its file name, or it contains what a bundle may not.
    pub fn bundle(&self, kind: BundleKind, id: &str, notes: &str) -> Result<Bundle, AppError> {
        let found = self.find(kind.shelf(), id)?;
        let script = self.script(&found)?;
        let facts = Declared::by(self, kind, &script)?.facts();
        if facts.id != id {
            let (word, other) = (kind.word(), facts.id);
            let message = format!("the {word} in {} calls itself `{other}`; give file and {word} one id", found.file());
            return Err(AppError::Refused(message));
        }
        let session = self.test_session_of(&found)?;
        let Facts { id, name, author, licence, revision, needs_api } = facts;
        let imports = self.own_imports(&found.text);
        Ok(Bundle::seal(Contents {
            kind,
            id,
            name,
            author,
            licence,
            revision,
            needs_api,
            notes: notes.to_owned(),
            source: found.text,
            session,
            imports,
        })?)
    }

    /// The modules that a script imports, directly or through others, except shipped ones.
    pub(super) fn own_imports(&self, script: &str) -> BTreeMap<String, String> {
        let modules: BTreeMap<String, String> = self.modules().into_iter().collect();
        let mut found = BTreeMap::new();
        let mut waiting = self.host().imports(script);
        while let Some(name) = waiting.pop() {
            let is_shipped = crate::world::shipped::script(Shelf::Library, &name).is_some();
            if let Some(text) = modules.get(&name).filter(|_| !is_shipped && !found.contains_key(&name)) {
                waiting.extend(self.host().imports(text));
                found.insert(name, text.clone());
            }
        }
        found
    }
}
