//! What a script's text tells before it runs: its imports, and the API version that it needs.

use rhai::{AST, ASTNode, Engine, Expr, Stmt, Token};

use super::tokens::SourceText;
use crate::recipe::API_VERSION;

/// The names that a script imports, each once, in order. Computed names are not included: they cannot be known.
pub(super) fn imports(ast: &AST) -> Vec<String> {
    let mut names = Vec::new();
    ast.walk(&mut |path: &[ASTNode]| {
        if let Some(ASTNode::Stmt(Stmt::Import(import, _))) = path.last()
            && let Expr::StringConstant(name, _) = &import.0
            && !names.iter().any(|known| known == name.as_str())
        {
            names.push(name.to_string());
        }
        true
    });
    names
}

/// The API version that the text asks for with `needs_api(…)`, if it is newer than this program's.
///
/// Only the text is read: a script for a newer version may use unknown words and still state its version.
pub(super) fn needs_newer(engine: &Engine, source: &str) -> Option<u32> {
    let text = SourceText::of(source);
    let tokens = text.tokens(engine).map(|(token, _)| token);
    let mut tokens =
        tokens.skip_while(|token| !matches!(token, Token::Identifier(name) if name.as_str() == "needs_api"));
    match (tokens.nth(1), tokens.next()) {
        (Some(Token::LeftParen), Some(Token::IntegerConstant(version))) => {
            u32::try_from(version).ok().filter(|version| *version > API_VERSION)
        }
        _ => None,
    }
}
