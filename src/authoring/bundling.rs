//! Making a bundle of a script, to pass on.

use std::collections::BTreeMap;

use super::facts::{Declared, Facts};
use crate::store::bundle::{Bundle, Contents, Kind};
use crate::store::home::Shelf;
use crate::world::{AppError, World};

impl World {
    /// A bundle of a script, shipped or the person's own, with the modules of their own that it imports and, for a recipe,
    /// its test session. `notes` is a word to whoever takes it in.
    ///
    /// # Errors
    /// There is no such script, it is at fault, goes by another id than its file, or holds what no bundle may hold.
    pub fn bundle(&self, kind: Kind, id: &str, notes: &str) -> Result<Bundle, AppError> {
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

    /// The modules that a script imports, themselves or through another, and that do not come with the program.
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
