//! The tokens of an answer: words, numbers and signs.

use std::iter::Peekable;
use std::ops::Range;
use std::str::CharIndices;

/// What a token is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum TokenKind {
    /// Digits and marks: `1,234.5`.
    Number,
    /// A number with an exponent: `1e3`.
    Exponent,
    /// A one-character fraction: `½`.
    Vulgar(u8, u8),
    /// Letters, and a full stop that ends an abbreviation: `lb.`
    Word,
    /// `x`, `×` or `*`.
    Times,
    /// `+`
    Plus,
    /// `-` or the word `less`.
    Minus,
    /// `/`
    Slash,
    /// Any other character.
    Other,
}

/// A token and its byte range.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Token {
    /// What it is.
    pub kind: TokenKind,
    /// Where it stands.
    pub at: Range<usize>,
}

/// Splits a text into tokens. Every character but white space belongs to one.
pub(super) fn tokens(text: &str) -> Vec<Token> {
    let mut chars = text.char_indices().peekable();
    let mut tokens = Vec::new();
    while let Some((start, c)) = chars.next() {
        if c.is_whitespace() {
            continue;
        }
        let kind = match c {
            '0'..='9' | '.' | ',' => number(text, &mut chars),
            '+' => TokenKind::Plus,
            '-' | '−' | '–' => TokenKind::Minus,
            '×' | '*' => TokenKind::Times,
            '/' | '⁄' => TokenKind::Slash,
            _ if c.is_alphabetic() => word(text, start, &mut chars),
            _ => vulgar(c),
        };
        let end = chars.peek().map_or(text.len(), |(at, _)| *at);
        tokens.push(Token { kind, at: start..end });
    }
    tokens
}

/// The rest of a number, with its exponent if it has one.
fn number(text: &str, chars: &mut Peekable<CharIndices<'_>>) -> TokenKind {
    while chars.next_if(|(_, c)| c.is_ascii_digit() || matches!(c, '.' | ',')).is_some() {}
    let rest = chars.peek().map_or("", |(at, _)| &text[*at..]);
    let Some(exponent) = rest.strip_prefix(['e', 'E']) else { return TokenKind::Number };
    if !exponent.trim_start_matches(['+', '-']).starts_with(|c: char| c.is_ascii_digit()) {
        return TokenKind::Number;
    }
    while chars.next_if(|(_, c)| c.is_ascii_digit() || matches!(c, 'e' | 'E' | '+' | '-')).is_some() {}
    TokenKind::Exponent
}

/// The rest of a word. The full stop of an abbreviation belongs to it, the decimal mark of a following number does not.
fn word(text: &str, start: usize, chars: &mut Peekable<CharIndices<'_>>) -> TokenKind {
    while chars.next_if(|(_, c)| c.is_alphabetic()).is_some() {}
    let end = chars.peek().map_or(text.len(), |(at, _)| *at);
    if !text[end..].starts_with('.') || text[end + 1..].starts_with(|c: char| c.is_ascii_digit()) {
        return match &text[start..end] {
            "x" | "X" => TokenKind::Times,
            word if word.eq_ignore_ascii_case("less") => TokenKind::Minus,
            _ => TokenKind::Word,
        };
    }
    chars.next();
    TokenKind::Word
}

fn vulgar(c: char) -> TokenKind {
    match c {
        '½' => TokenKind::Vulgar(1, 2),
        '⅓' => TokenKind::Vulgar(1, 3),
        '⅔' => TokenKind::Vulgar(2, 3),
        '¼' => TokenKind::Vulgar(1, 4),
        '¾' => TokenKind::Vulgar(3, 4),
        '⅛' => TokenKind::Vulgar(1, 8),
        '⅜' => TokenKind::Vulgar(3, 8),
        '⅝' => TokenKind::Vulgar(5, 8),
        '⅞' => TokenKind::Vulgar(7, 8),
        _ => TokenKind::Other,
    }
}
