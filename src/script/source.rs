//! What the text of a script tells before anything in it runs: what it imports, and which script version it needs.

use rhai::{AST, ASTNode, Engine, Expr, Stmt, Token};

use super::tokens::SourceText;
use crate::recipe::API_VERSION;

/// The names that a script imports, each once, in order. A name that is computed is not among them: nobody can know it.
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

/// The script version that the text asks for with `needs_api(…)`, if that is newer than the one spoken here.
///
/// Only the text is read: a script for a newer version may use words that nobody here knows, and still say so.
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
