//! What ended sessions came to, kept so that many of them are summed quickly. All of it comes from the journals: the
//! file may be deleted at any time, and nothing in it counts unless the journal has the digest that it was made from.
//!
//! The first line says what the file is and by which version of the program it was made; another version makes it
//! anew. Every other line is a session's name, the SHA-256 of its journal, the SHA-256 of the rest of the line, and
//! that rest.

use std::collections::BTreeMap;
use std::path::PathBuf;

use super::Home;
use crate::store::digest::digest;
use crate::store::error::StoreError;
use crate::store::files;

/// The largest file that is read, in bytes: about that of thirty thousand sessions of thirty parts. A larger one is as
/// if it were not there.
const MOST: u64 = 256 * 1024 * 1024;

/// The first line. The number goes up whenever a line says something else, or comes about otherwise.
const HEAD: &str = concat!(
    "# What ended sessions came to (1), made from their journals by knockdown ",
    env!("CARGO_PKG_VERSION"),
    ". Deleting this file loses nothing."
);

/// Results of sessions by name.
#[derive(Debug, Clone, Default)]
pub struct Results(BTreeMap<String, (String, String)>);

impl Results {
    fn parse(text: &str) -> Results {
        let mut lines = text.lines();
        if lines.next() != Some(HEAD) {
            return Results::default();
        }
        let line = |line: &str| {
            let mut words = line.splitn(4, ' ');
            let (id, journal, seal, result) = (words.next()?, words.next()?, words.next()?, words.next()?);
            (digest(result.as_bytes()) == seal).then(|| (id.to_owned(), (journal.to_owned(), result.to_owned())))
        };
        Results(lines.filter_map(line).collect())
    }

    fn text(&self) -> String {
        let line = |(id, (journal, result)): (&String, &(String, String))| {
            format!("{id} {journal} {} {result}\n", digest(result.as_bytes()))
        };
        std::iter::once(format!("{HEAD}\n")).chain(self.0.iter().map(line)).collect()
    }

    /// What a session came to, if it was made from the journal of this digest.
    #[must_use]
    pub fn of(&self, id: &str, journal: &str) -> Option<&str> {
        self.0.get(id).filter(|(from, _)| from == journal).map(|(_, result)| result.as_str())
    }

    /// Takes in what a session came to: one line of text.
    pub fn put(&mut self, id: &str, journal: String, result: String) {
        self.0.insert(id.to_owned(), (journal, result));
    }

    /// How many bytes it holds, names aside.
    #[must_use]
    pub fn bytes(&self) -> usize {
        self.0.values().map(|(journal, result)| journal.len() + result.len()).sum()
    }

    /// Forgets sessions that are none any more.
    pub fn retain(&mut self, is_there: impl Fn(&str) -> bool) {
        self.0.retain(|id, _| is_there(id));
    }
}

impl Home {
    /// Where results are kept.
    #[must_use]
    pub fn results_file(&self) -> PathBuf {
        self.root.join("results.txt")
    }

    /// The results that are kept; what cannot be read is as if it were not there.
    #[must_use]
    pub fn results(&self) -> Results {
        let text = files::read_text(self.disk.as_ref(), &self.results_file(), MOST);
        text.map(|text| Results::parse(&text)).unwrap_or_default()
    }

    /// Keeps results in place of those before.
    ///
    /// # Errors
    /// As for [`files::replace`]. Nothing is lost then.
    pub fn keep_results(&self, results: &Results) -> Result<(), StoreError> {
        files::replace(self.disk.as_ref(), &self.results_file(), results.text().as_bytes())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_counts_only_as_it_was_written_and_for_the_journal_that_it_was_made_from() {
        let mut results = Results::default();
        results.put("2026-11-02-lamp-1", "aa".to_owned(), "{\"unit\": \"a lamp\"}".to_owned());
        let text = results.text();
        let read = Results::parse(&text);
        assert_eq!(read.of("2026-11-02-lamp-1", "aa"), Some("{\"unit\": \"a lamp\"}"));
        assert_eq!(read.of("2026-11-02-lamp-1", "ab"), None, "another journal");
        let changed = Results::parse(&text.replace("a lamp\"", "a bulb\""));
        assert_eq!(changed.of("2026-11-02-lamp-1", "aa"), None, "a line that was changed");
        let older = Results::parse(&text.replacen(env!("CARGO_PKG_VERSION"), "0.0.1", 1));
        assert_eq!(older.of("2026-11-02-lamp-1", "aa"), None, "made by another version");
        assert_eq!(Results::parse(&text[..text.len() - 3]).of("2026-11-02-lamp-1", "aa"), None, "cut off");
    }
}
