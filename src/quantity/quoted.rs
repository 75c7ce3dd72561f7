//! Typed text for messages: short, and free of anything a terminal would obey.

/// How much of a text a message repeats, in characters.
const SHOWN_CHARS: usize = 40;

/// `text` cut to its first characters, with control and invisible characters as escapes.
pub(super) fn quoted(text: &str) -> String {
    let mut shown = String::new();
    for c in text.chars().take(SHOWN_CHARS) {
        match c {
            '\'' | '"' | '\\' => shown.push(c),
            _ => shown.extend(c.escape_debug()),
        }
    }
    if text.chars().nth(SHOWN_CHARS).is_some() {
        shown.push('…');
    }
    shown
}

#[cfg(test)]
mod tests {
    use super::quoted;

    #[test]
    fn what_a_terminal_would_obey_is_written_out() {
        assert_eq!(quoted("3\u{1b}[2J"), "3\\u{1b}[2J");
        assert_eq!(quoted("3\u{202e}gk"), "3\\u{202e}gk");
        assert_eq!(quoted("3\u{9b}2J"), "3\\u{9b}2J");
        assert_eq!(quoted("bob's 1½"), "bob's 1½");
    }

    #[test]
    fn a_long_text_is_cut() {
        let shown = quoted(&"9".repeat(1000));
        assert_eq!(shown.chars().count(), 41);
        assert!(shown.ends_with('…'));
    }
}
