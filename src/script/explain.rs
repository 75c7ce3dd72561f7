//! Turns an engine error into one that an author can act on: the innermost place, the values found, a hint.

use std::collections::BTreeSet;
use std::rc::Rc;

use rhai::{EvalAltResult, ParseErrorType, Position};

use super::error::ScriptError;
use super::library::Library;
use super::refusal::{Refusal, mark_of};
use super::unit_words::unit_words;
use super::values::{kind, seen};
use super::word::Word;
use super::words::{WORDS, named, names};
use crate::naming::nearest;

/// Explains an engine error in the script that raised it.
pub(super) fn explain(file: &Rc<str>, source: &Rc<str>, library: &Library, error: &EvalAltResult) -> ScriptError {
    let (inner, position) = innermost(error);
    let (message, hint) = words_for(inner, &Vocabulary { source, library });
    ScriptError::new(file, source, mark_of(position), &message, &hint)
}

/// The error at the bottom of nested calls and modules, with the best position on the way: for an error in a module,
/// the place of the import, since the excerpt shows the importing file.
fn innermost(error: &EvalAltResult) -> (&EvalAltResult, Position) {
    match error {
        EvalAltResult::ErrorInFunctionCall(_, _, inner, position) => {
            let (inner, deeper) = innermost(inner);
            (inner, if deeper.is_none() { *position } else { deeper })
        }
        EvalAltResult::ErrorInModule(_, inner, position) => (innermost(inner).0, *position),
        other => (other, other.position()),
    }
}

/// Names that an author may have meant: words of the language, names in the script itself, library functions.
struct Vocabulary<'a> {
    source: &'a str,
    library: &'a Library,
}

/// The longest name that is compared with others.
const LONGEST: usize = 60;

impl Vocabulary<'_> {
    /// `did you mean …?`, or nothing if no known name is similar.
    fn meant(&self, name: &str) -> String {
        let name = name.rsplit("::").next().unwrap_or(name);
        let is_name = |c: char| c.is_alphanumeric() || c == '_';
        let in_source = self.source.split(|c| !is_name(c)).filter(|word| word.starts_with(char::is_alphabetic));
        let mut others: BTreeSet<&str> = in_source.collect();
        others.extend(self.library.functions());
        for name in names() {
            others.insert(name);
        }
        let others = others.into_iter().filter(|other| other.len() <= LONGEST && *other != name);
        let near = if name.len() <= LONGEST { nearest(name, others) } else { None };
        near.map_or(String::new(), |near| format!("did you mean `{near}`?"))
    }
}

fn words_for(error: &EvalAltResult, known: &Vocabulary<'_>) -> (String, String) {
    use EvalAltResult as E;
    match error {
        E::ErrorRuntime(value, _) => match value.read_lock::<Refusal>() {
            Some(refusal) => (refusal.message.clone(), refusal.hint.clone()),
            None => (format!("the script gave up: {}", seen(value)), String::new()),
        },
        E::ErrorParsing(kind, _) => parsing(kind, known),
        E::ErrorFunctionNotFound(signature, _) => unknown_call(signature, known),
        E::ErrorVariableNotFound(name, _) => unknown_name(name, known),
        E::ErrorModuleNotFound(name, _) => (format!("no library is imported as `{name}`"), known.meant(name)),
        E::ErrorPropertyNotFound(name, _) | E::ErrorDotExpr(name, _) => unknown_property(name),
        E::ErrorMismatchDataType(wanted, seen, _) => {
            (format!("{} is wanted here, not {}", kind(wanted), kind(seen)), String::new())
        }
        E::ErrorMismatchOutputType(wanted, seen, _) => {
            (format!("{} is wanted here, not {}", kind(wanted), kind(seen)), String::new())
        }
        E::ErrorTooManyModules(_) => {
            ("too many libraries are imported".into(), "import each library once, outside of loops".into())
        }
        E::ErrorTooManyVariables(_) => {
            ("too many variables are in use at once".into(), "put what belongs together into a list".into())
        }
        E::ErrorStackOverflow(_) => {
            ("functions call each other too deeply".into(), "look for a function that calls itself".into())
        }
        E::ErrorDataTooLarge(what, _) => {
            (format!("{} has grown past the limit for scripts", sized(what)), "keep texts and lists short".into())
        }
        E::ErrorDataRace(what, _) => (
            format!("`{}` works on a value that is in use", what.split('\'').nth(1).unwrap_or(what)),
            "a closure cannot change, or read again, what its caller is working on; use a copy".into(),
        ),
        other => {
            // The engine's own message, without the position that it appends: the excerpt shows it.
            let mut text = other.to_string();
            if let Some(at) = text.rfind(" (line ") {
                text.truncate(at);
            }
            (text, String::new())
        }
    }
}

