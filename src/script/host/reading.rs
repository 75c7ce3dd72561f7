//! Reads the text of scripts without running anything: its tokens, and the texts in quotes that its code holds.

use std::collections::BTreeSet;

use rhai::Token;

use super::Host;
use crate::recipe::Mark;
use crate::script::desk::mark_of;
use crate::script::engine::MAX_SOURCE;

impl Host {
    /// The tokens of a source as the engine's own reader sees them, up to the first that is none.
    pub(in crate::script) fn tokens(&self, source: &str) -> Vec<Token> {
        self.marked_tokens(source).into_iter().map(|(token, _)| token).collect()
    }

    /// The same with the place of each.
    pub(in crate::script) fn marked_tokens(&self, source: &str) -> Vec<(Token, Mark)> {
        let texts = [&source[..source.floor_char_boundary(MAX_SOURCE)]];
        let tokens = self.engine.lex(&texts).0.map(|(token, position)| (token, mark_of(position)));
        // The reader never stops by itself: at its end it gives the same for ever.
        tokens.take_while(|(token, _)| !matches!(token, Token::LexError(_) | Token::EOF)).collect()
    }

    /// Every text in quotes that the code of a script holds, comments left out. Of a text with values in it, its first piece.
    pub fn texts(&self, source: &str) -> BTreeSet<String> {
        let text = |token| match token {
            Token::StringConstant(text) | Token::InterpolatedString(text) => Some(text.to_string()),
            _ => None,
        };
        self.tokens(source).into_iter().filter_map(text).collect()
    }

    /// Every text in quotes that the code of any library holds.
    pub fn library_texts(&self) -> BTreeSet<String> {
        self.desk.library.sources().flat_map(|source| self.texts(source)).collect()
    }
}
