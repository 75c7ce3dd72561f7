//! Definitions of the script language for editors: the engine's own list of what is registered, cleaned up.
//!
//! From the engine come the types that closures take and, for return types, a fragment of a Rust type. Parameter names,
//! return types and descriptions come from [`WORDS`].

use std::collections::BTreeSet;
use std::fmt::Write as _;

use rhai::Engine;

use super::unit_words::unit_words;
use super::word::Word;
use super::words::WORDS;

/// The definitions in the format of Rhai's language server.
pub(super) fn definitions(engine: &Engine) -> String {
    let raw = engine.definitions().include_standard_packages(false).single_file();
    let mut text = String::from("module static;\n");
    let mut seen = BTreeSet::new();
    for line in raw.lines() {
        let Some(form) = form(line).filter(|form| seen.insert(form.head())) else { continue };
        // Writing to a string cannot fail.
        let _ = write!(text, "\n{}{}\n", form.comment(), form.head());
    }
    text
}

#[cfg(test)]
/// The names of all functions that the program has registered, without the engine's packages.
pub(super) fn registered(engine: &Engine) -> BTreeSet<String> {
    let signatures = engine.gen_fn_signatures(false);
    signatures.iter().filter_map(|signature| signature.split('(').next()).map(|name| name.trim().to_owned()).collect()
}

/// One signature of a word.
enum Form {
    Word { word: &'static Word, types: Vec<String> },
    ToWeight { unit: String, of: String },
    FromWeight { unit: String },
}

/// Parses a line of the engine's list; `None` for operators and for host-only functions.
fn form(line: &str) -> Option<Form> {
    let (name, rest) = line.trim().strip_prefix("fn ")?.split_once('(')?;
    let (taken, _) = rest.split_once(") ->")?;
    let types: Vec<String> = taken
        .split(", ")
        .filter(|taken| !taken.is_empty())
        .map(|taken| type_of(taken.split_once(": ").map_or(taken, |(_, kind)| kind)))
        .collect();
    let is_unit = |name: &str| unit_words().any(|unit| unit == name);
    if let Some(unit) = name.strip_prefix("get ").filter(|unit| is_unit(unit)) {
        return Some(Form::ToWeight { unit: unit.to_owned(), of: types.first()?.clone() });
    }
    if let Some(unit) = name.strip_prefix("in_").filter(|unit| is_unit(unit)) {
        return Some(Form::FromWeight { unit: unit.to_owned() });
    }
    let receiver = types.first().map_or("script", String::as_str);
    let named = || WORDS.iter().filter(|word| word.name == name);
    let word =
        named().find(|word| type_of(word.of) == receiver).or_else(|| named().find(|word| word.of == "script"))?;
    Some(Form::Word { word, types })
}

impl Form {
    fn head(&self) -> String {
        match self {
            Form::ToWeight { unit, of } => format!("fn get {unit}(number: {of}) -> weight;"),
            Form::FromWeight { unit } => format!("fn in_{unit}(weight: weight) -> decimal;"),
            Form::Word { word, types } => {
                let own = usize::from(word.of != "script");
                let names = taken(word, types.len() - own.min(types.len()));
                let receiver = [type_of(word.of)];
                let names =
                    names.into_iter().map(|name| if name == receiver[0] { format!("other_{name}") } else { name });
                let names = receiver.iter().take(own).cloned().chain(names);
                let list: Vec<String> = names.zip(types).map(|(name, kind)| format!("{name}: {kind}")).collect();
                format!("fn {}({}) -> {};", word.name, list.join(", "), type_of(word.gives()))
            }
        }
    }

    fn comment(&self) -> String {
        let Form::Word { word, .. } = self else { return String::new() };
        let units = if word.units().is_empty() { String::new() } else { format!("/// Units: {}.\n", word.units()) };
        format!("/// {}\n{units}/// Example: `{}`\n", word.does, word.example)
    }
}

/// The parameter names of a word, from the variant of its `takes` with that many parameters.
fn taken(word: &Word, count: usize) -> Vec<String> {
    let plain = |name: &str| -> String {
        let name = name.trim().trim_matches(|c| "[]|… ".contains(c));
        let letters = name.split(|c: char| !c.is_alphanumeric()).filter(|part| !part.is_empty());
        letters.collect::<Vec<_>>().join("_")
    };
    let forms = word.takes.split(", or ").map(|form| {
        let form = form.replace(", …]", "]");
        form.split(", ").map(plain).filter(|name| !name.is_empty()).collect::<Vec<_>>()
    });
    let fitting = forms.into_iter().find(|names| names.len() == count);
    fitting.unwrap_or_else(|| (1..=count).map(|place| format!("value_{place}")).collect())
}

/// The name of a type in editor definitions.
fn type_of(kind: &str) -> String {
    match kind.trim() {
        "i64" | "whole number" => "int".to_owned(),
        "Decimal" | "number" => "decimal".to_owned(),
        "text" | "string" | "&str" => "String".to_owned(),
        "array" => "Array".to_owned(),
        "true or false" => "bool".to_owned(),
        "rate, or ()" => "rate".to_owned(),
        "weight, or ()" | "weight or number" => "weight".to_owned(),
        "map" => "Map".to_owned(),
        "nothing" => "()".to_owned(),
        "Dynamic" => "?".to_owned(),
        other => other.replace(' ', "_"),
    }
}
