//! Pins: which texts were adopted from others, and the digest of each at that time.
//!
//! `pinned.toml` has a table per text, sorted: `[recipes.heat-gun]` with `adopted` (when), `bundle` (the bundle's
//! digest) and `script` (the text's own). The text itself is stored in `scripts-seen`. Removing a table ends its pin.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::PathBuf;

use serde::Deserialize;

use super::{Home, Shelf};
use crate::store::bundle::Bundle;
use crate::store::digest::digest;
use crate::store::error::StoreError;
use crate::store::files;
use crate::store::log::moment::check_instant;
use crate::store::log::text::shown;
use crate::store::name::Id;
use crate::store::toml_text::{fault, line_at};

/// The largest pins file, in bytes.
const MAX_FILE: u64 = 1024 * 1024;
const FORMAT: &str = "knockdown-pins";
const VERSION: u32 = 1;
/// Number of digits in a text's digest.
const DIGEST_DIGITS: usize = 64;

/// The pin of an adopted text.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Pin {
    /// When it was adopted.
    pub adopted: String,
    /// The digest of the bundle it came in.
    pub bundle: String,
    /// The digest of the text.
    pub script: String,
}

/// All pins: by folder, then by name.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Pins(BTreeMap<String, BTreeMap<String, Pin>>);

#[derive(Deserialize)]
struct PinFile {
    format: String,
    version: u32,
    #[serde(flatten)]
    shelves: BTreeMap<String, BTreeMap<String, Pin>>,
}

impl Pins {
    /// A text's pin.
    #[must_use]
    pub fn get(&self, shelf: Shelf, id: &str) -> Option<&Pin> {
        self.0.get(shelf.folder())?.get(id)
    }

    /// All of them: folder, id, pin.
    pub fn iter(&self) -> impl Iterator<Item = (Shelf, &str, &Pin)> {
        let of_folder = |shelf: Shelf| {
            let pins = self.0.get(shelf.folder()).into_iter().flatten();
            pins.map(move |(id, pin)| (shelf, id.as_str(), pin))
        };
        Shelf::ALL.into_iter().flat_map(of_folder)
    }

    /// What is wrong with a pin: a name or value that the program never writes.
    fn flaw(folder: &str, id: &str, pin: &Pin) -> Option<String> {
        let is_digest = |text: &str| {
            text.len() == DIGEST_DIGITS && text.bytes().all(|b| b.is_ascii_digit() || (b'a'..=b'f').contains(&b))
        };
        let name = || format!("the pin {}", shown(&format!("{folder}.{id}")));
        if Shelf::ALL.iter().all(|shelf| shelf.folder() != folder) {
            return Some(format!("{} is in no folder of scripts", name()));
        }
        if let Err(error) = Id::new(id) {
            return Some(format!("{}: {error}", name()));
        }
        if let Err(wrong) = check_instant(0, &pin.adopted) {
            return Some(format!("{}: `adopted` {}", name(), wrong.why));
        }
        let [bundle, script] = [("bundle", &pin.bundle), ("script", &pin.script)];
        let (key, value) = [bundle, script].into_iter().find(|(_, value)| !is_digest(value))?;
        Some(format!("{}: `{key}` is {}, which is no digest of {DIGEST_DIGITS} digits", name(), shown(value)))
    }

    fn set(&mut self, shelf: Shelf, id: &str, pin: Pin) {
        self.0.entry(shelf.folder().to_owned()).or_default().insert(id.to_owned(), pin);
    }

    fn text(&self) -> String {
        let mut text = format!(
            "# Texts taken over from others, with their digests then. A text that has changed since is reported when it is used;\n\
             # take its table out to end that.\nformat = \"{FORMAT}\"\nversion = {VERSION}\n"
        );
        for (folder, pins) in &self.0 {
            for (id, Pin { adopted, bundle, script }) in pins {
                // Writing to a string cannot fail. Every value is a digest, an id or a time, so nothing needs escaping.
                let _ = write!(
                    text,
                    "\n[{folder}.{id}]\nadopted = \"{adopted}\"\nbundle = \"{bundle}\"\nscript = \"{script}\"\n"
                );
            }
        }
        text
    }
}

