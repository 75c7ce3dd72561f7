//! A script's tokens as the engine's lexer sees them: nothing in it runs.

use rhai::{Engine, Token};

use super::limits::MAX_SOURCE;
use super::refusal::mark_of;
use crate::recipe::Mark;

/// The text of a script, up to the length that is read.
pub(super) struct SourceText<'s>(&'s str);

impl AsRef<str> for SourceText<'_> {
    fn as_ref(&self) -> &str {
        self.0
    }
}

impl<'s> SourceText<'s> {
    /// The text, cut at the maximum length of a script.
    pub fn of(source: &'s str) -> SourceText<'s> {
        SourceText(&source[..source.floor_char_boundary(MAX_SOURCE)])
    }

    /// Its tokens, each with its start, up to the first invalid one.
    pub fn tokens<'t>(&'t self, engine: &'t Engine) -> impl Iterator<Item = (Token, Mark)> + 't {
        let (mut reader, control) = engine.lex([self]);
        // For each interpolated text, nested: the number of open braces in its current value.
        let mut braces: Vec<usize> = Vec::new();
        let next = move || {
            let (token, position) = reader.next()?;
            match &token {
                // The lexer never stops by itself: at its end it repeats the last token forever.
                Token::LexError(_) | Token::EOF => return None,
                Token::InterpolatedString(_) => braces.push(0),
                Token::LeftBrace | Token::MapStart => braces.iter_mut().last().into_iter().for_each(|open| *open += 1),
                Token::RightBrace => {
                    if let Some(open) = braces.last_mut() {
                        *open = open.saturating_sub(1);
                        if *open == 0 {
                            // Text follows again; the lexer has to be told.
                            braces.pop();
                            control.borrow_mut().is_within_text = true;
                        }
                    }
                }
                _ => {}
            }
            Some((token, mark_of(position)))
        };
        std::iter::from_fn(next).fuse()
    }

    /// The byte offset of a mark.
    pub fn offset(&self, mark: Mark) -> Option<usize> {
        let before = mark.line.checked_sub(1)?;
        let start: usize = self.0.split_inclusive('\n').take(before).map(str::len).sum();
        let within = self.0[start..].char_indices().nth(mark.column.checked_sub(1)?)?.0;
        Some(start + within)
    }
}
