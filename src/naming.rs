//! What names may look like, and which name was meant.

mod listing;

use std::fmt::Display;

pub use listing::{Listed, Listing};

/// The known word most similar to `word`, if one is close enough to be a slip.
pub fn nearest<'a>(word: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let long = word.chars().count();
    // The edit distance is at least the difference in length, so a name of thousands of letters is compared with none.
    let within = |distance: usize, candidate: &str| distance <= 1 + candidate.chars().count() / 4;
    known
        .into_iter()
        .filter(|candidate| within(long.abs_diff(candidate.chars().count()), candidate))
        .map(|candidate| (strsim::damerau_levenshtein(word, candidate), candidate))
        .filter(|(distance, candidate)| within(*distance, candidate))
        .min()
        .map(|(_, candidate)| candidate)
}

/// `did you mean …?`, or a list of the first dozen names: the hint for every unknown name.
pub fn suggest<'a>(word: &str, known: impl Iterator<Item = &'a str> + Clone) -> String {
    match nearest(word, known.clone()) {
        Some(candidate) => format!("did you mean `{candidate}`?"),
        None => {
            let names: Vec<_> = known.take(12).collect();
            if names.is_empty() { "none is declared".into() } else { format!("there is {}", names.join(", ")) }
        }
    }
}

/// A count with its noun, for plurals in `s`: `1 lot`, `3 lots`.
pub fn counted<N: Display + PartialEq + From<u8>>(count: N, thing: &str) -> String {
    format!("{count} {thing}{}", if count == N::from(1) { "" } else { "s" })
}

/// Whether a character is invisible, or could drive a terminal, reorder a line or hide in it: control characters (C0,
/// DEL, C1), bidirectional marks, embeddings, overrides and isolates, zero-width and invisible characters, line and
/// paragraph separators, annotation and tag characters, fillers, variation selectors.
pub fn is_unsafe(c: char) -> bool {
    c.is_control()
        || matches!(c,
            '\u{ad}' | '\u{34f}' | '\u{61c}' | '\u{115f}' | '\u{1160}' | '\u{17b4}' | '\u{17b5}' | '\u{180b}'..='\u{180f}'
            | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{206f}' | '\u{2800}' | '\u{3164}'
            | '\u{fe00}'..='\u{fe0f}' | '\u{feff}' | '\u{ffa0}' | '\u{fff0}'..='\u{fffb}' | '\u{1bca0}'..='\u{1bca3}'
            | '\u{1d173}'..='\u{1d17a}' | '\u{e0000}'..='\u{e0fff}')
}

/// The first character of a text that [`is_unsafe`], except line feeds, with its position from 1.
pub fn first_unsafe(text: &str) -> Option<(usize, char)> {
    text.chars().enumerate().find(|(_, c)| is_unsafe(*c) && *c != '\n').map(|(at, c)| (at + 1, c))
}

/// Checks a text by someone else before it is shown: at most `most` characters, all visible.
///
/// # Errors
/// A message with `what` the text is, and what is wrong with it.
pub fn showable(what: &str, text: &str, most: usize) -> Result<(), String> {
    let length = text.chars().count();
    if length > most {
        return Err(format!("{what} has {length} characters; at most {most} are shown"));
    }
    match first_unsafe(text) {
        Some((at, c)) => {
            Err(format!("{what} has a hidden character, U+{:04X}, at place {at}; take it out", u32::from(c)))
        }
        None => Ok(()),
    }
}

/// A text as one line of at most `most` characters: invisible characters become escapes, a longer text ends in `…`.
pub fn one_line(text: &str, most: usize) -> String {
    let mut line: String = text.chars().take(most).fold(String::new(), |mut line, c| {
        if is_unsafe(c) {
            line.extend(c.escape_unicode())
        } else {
            line.push(c)
        }
        line
    });
    if text.chars().nth(most).is_some() {
        line.push('…');
    }
    line
}

/// Validates an id; the rules are the same for recipes, steps and yards.
///
/// # Errors
/// A message with the id and the rules.
pub fn well_formed_id(id: &str) -> Result<(), String> {
    let fits = (1..=60).contains(&id.len())
        && id.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-')
        && !id.starts_with('-')
        && !id.ends_with('-');
    fits.then_some(()).ok_or_else(|| {
        format!(
            "the id `{}` must be 1 to 60 lower-case letters, digits and single hyphens, such as `main-board`",
            one_line(id, 80)
        )
    })
}

/// An id made from a title: lower case, with hyphens for everything else.
pub fn id_of_title(title: &str) -> String {
    let mut id = String::new();
    for c in title.chars() {
        match c.to_ascii_lowercase() {
            c if c.is_ascii_alphanumeric() => id.push(c),
            _ if !id.ends_with('-') && !id.is_empty() => id.push('-'),
            _ => {}
        }
        if id.len() >= 60 {
            break;
        }
    }
    id.trim_end_matches('-').to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slip_is_recognised_and_a_stranger_is_not() {
        let known = ["copper-1", "copper-2", "steel-light"];
        assert_eq!(nearest("coper-2", known), Some("copper-2"));
        assert_eq!(nearest("steel-lihgt", known), Some("steel-light"));
        assert_eq!(nearest("brass", known), None);
    }

    #[test]
    fn hidden_and_endless_texts_are_named() {
        assert!(showable("the title", "Ofen für 2 \n Zeilen", 60).is_ok());
        for c in ['\u{1b}', '\u{9b}', '\u{202e}', '\u{200b}', '\u{7f}', '\t', '\u{e0041}'] {
            let said = showable("the title", &format!("ab{c}"), 60).unwrap_err();
            assert!(said.contains("at place 3") && !said.contains(c), "{said:?}");
        }
        assert!(showable("the title", "abc", 2).unwrap_err().contains("3 characters"));
        assert_eq!(one_line("a\nb\u{1b}c", 3), "a\\u{a}b…");
    }

    #[test]
    fn titles_become_ids() {
        assert_eq!(id_of_title("Take the main board!"), "take-the-main-board");
        assert_eq!(id_of_title("  ° "), "");
        assert!(well_formed_id(&id_of_title("Press out the windings")).is_ok());
    }

    #[test]
    fn ids_are_plain() {
        for bad in ["", "Upper", "-lead", "trail-", "a/b", "..", "a b", "ü"] {
            assert!(well_formed_id(bad).is_err(), "{bad:?}");
        }
    }
}
