//! What a session runs under: the text of its recipe and of the libraries it imports. They are stored when it begins,
//! and available for as long as the session can be read.

use std::collections::BTreeMap;
use std::rc::Rc;

use serde::{Deserialize, Serialize};

use crate::bench::{Entry, Kind};
use crate::recipe::Recipe;
use crate::script::Script;
use crate::store::StoreError;
use crate::store::journal::SessionHeader;
use crate::world::shipped::modules_then;
use crate::world::{AppError, World};

/// The texts that a session ran under last.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct RanUnder {
    /// The digest of the recipe's text.
    pub recipe: String,
    /// The imported libraries and their digests, as the journal stores them; `None` if it names none.
    pub libraries: Option<String>,
    /// The program version that began the session.
    pub program: String,
}

impl RanUnder {
    /// Reads it from a journal: what the session began under, or what was reloaded since.
    pub fn of(header: &SessionHeader, entries: &[Entry]) -> RanUnder {
        let reread = entries.iter().rev().find(|entry| entry.kind == Kind::Recipe);
        let (recipe, libraries) = match reread.and_then(|entry| Some((entry.understood.clone()?, entry.origin.clone())))
        {
            Some(reread) => reread,
            None => (header.recipe_digest.clone(), header.libraries.clone()),
        };
        RanUnder { recipe, libraries, program: header.program.clone() }
    }

    /// The digests of all texts.
    pub fn digests(&self) -> impl Iterator<Item = &str> {
        std::iter::once(self.recipe.as_str()).chain(self.named().map(|(_, digest)| digest))
    }

    /// The libraries by name and digest.
    fn named(&self) -> impl Iterator<Item = (&str, &str)> {
        self.libraries.iter().flat_map(|text| text.split(", ")).filter_map(|pair| pair.split_once(' '))
    }
}

impl World {
    /// Stores copies of a recipe's text and of the libraries it imports, directly or through others. Returns the
    /// recipe's digest, and the libraries' digests in journal form.
    ///
    /// # Errors
    /// The folder cannot be written.
    pub(crate) fn keep_texts(&self, recipe: &str) -> Result<(String, Option<String>), AppError> {
        let mut found: BTreeMap<String, String> = BTreeMap::new();
        let mut waiting = self.host().imports(recipe);
        while let Some(name) = waiting.pop() {
            let Some(text) = self.host().library(&name).filter(|_| !found.contains_key(&name)) else { continue };
            waiting.extend(self.host().imports(text));
            let digest = self.home.keep_script(text)?;
            found.insert(name, digest);
        }
        let named: Vec<String> = found.into_iter().map(|(name, digest)| format!("{name} {digest}")).collect();
        let libraries = Some(named.join(", ")).filter(|text| !text.is_empty());
        Ok((self.home.keep_script(recipe)?, libraries))
    }

    /// A recipe from copies of the texts that a session ran under.
    ///
    /// # Errors
    /// [`AppError::Name`] if a copy is missing or damaged; the recipe is at fault, or a copy cannot be read.
    pub(crate) fn recipe_then(&self, recipe: &str, ran: &RanUnder) -> Result<(Script, Rc<Recipe>), AppError> {
        let text = self.text_then(&ran.recipe, &format!("the recipe {recipe}"))?;
        let modules = if ran.libraries.is_some() {
            let read = |(name, digest): (&str, &str)| {
                let text = self.text_then(digest, &format!("the library {name}"))?;
                Ok::<_, AppError>((name.to_owned(), Rc::from(text)))
            };
            Rc::new(ran.named().map(read).collect::<Result<_, _>>()?)
        } else {
            modules_then(&ran.program)
        };
        let script = self.host().open(&format!("{recipe} (kept copy)"), &text)?.importing(modules);
        let recipe = self.host().recipe(&script)?;
        Ok((script, recipe))
    }

    /// The text stored under a digest; `what` names it in the error.
    ///
    /// # Errors
    /// As [`World::recipe_then`].
    pub(crate) fn text_then(&self, digest: &str, what: &str) -> Result<String, AppError> {
        match self.home.seen_script(digest) {
            Ok(Some(text)) => Ok(text),
            Ok(None) => Err(AppError::Name(format!("no copy of {what} as it was then was kept"))),
            Err(StoreError::Content { path, what: why, .. }) => {
                Err(AppError::Name(format!("the copy of {what} as it was then is damaged: {}: {why}", path.display())))
            }
            Err(other) => Err(other.into()),
        }
    }
}
