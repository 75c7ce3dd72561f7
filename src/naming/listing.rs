//! Finds a list entry by name or description.

/// One entry of a [`Listing`].
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Listed {
    /// Its id.
    pub id: String,
    /// What it is called.
    pub name: String,
    /// Other names, as people say them.
    pub also: Vec<String>,
    /// What it looks like, or where it occurs.
    pub looks: String,
}

/// A list searchable by description.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Listing {
    what: &'static str,
    entries: Vec<Listed>,
    /// For each entry the words of its names, and those of its looks.
    words: Vec<(Vec<String>, Vec<String>)>,
}

/// Stop words.
const EMPTY: [&str; 14] = ["a", "an", "the", "of", "with", "and", "or", "is", "it", "in", "on", "from", "to", "some"];

impl Listing {
    /// A list of entries; `what` names one of them, such as `grade`.
    pub fn new(what: &'static str, entries: Vec<Listed>) -> Listing {
        let of = |entry: &Listed| {
            let called = format!("{} {} {}", entry.id, entry.name, entry.also.join(" "));
            (words(&called).collect(), words(&entry.looks).collect())
        };
        let words = entries.iter().map(of).collect();
        Listing { what, entries, words }
    }

    /// The noun for an entry.
    pub fn what(&self) -> &'static str {
        self.what
    }

    /// All entries in order.
    pub fn entries(&self) -> &[Listed] {
        &self.entries
    }

    /// The entry with exactly this id, name or other name, ignoring case.
    pub fn exactly(&self, text: &str) -> Option<&Listed> {
        let text = text.trim();
        let is = |known: &str| known.to_lowercase() == text.to_lowercase();
        let by_id = self.entries.iter().find(|entry| is(&entry.id));
        let mut by_name = self.entries.iter().filter(|entry| is(&entry.name) || entry.also.iter().any(|name| is(name)));
        by_id.or_else(|| by_name.next().filter(|_| by_name.next().is_none()))
    }

    /// Entries that match a description, best first: those with every word, in any order; if there are none, those with
    /// at least half of the words. A word counts more in a name than in the looks, and a one-letter slip is forgiven in
    /// a word of five or more letters.
    pub fn find(&self, description: &str) -> Vec<&Listed> {
        let ranked = self.ranked(description, true);
        let fewest = ranked.iter().map(|(missed, _)| *missed).min().unwrap_or_default();
        ranked.into_iter().filter(|(missed, _)| fewest > 0 || *missed == 0).map(|(_, entry)| entry).collect()
    }

    /// Entries with every word, forgiving no slips, best first. Hyphenated input is taken as an id.
    pub fn with_all(&self, words: &str) -> Vec<&Listed> {
        let text = words.to_lowercase();
        let is_id = |entry: &Listed| text.split_whitespace().all(|word| !word.contains('-') || entry.id.contains(word));
        let ranked = self.ranked(words, false);
        let all = ranked.into_iter().filter(|(missed, entry)| *missed == 0 && is_id(entry));
        all.map(|(_, entry)| entry).collect()
    }

    /// Entries with at least half of the words, and how many words each lacks, best first.
    fn ranked(&self, description: &str, forgiving: bool) -> Vec<(usize, &Listed)> {
        let wanted: Vec<String> = words(description).collect();
        let mut found: Vec<(usize, usize, &Listed)> = Vec::new();
        for (entry, (called, looks)) in self.entries.iter().zip(&self.words) {
            let scores: Vec<usize> = wanted.iter().map(|word| score(word, called, looks, forgiving)).collect();
            let missed = scores.iter().filter(|score| **score == 0).count();
            if missed * 2 <= wanted.len() && missed < wanted.len() {
                found.push((missed, scores.iter().sum(), entry));
            }
        }
        found.sort_by_key(|(missed, score, _)| (*missed, std::cmp::Reverse(*score)));
        found.into_iter().map(|(missed, _, entry)| (missed, entry)).collect()
    }
}

/// The significant words of a text, in lower case and without a plural `s`.
fn words(text: &str) -> impl Iterator<Item = String> {
    let text = text.to_lowercase();
    let split: Vec<String> = text.split(|c: char| !c.is_alphanumeric()).map(str::to_owned).collect();
    split.into_iter().filter(|word| !word.is_empty() && !EMPTY.contains(&word.as_str())).map(|word| {
        match word.strip_suffix('s') {
            Some(stem) if stem.chars().count() > 2 && !stem.ends_with('s') => stem.to_owned(),
            _ => word,
        }
    })
}

/// How well a word matches an entry: 0 if it does not.
fn score(word: &str, called: &[String], looks: &[String], forgiving: bool) -> usize {
    let begins = |known: &String| known.starts_with(word);
    let slip = |known: &String| forgiving && word.chars().count() >= 5 && strsim::damerau_levenshtein(known, word) == 1;
    if called.iter().any(|known| known == word) {
        5
    } else if called.iter().any(begins) {
        4
    } else if looks.iter().any(begins) {
        2
    } else if called.iter().any(slip) {
        1
    } else {
        0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn listing() -> Listing {
        let entry = |id: &str, name: &str, also: &str, looks: &str| Listed {
            id: id.into(),
            name: name.into(),
            also: vec![also.into()],
            looks: looks.into(),
        };
        Listing::new(
            "grade",
            vec![
                entry("copper", "Copper, unsorted", "mixed copper", "Solder, coatings and thin sheet"),
                entry(
                    "copper-bright",
                    "Bare bright copper wire",
                    "bare bright",
                    "Shiny wire, thick enough for the yard",
                ),
                entry("brass-yellow", "Yellow brass", "taps", "Yellow castings and turnings"),
            ],
        )
    }

    fn found(text: &str) -> Vec<String> {
        listing().find(text).iter().map(|entry| entry.id.clone()).collect()
    }

    #[test]
    fn a_description_finds_the_entry_that_has_all_of_its_words() {
        assert_eq!(found("thick bare copper"), ["copper-bright"]);
        assert_eq!(found("the copper"), ["copper", "copper-bright"]);
        assert_eq!(found("casting"), ["brass-yellow"]);
    }

    #[test]
    fn where_none_has_all_words_half_of_them_will_do_and_a_slip_is_forgiven() {
        assert_eq!(found("shiny copper spoon"), ["copper-bright", "copper"][..1]);
        assert_eq!(found("coper"), ["copper", "copper-bright"]);
        assert_eq!(found("spoon"), Vec::<String>::new());
        let strictly = |text: &str| listing().with_all(text).len();
        assert_eq!((strictly("shiny copper spoon"), strictly("coper"), strictly("copper")), (0, 0, 2));
        assert_eq!(found("  "), Vec::<String>::new());
    }

    #[test]
    fn only_an_id_or_a_name_is_beyond_doubt() {
        let listing = listing();
        let exactly = |text: &str| listing.exactly(text).map(|entry| entry.id.as_str());
        assert_eq!(exactly("Copper-Bright"), Some("copper-bright"));
        assert_eq!(exactly("taps"), Some("brass-yellow"));
        assert_eq!(exactly("bright"), None);
    }
}
