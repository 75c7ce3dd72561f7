//! Finding an entry of a list by what it is called or looks like.

/// One entry of a [`Listing`].
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Listed {
    /// Its id.
    pub id: String,
    /// What it is called.
    pub name: String,
    /// Other names, each as people say it.
    pub also: Vec<String>,
    /// What it looks like, or where it is met.
    pub looks: String,
}

/// A list whose entries are found by description.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Listing {
    what: &'static str,
    entries: Vec<Listed>,
    /// For each entry the words that it is called by, and those of its looks.
    words: Vec<(Vec<String>, Vec<String>)>,
}

/// Words that tell nothing.
const EMPTY: [&str; 14] = ["a", "an", "the", "of", "with", "and", "or", "is", "it", "in", "on", "from", "to", "some"];

impl Listing {
    /// A list of entries; `what` one of them is, such as `grade`.
    pub fn new(what: &'static str, entries: Vec<Listed>) -> Listing {
        let of = |entry: &Listed| {
            let called = format!("{} {} {}", entry.id, entry.name, entry.also.join(" "));
            (words(&called).collect(), words(&entry.looks).collect())
        };
        let words = entries.iter().map(of).collect();
        Listing { what, entries, words }
    }

    /// What an entry of it is.
    pub fn what(&self) -> &'static str {
        self.what
    }

    /// All entries in their order.
    pub fn entries(&self) -> &[Listed] {
        &self.entries
    }

    /// The entry that is meant beyond doubt: by its id, its name or one of its other names, whatever the capitals.
    pub fn exactly(&self, text: &str) -> Option<&Listed> {
        let text = text.trim();
        let is = |known: &str| known.to_lowercase() == text.to_lowercase();
        let by_id = self.entries.iter().find(|entry| is(&entry.id));
        let mut by_name = self.entries.iter().filter(|entry| is(&entry.name) || entry.also.iter().any(|name| is(name)));
        by_id.or_else(|| by_name.next().filter(|_| by_name.next().is_none()))
    }

    /// Entries that fit a description, the best first. Those in which every word is found, in any order; where there is
    /// none, those in which at least half of the words are. A word counts more in what the entry is called than in its
    /// looks, and a slip of one letter is forgiven in a word of five.
    pub fn find(&self, description: &str) -> Vec<&Listed> {
        let ranked = self.ranked(description, true);
        let fewest = ranked.iter().map(|(missed, _)| *missed).min().unwrap_or_default();
        ranked.into_iter().filter(|(missed, _)| fewest > 0 || *missed == 0).map(|(_, entry)| entry).collect()
    }

    /// Entries in which every word is found as it is written, the best first. What is written with hyphens is meant for
    /// an id.
    pub fn with_all(&self, words: &str) -> Vec<&Listed> {
        let text = words.to_lowercase();
        let is_id = |entry: &Listed| text.split_whitespace().all(|word| !word.contains('-') || entry.id.contains(word));
        let ranked = self.ranked(words, false);
        let all = ranked.into_iter().filter(|(missed, entry)| *missed == 0 && is_id(entry));
        all.map(|(_, entry)| entry).collect()
    }

    /// Entries with at least half of the words, and how many of these each lacks, the best first.
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

/// The words of a text that tell something, in small letters and without the `s` of a plural.
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

/// How well a word fits an entry: 0 when it is nowhere.
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
