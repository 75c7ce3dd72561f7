//! Script values in authors' terms: numbers of either kind, a value's short text, the name of its type.

use rhai::{Dynamic, ImmutableString, NativeCallContext};
use rust_decimal::Decimal;

use super::refusal::{ScriptResult, refuse};
use crate::naming::one_line;
use crate::quantity::Mass;

/// A number of either kind.
pub(super) fn number(value: &Dynamic) -> Option<Decimal> {
    value.as_decimal().ok().or_else(|| value.as_int().ok().map(Decimal::from))
}

/// A count starting from one that a word takes: a revision, a version.
pub(super) fn from_one(ctx: &NativeCallContext, word: &str, count: i64) -> ScriptResult<u32> {
    let counted = u32::try_from(count).ok().filter(|counted| *counted > 0);
    counted.ok_or_else(|| refuse(ctx, format!("{word} is {count}"), "count from 1"))
}

/// A value as an author would recognise it: its text if it is short and plain, else its kind. Never descends into a
/// value: closures can hold each other in cycles.
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

/// An author's name for an engine type.
pub(super) fn kind(name: &str) -> String {
    match name.trim_start_matches("&mut ").trim() {
        "i64" | "int" => "whole number",
        "decimal" | "Decimal" | "rust_decimal::Decimal" => "number",
        "string" | "&str" | "ImmutableString" | "String" | "&str | ImmutableString | String" => "text",
        "array" | "Array" => "list",
        "Fn" | "FnPtr" => "closure",
        "()" => "nothing",
        "bool" => "true or false",
        "map" | "Map" => "map",
        // Types of the program are named by their Rust paths.
        other => match other.rsplit("::").next().unwrap_or(other) {
            "OfferHandle" => "price",
            "Mass" => "weight",
            "Range" => "weight range",
            "Verdict" => "verdict",
            last => match last.strip_suffix("Handle") {
                Some(held) => return held.to_lowercase(),
                None => last,
            },
        },
    }
    .to_owned()
}