/// The line where a text begins, from 1; 1 if it is not found.
fn line_of(text: &str, wanted: &str) -> usize {
    text.find(wanted).map_or(1, |at| line_at(text, at))
}

impl Home {
    /// The path of the pins.
    #[must_use]
    pub fn pins_file(&self) -> PathBuf {
        self.root.join("pinned.toml")
    }

    /// The pins; none if there is no such file.
    ///
    /// # Errors
    /// [`StoreError::Content`] with the line if it is not a pins file; [`StoreError::Newer`]; as for
    /// [`files::read_text`].
    pub fn pins(&self) -> Result<Pins, StoreError> {
        let path = self.pins_file();
        let text = match files::read_text(self.disk.as_ref(), &path, MAX_FILE) {
            Err(StoreError::Missing { .. }) => return Ok(Pins::default()),
            result => result?,
        };
        let file: PinFile = toml::from_str(&text).map_err(|error| fault(&path, &text, &error))?;
        if file.format != FORMAT {
            return Err(StoreError::Foreign { path, wanted: FORMAT, seen: shown(&file.format) });
        }
        if file.version > VERSION {
            return Err(StoreError::Newer { path, version: file.version.to_string(), newest: VERSION });
        }
        if file.version < VERSION {
            let what = format!("there never was a version {} of this format", file.version);
            return Err(StoreError::Content { line: line_of(&text, "version"), path, what });
        }
        for (folder, pins) in &file.shelves {
            for (id, pin) in pins {
                if let Some(what) = Pins::flaw(folder, id, pin) {
                    let line = line_of(&text, &format!("[{folder}.{id}]"));
                    return Err(StoreError::Content { path, line, what });
                }
            }
        }
        Ok(Pins(file.shelves))
    }

    /// Adopts the texts of a bundle, pinned. The user's own texts in their place are first stored in `scripts-seen`;
    /// returns the digests of those replaced. The pin is written before the text, so that a crash leaves no stranger's
    /// text without its pin.
    ///
    /// # Errors
    /// As for [`Home::lock`], [`Home::pins`], [`Home::keep_script`] and [`files::replace`].
    pub fn adopt(&self, bundle: &Bundle, now: &str) -> Result<Vec<String>, StoreError> {
        let _lock = self.lock(now)?;
        let shelf = bundle.kind.shelf();
        let modules = bundle.imports.iter().map(|(name, text)| (Shelf::Library, name, text));
        let texts: Vec<_> = modules.chain([(shelf, &bundle.id, &bundle.source)]).collect();
        let mut pins = self.pins()?;
        let mut replaced = Vec::new();
        for (shelf, id, text) in &texts {
            if let Some(old) = self.script(*shelf, &Id::new(id)?)?.filter(|old| old != *text) {
                replaced.push(self.keep_script(&old)?);
            }
            self.keep_script(text)?;
            let pin =
                Pin { adopted: now.to_owned(), bundle: bundle.digest().to_owned(), script: digest(text.as_bytes()) };
            pins.set(*shelf, id, pin);
        }
        files::replace(self.disk.as_ref(), &self.pins_file(), pins.text().as_bytes())?;
        for (shelf, id, text) in texts {
            files::make_folders(self.disk.as_ref(), &self.root.join(shelf.folder()))?;
            files::replace(self.disk.as_ref(), &self.script_file(shelf, &Id::new(id)?), text.as_bytes())?;
        }
        if let Some(session) = &bundle.session {
            files::replace(self.disk.as_ref(), &self.test_session_file(&Id::new(&bundle.id)?), session.as_bytes())?;
        }
        Ok(replaced)
    }
}
