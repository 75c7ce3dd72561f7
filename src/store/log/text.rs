//! String encoding of a log: one line, TOML escapes, one spelling per text.

use std::borrow::Cow;

/// Whether a character is escaped: quotes, control characters, and invisible ones that reorder or break lines on a
/// screen.
fn is_escaped(c: char) -> bool {
    matches!(c, '"' | '\\') || is_hidden(c)
}

/// Control characters, and invisible ones that reorder or break text.
fn is_hidden(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{feff}')
}

/// Appends `text` to `out` as the body of a TOML basic string.
pub(super) fn escape(text: &str, out: &mut String) {
    let mut plain = 0;
    for (at, c) in text.char_indices().filter(|(_, c)| is_escaped(*c)) {
        out.push_str(&text[plain..at]);
        plain = at + c.len_utf8();
        match c {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            '\u{8}' => out.push_str("\\b"),
            '\t' => out.push_str("\\t"),
            '\n' => out.push_str("\\n"),
            '\u{c}' => out.push_str("\\f"),
            '\r' => out.push_str("\\r"),
            _ => out.push_str(&format!("\\u{:04X}", u32::from(c))),
        }
    }
    out.push_str(&text[plain..]);
}

/// The text of an encoded string body; `None` if [`escape`] would not write it like that.
pub(super) fn unescape(inside: &str) -> Option<Cow<'_, str>> {
    // Nearly every text is plain ASCII and stands for itself.
    if inside.bytes().all(|byte| matches!(byte, b' '..=b'~') && !matches!(byte, b'"' | b'\\')) {
        return Some(Cow::Borrowed(inside));
    }
    let mut text = String::with_capacity(inside.len());
    let mut rest = inside;
    while let Some(at) = rest.find('\\') {
        text.push_str(&rest[..at]);
        let (c, after) = escaped_char(&rest[at + 1..])?;
        text.push(c);
        rest = after;
    }
    text.push_str(rest);
    let mut again = String::with_capacity(inside.len());
    escape(&text, &mut again);
    (again == inside).then_some(Cow::Owned(text))
}

/// The character of an escape and what follows it; `code` begins after the backslash.
fn escaped_char(code: &str) -> Option<(char, &str)> {
    let mut chars = code.chars();
    let c = match chars.next()? {
        '"' => '"',
        '\\' => '\\',
        'b' => '\u{8}',
        't' => '\t',
        'n' => '\n',
        'f' => '\u{c}',
        'r' => '\r',
        'u' => {
            let number = u32::from_str_radix(code.get(1..5)?, 16).ok()?;
            return Some((char::from_u32(number)?, &code[5..]));
        }
        _ => return None,
    };
    Some((c, chars.as_str()))
}

/// The longest foreign text shown in a message, in characters.
const SHOWN: usize = 60;

/// A text for a message: quoted, hidden characters escaped, a long one cut off.
pub(in crate::store) fn shown(text: &str) -> String {
    let mut out = String::from("\"");
    let clipped: String = text.chars().take(SHOWN).collect();
    escape(&clipped, &mut out);
    out.push_str(if clipped.len() < text.len() { "…\"" } else { "\"" });
    out
}

/// A text for a message, unquoted: hidden characters escaped, the rest as it is.
pub(in crate::store) fn visible(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        if is_hidden(c) {
            out.push_str(&format!("\\u{{{:x}}}", u32::from(c)));
        } else {
            out.push(c);
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn escaped(text: &str) -> String {
        let mut out = String::new();
        escape(text, &mut out);
        out
    }

    #[test]
    fn escapes_are_the_ones_of_toml() {
        let text = "a\"b\\c\n\r\t\u{8}\u{c}\u{0}\u{1b}\u{7f}\u{9b}\u{202e}é漢";
        assert_eq!(escaped(text), r#"a\"b\\c\n\r\t\b\f\u0000\u001B\u007F\u009B\u202Eé漢"#);
    }

    #[test]
    fn a_text_has_one_spelling() {
        for other in
            ["\\u0041", "\\u001b", "\\u0009", "\\e", "\\x41", "\\U0000001B", "\t", "\\", "\\u12", "\\uD800", "\""]
        {
            assert_eq!(unescape(other), None, "{other:?}");
        }
    }

    #[test]
    fn messages_show_and_do_not_obey() {
        assert_eq!(shown("\u{1b}[2J"), "\"\\u001B[2J\"");
        assert_eq!(visible("/tmp/\u{1b}]0;x\u{7}"), "/tmp/\\u{1b}]0;x\\u{7}");
        assert_eq!(shown(&"x".repeat(61)).chars().count(), 63);
    }

    proptest! {
        #[test]
        fn every_text_comes_back(text in any::<String>()) {
            let inside = escaped(&text);
            let back = unescape(&inside);
            prop_assert_eq!(back.as_deref(), Some(text.as_str()));
            let toml: toml::Table = toml::from_str(&format!("x = \"{inside}\"")).expect("valid TOML");
            prop_assert_eq!(toml["x"].as_str(), Some(text.as_str()));
        }
    }
}
