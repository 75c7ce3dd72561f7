//! From an error of the engine to an error that an author can act on: the innermost place, the values seen, a hint.

use std::rc::Rc;

use rhai::{Dynamic, EvalAltResult, ImmutableString, ParseErrorType, Position};

use super::desk::{Refusal, mark_of};
use super::error::ScriptError;
use super::unit_words::{number, unit_words};
use super::words::{Word, named, names};
use crate::naming::{nearest, one_line, suggest};
use crate::quantity::Mass;

/// Explains an error of the engine in the script that raised it.
pub(super) fn explain(file: &Rc<str>, source: &Rc<str>, error: &EvalAltResult) -> ScriptError {
    let (inner, position) = innermost(error);
    let (message, hint) = words_for(inner);
    ScriptError::new(file, source, mark_of(position), &message, &hint)
}

/// The error at the bottom of nested calls and modules, with the best position on the way: in a module, the place of the
/// import, since the excerpt shows the importing file.
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

fn words_for(error: &EvalAltResult) -> (String, String) {
    use EvalAltResult as E;
    match error {
        E::ErrorRuntime(value, _) => match value.read_lock::<Refusal>() {
            Some(refusal) => (refusal.message.clone(), refusal.hint.clone()),
            None => (format!("the script gave up: {}", seen(value)), String::new()),
        },
        E::ErrorParsing(kind, _) => parsing(kind),
        E::ErrorFunctionNotFound(signature, _) => unknown_call(signature),
        E::ErrorVariableNotFound(name, _) => unknown_name(name),
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
        E::ErrorModuleNotFound(name, _) => (
            format!("there is no library `{name}`"),
            "libraries come with the program; a script reaches no files".into(),
        ),
        other => {
            // The engine's own sentence, without the place that it appends: the excerpt shows it.
            let mut text = other.to_string();
            if let Some(at) = text.rfind(" (line ") {
                text.truncate(at);
            }
            (text, String::new())
        }
    }
}

fn parsing(kind: &ParseErrorType) -> (String, String) {
    use ParseErrorType as P;
    match kind {
        P::VariableUndefined(name) => unknown_name(name),
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

fn unknown_name(name: &str) -> (String, String) {
    match named(name).next() {
        Some(word) => {
            (format!("`{name}` is a word of the language, no value"), format!("write {name}({})", word.takes))
        }
        None => (format!("`{name}` is not defined"), suggest(name, names())),
    }
}

/// What the engine calls a size, in an author's words.
fn sized(what: &str) -> &str {
    match what {
        "Length of string" => "a text",
        "Size of array/BLOB" | "Size of array literal" => "a list",
        "Size of object map" | "Size of object map literal" | "Number of properties in object map literal" => "a map",
        other => other,
    }
}

/// A unit that does not exist is by far the commonest unknown property.
fn unknown_property(text: &str) -> (String, String) {
    let name = text.split('\'').nth(1).or_else(|| text.split_whitespace().next_back()).unwrap_or(text);
    let hint = match nearest(name, unit_words()) {
        Some(unit) => format!("did you mean the unit `.{unit}`?"),
        None => "units are .g .kg .t .lb .oz .ozt .dwt .gr .st .short_ton .long_ton".into(),
    };
    (format!("there is no unit or property `{name}` here"), hint)
}

/// `name (type, type)` as the engine writes a call that it knows no function for.
fn unknown_call(signature: &str) -> (String, String) {
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
            let candidates = super::words::WORDS
                .iter()
                .filter(|word| receiver.as_deref() == Some(word.of) || (word.of == "script" && types.is_empty()))
                .map(|word| word.name);
            let hint = match nearest(name, candidates).or_else(|| nearest(name, names())) {
                Some(word) => format!("did you mean `{word}`?"),
                None => String::new(),
            };
            (format!("there is no `{name}` for ({seen})"), hint)
        }
    }
}

fn is_operator(name: &str) -> bool {
    !name.chars().any(char::is_alphanumeric)
}

/// A value as an author would recognise it: what it says when it is short and plain, else what kind of thing it is. Never
/// descends into a value: closures can hold each other in circles.
pub(super) fn seen(value: &Dynamic) -> String {
    if let Some(text) = value.read_lock::<ImmutableString>() {
        return one_line(&text, 200);
    }
    if let Some(mass) = value.read_lock::<Mass>() {
        return mass.to_string();
    }
    match number(value) {
        Some(number) => number.to_string(),
        None if value.is_bool() || value.is_char() => value.to_string(),
        None if value.is_unit() => "nothing".to_owned(),
        None => format!("a {}", kind(value.type_name())),
    }
}

/// What an author calls a type of the engine.
fn kind(name: &str) -> String {
    match name.trim_start_matches("&mut ").trim() {
        "i64" | "int" => "whole number",
        "decimal" | "Decimal" | "rust_decimal::Decimal" => "number",
        "string" | "&str" | "ImmutableString" | "String" | "&str | ImmutableString | String" => "text",
        "array" | "Array" => "list",
        "Fn" | "FnPtr" => "closure",
        "()" => "nothing",
        "bool" => "true or false",
        "map" | "Map" => "map",
        // Types of the program by their Rust paths.
        other => match other.rsplit("::").next().unwrap_or(other) {
            "StepHandle" => "step",
            "UnitHandle" => "unit",
            "BenchHandle" => "bench",
            "YardHandle" => "yard",
            "OfferHandle" => "price",
            "Mass" => "weight",
            "Range" => "weight range",
            "Verdict" => "verdict",
            last => last,
        },
    }
    .to_owned()
}
