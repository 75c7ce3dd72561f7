//! What a step's work remembers between two of its runs: the values of the variables that its closure captured.
//!
//! Nothing else that a closure sees can change: functions see no outer variables, modules and constants are fixed, and
//! the bench keeps its own data. So two runs in which all closures remember the same continue alike.

use std::fmt::Write;

use rhai::{Array, Dynamic, FnPtr, Map};
use sha2::{Digest, Sha256};

use super::bench_words::BenchHandle;
use super::recipe_words::{StepHandle, UnitHandle};
use super::unit_words::Range;
use crate::quantity::{Estimate, Mass};

/// Values nested deeper than this are not compared: a closure may capture itself.
const MAX_DEPTH: usize = 12;
/// Longer memories are not compared.
const MAX_MEMORY: usize = 16 * 1024;
/// Longer ones are replaced by their digest: they are kept for every step of every situation.
const MAX_KEPT: usize = 64;

/// The captured values as a text that is equal only for equal values; `None` if that cannot be determined. Empty for a
/// closure that captured nothing.
pub(super) fn remembered(work: &FnPtr) -> Option<String> {
    let mut text = String::new();
    let told = work.curry().iter().all(|value| tell(value, MAX_DEPTH, &mut text).is_some());
    let kept = |text: String| if text.len() > MAX_KEPT { digest(&text) } else { text };
    told.then_some(text).map(kept)
}

/// A digest of a text, in a format unlike any value's.
fn digest(text: &str) -> String {
    Sha256::digest(text).iter().fold("sha256 ".to_owned(), |digest, byte| format!("{digest}{byte:02x}"))
}

fn tell(value: &Dynamic, depth: usize, text: &mut String) -> Option<()> {
    let value = value.flatten_clone();
    if depth == 0 || text.len() > MAX_MEMORY {
        return None;
    }
    // Every piece is tagged with its kind and terminated, so that no two lists of values give the same text.
    if let Ok(string) = value.as_immutable_string_ref() {
        write!(text, "{:?};", string.as_str()).ok()
    } else if let Some(list) = value.read_lock::<Array>() {
        text.push('[');
        list.iter().try_for_each(|item| tell(item, depth - 1, text))?;
        text.push(']');
        Some(())
    } else if let Some(map) = value.read_lock::<Map>() {
        text.push('{');
        map.iter().try_for_each(|(key, item)| {
            write!(text, "{key:?}:").ok()?;
            tell(item, depth - 1, text)
        })?;
        text.push('}');
        Some(())
    } else if let Some(closure) = value.read_lock::<FnPtr>() {
        write!(text, "fn {}(", closure.fn_name()).ok()?;
        closure.curry().iter().try_for_each(|item| tell(item, depth - 1, text))?;
        text.push(')');
        Some(())
    } else {
        plain(&value, text)
    }
}

fn plain(value: &Dynamic, text: &mut String) -> Option<()> {
    let handle = value.is::<UnitHandle>() || value.is::<StepHandle>() || value.is::<BenchHandle>();
    if value.is_unit() || handle {
        // Handles never change, so their type is enough.
        write!(text, "{};", value.type_name()).ok()
    } else if let Ok(yes) = value.as_bool() {
        write!(text, "{yes};").ok()
    } else if let Ok(whole) = value.as_int() {
        write!(text, "{whole};").ok()
    } else if let Ok(number) = value.as_decimal() {
        // `2.0` and `2` print differently, so the scale is part of the value.
        write!(text, "d{number};").ok()
    } else if let Ok(character) = value.as_char() {
        write!(text, "{character:?};").ok()
    } else if let Some(mass) = value.read_lock::<Mass>() {
        write!(text, "{};", *mass).ok()
    } else if let Some(range) = value.read_lock::<Range>() {
        write!(text, "{}..{};", range.low, range.high).ok()
    } else if let Some(expected) = value.read_lock::<Estimate<Mass>>() {
        write!(text, "{}/{}/{};", expected.low(), expected.usual(), expected.high()).ok()
    } else {
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn closure(values: Vec<Dynamic>) -> FnPtr {
        let mut closure = FnPtr::new("work").unwrap();
        for value in values {
            closure.add_curry(value);
        }
        closure
    }

    #[test]
    fn different_values_read_differently_and_equal_ones_alike() {
        let values: [Vec<Dynamic>; 8] = [
            vec![],
            vec![1_i64.into()],
            vec![1_i64.into(), 2_i64.into()],
            vec!["1;2".into()],
            vec![vec![Dynamic::from(1_i64)].into()],
            vec![true.into()],
            vec![Dynamic::from(Mass::from_grams(1.into()).unwrap())],
            vec![Dynamic::from(rust_decimal::Decimal::ONE)],
        ];
        let texts: Vec<_> = values.iter().map(|values| remembered(&closure(values.clone())).unwrap()).collect();
        for (i, text) in texts.iter().enumerate() {
            assert_eq!(texts.iter().position(|other| other == text), Some(i), "{text}");
            assert_eq!(remembered(&closure(values[i].clone())).as_ref(), Some(text));
        }
    }

    #[test]
    fn what_cannot_be_told_is_not_guessed() {
        #[derive(Clone)]
        struct Stranger;
        assert_eq!(remembered(&closure(vec![Dynamic::from(Stranger)])), None);
        let deep = (0..20).fold(Dynamic::from(1_i64), |inner, _| vec![inner].into());
        assert_eq!(remembered(&closure(vec![deep])), None);
    }
}
