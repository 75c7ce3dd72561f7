//! As much of JSON Schema (draft 2020-12) as the schemas here use. A word that it does not know is refused, so nothing in a
//! schema goes unheld in silence. `tests/compare/schemas.py` holds the same documents with a full reader.

use serde_json::{Map, Value};

/// The words that are understood.
const WORDS: [&str; 14] = [
    "$schema",
    "$defs",
    "$ref",
    "title",
    "description",
    "type",
    "properties",
    "required",
    "additionalProperties",
    "items",
    "const",
    "enum",
    "pattern",
    "anyOf",
];

/// A schema.
pub struct Schema {
    root: Value,
}

impl Schema {
    pub fn read(text: &str) -> Schema {
        let schema = Schema { root: serde_json::from_str(text).unwrap() };
        known(&schema.root);
        schema
    }

    /// What of a document does not keep to the schema, a sentence each.
    pub fn faults(&self, document: &Value) -> Vec<String> {
        let mut faults = Vec::new();
        self.hold(&self.root, document, "", &mut faults);
        faults
    }

    fn hold(&self, schema: &Value, value: &Value, at: &str, faults: &mut Vec<String>) {
        if let Some(name) = schema["$ref"].as_str() {
            let target = self.root.pointer(name.strip_prefix('#').unwrap());
            self.hold(target.unwrap_or_else(|| panic!("no {name}")), value, at, faults);
        }
        if let Some(any) = schema["anyOf"].as_array() {
            let tried = any.iter().map(|schema| {
                let mut faults = Vec::new();
                self.hold(schema, value, at, &mut faults);
                faults
            });
            let tried: Vec<Vec<String>> = tried.collect();
            if tried.iter().all(|faults| !faults.is_empty()) {
                // Of the ways that it could keep to, the one that fits best tells what is wrong.
                faults.extend(tried.into_iter().min_by_key(Vec::len).unwrap_or_default());
            }
        }
        let wanted: Vec<&str> = match &schema["type"] {
            Value::Array(several) => several.iter().filter_map(Value::as_str).collect(),
            one => one.as_str().into_iter().collect(),
        };
        if !wanted.is_empty() && !wanted.iter().any(|wanted| is(value, wanted)) {
            faults.push(format!("{at} is a {}, not a {}", kind(value), wanted.join(" or ")));
        }
        if let Some(wanted) = schema.get("const").filter(|wanted| *wanted != value) {
            faults.push(format!("{at} is {value}, not {wanted}"));
        }
        if schema["enum"].as_array().is_some_and(|listed| !listed.contains(value)) {
            faults.push(format!("{at} is {value}, which is not listed"));
        }
        match value {
            Value::String(text) => hold_pattern(schema, text, at, faults),
            Value::Array(items) => {
                for (place, item) in items.iter().enumerate() {
                    self.hold(&schema["items"], item, &format!("{at}/{place}"), faults);
                }
            }
            Value::Object(fields) => self.hold_fields(schema, fields, at, faults),
            _ => {}
        }
    }

    fn hold_fields(&self, schema: &Value, fields: &Map<String, Value>, at: &str, faults: &mut Vec<String>) {
        let required = schema["required"].as_array().into_iter().flatten().filter_map(Value::as_str);
        faults
            .extend(required.filter(|name| !fields.contains_key(*name)).map(|name| format!("{at}/{name} is missing")));
        for (name, value) in fields {
            let at = format!("{at}/{name}");
            match (schema["properties"].get(name), schema.get("additionalProperties")) {
                (Some(property), _) => self.hold(property, value, &at, faults),
                (None, Some(Value::Bool(false))) => faults.push(format!("{at} is not foreseen")),
                (None, Some(others)) => self.hold(others, value, &at, faults),
                (None, None) => {}
            }
        }
    }
}

/// The patterns that schemas here use, read by hand: none needs more.
fn hold_pattern(schema: &Value, text: &str, at: &str, faults: &mut Vec<String>) {
    let digits = |text: &str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
    let decimal = |text: &str| match text.split_once('.') {
        Some((whole, part)) => digits(whole) && digits(part),
        None => digits(text),
    };
    let Some(pattern) = schema["pattern"].as_str() else { return };
    let fits = match pattern {
        r"^-?[0-9]+(\.[0-9]+)?$" => decimal(text.strip_prefix('-').unwrap_or(text)),
        r"^[0-9]+(\.[0-9]+)? g$" => text.strip_suffix(" g").is_some_and(decimal),
        "^[0-9]{4}-[0-9]{2}-[0-9]{2}$" => {
            let lengths: Vec<usize> = text.split('-').map(str::len).collect();
            lengths == [4, 2, 2] && text.split('-').all(digits)
        }
        other => panic!("the pattern {other} is not understood here"),
    };
    if !fits {
        faults.push(format!("{at} is {text:?}, which does not fit {pattern}"));
    }
}

/// Refuses a schema with a word that is not understood, and one that says nothing of what stands in a list.
fn known(schema: &Value) {
    let Some(fields) = schema.as_object() else { panic!("{schema} is no schema") };
    if let Some(stranger) = fields.keys().find(|name| !WORDS.contains(&name.as_str())) {
        panic!("the schema word {stranger:?} is not understood here");
    }
    assert!(!fields.is_empty(), "a schema that says nothing holds nothing");
    for inner in ["properties", "$defs"].iter().filter_map(|name| fields.get(*name)?.as_object()) {
        inner.values().for_each(known);
    }
    fields.get("anyOf").and_then(Value::as_array).into_iter().flatten().for_each(known);
    fields.get("items").into_iter().for_each(known);
    fields.get("additionalProperties").filter(|others| !others.is_boolean()).into_iter().for_each(known);
}

fn is(value: &Value, wanted: &str) -> bool {
    wanted == kind(value) || (wanted == "integer" && (value.is_i64() || value.is_u64()))
}

fn kind(value: &Value) -> &'static str {
    match value {
        Value::Null => "null",
        Value::Bool(_) => "boolean",
        Value::Number(_) => "number",
        Value::String(_) => "string",
        Value::Array(_) => "array",
        Value::Object(_) => "object",
    }
}