fn parsing(kind: &ParseErrorType, known: &Vocabulary<'_>) -> (String, String) {
    use ParseErrorType as P;
    match kind {
        P::VariableUndefined(name) => unknown_name(name, known),
        P::LiteralTooLarge(what, most) => {
            (format!("{} written out here has more than {most} entries", sized(what)), String::new())
        }
        P::ExprTooDeep => {
            ("the script is nested too deeply here".into(), "take it apart into several statements".into())
        }
        P::TooManyFunctions => {
            ("too many functions and closures in one script".into(), "put what they share into one function".into())
        }
        P::Reserved(name) if name.starts_with("__") => {
            (format!("`{name}` belongs to the program"), "use a name without leading underscores".into())
        }
        P::BadInput(rhai::LexError::ImproperSymbol(symbol, _)) | P::Reserved(symbol) => {
            (format!("`{symbol}` cannot be used in a script"), String::new())
        }
        P::MissingToken(token, _) if token == ";" => {
            ("a `;` is missing between two statements".into(), "end the statement before this place with `;`".into())
        }
        other => (other.to_string(), String::new()),
    }
}

fn unknown_name(name: &str, known: &Vocabulary<'_>) -> (String, String) {
    match named(name).next() {
        Some(word) => {
            (format!("`{name}` is a word of the language, no value"), format!("write {name}({})", word.takes))
        }
        None => (format!("`{name}` is not defined"), known.meant(name)),
    }
}

/// Translates the engine's name of a size limit for authors.
fn sized(what: &str) -> &str {
    match what {
        "Length of string" => "a text",
        "Size of array/BLOB" | "Size of array literal" => "a list",
        "Size of object map" | "Size of object map literal" | "Number of properties in object map literal" => "a map",
        other => other,
    }
}

/// An unknown property is usually a unit that does not exist.
fn unknown_property(text: &str) -> (String, String) {
    let name = text.split('\'').nth(1).or_else(|| text.split_whitespace().next_back()).unwrap_or(text);
    let hint = match nearest(name, unit_words()) {
        Some(unit) => format!("did you mean the unit `.{unit}`?"),
        None => format!("units are .{}", unit_words().collect::<Vec<_>>().join(" .")),
    };
    (format!("there is no unit or property `{name}` here"), hint)
}

/// Parses `name (type, type)`, the engine's notation for a call of an unknown function.
fn unknown_call(signature: &str, vocabulary: &Vocabulary<'_>) -> (String, String) {
    let (name, types) = signature.split_once(" (").unwrap_or((signature, ""));
    let types: Vec<&str> = types.trim_end_matches(')').split(", ").filter(|t| !t.is_empty()).collect();
    let seen = types.iter().map(|t| kind(t)).collect::<Vec<_>>().join(", ");
    if let Some(property) = name.strip_prefix("get$") {
        return unknown_property(property);
    }
    let known: Vec<&Word> = named(name).collect();
    let receiver = types.first().map(|t| kind(t));
    match known.iter().find(|word| word.of == "script" || receiver.as_deref() == Some(word.of)) {
        Some(word) => {
            let skip = usize::from(word.of != "script");
            let given = types.iter().skip(skip).map(|t| kind(t)).collect::<Vec<_>>().join(", ");
            let bare = word.takes.contains("weight")
                && types.iter().any(|t| matches!(kind(t).as_str(), "number" | "whole number"));
            let unit = if bare { "; a weight needs its unit, such as 3.6.kg" } else { "" };
            (format!("`{name}` cannot take ({given})"), format!("write {name}({}){unit}", word.takes))
        }
        None if is_operator(name) => {
            (format!("`{name}` cannot join {seen}"), "check the units and quotes on both sides".into())
        }
        None => {
            let candidates = WORDS
                .iter()
                .filter(|word| receiver.as_deref() == Some(word.of) || (word.of == "script" && types.is_empty()))
                .map(|word| word.name);
            let hint = match nearest(name, candidates) {
                Some(word) => format!("did you mean `{word}`?"),
                None => vocabulary.meant(name),
            };
            (format!("there is no `{name}` for ({seen})"), hint)
        }
    }
}

fn is_operator(name: &str) -> bool {
    !name.chars().any(char::is_alphanumeric)
}

#[cfg(test)]
mod tests;
