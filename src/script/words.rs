//! All words of the script languages: the source of hints, the reference page and tests.

use std::sync::LazyLock;

use super::unit_words::unit_words;
use super::word::Word;
use super::{bench_words, number_words, recipe_words, sheet_words, tool_words, unit_words, yard_words};

/// All words, in the order in which an author meets them. Each is defined in the file that registers it.
pub static WORDS: LazyLock<Vec<Word>> = LazyLock::new(|| {
    let tables = [
        recipe_words::WORDS,
        bench_words::WORDS,
        yard_words::WORDS,
        unit_words::WORDS,
        tool_words::WORDS,
        sheet_words::WORDS,
        number_words::WORDS,
    ];
    tables.concat()
});

/// The words with a given name.
pub(super) fn named(name: &str) -> impl Iterator<Item = &'static Word> {
    WORDS.iter().filter(move |word| word.name == name)
}

/// Whether a name belongs to the language, so that no function of a script may use it.
pub(super) fn is_taken(name: &str) -> bool {
    named(name).next().is_some() || name.strip_prefix("in_").is_some_and(|unit| unit_words().any(|word| word == unit))
}

/// The names of all words.
pub(super) fn names() -> impl Iterator<Item = &'static str> + Clone {
    WORDS.iter().map(|word| word.name)
}

#[cfg(test)]
mod tests;
