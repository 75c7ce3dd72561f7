//! Replacements for engine functions that would panic, never return, or turn small input into huge output in one call.

use rhai::{Array, Dynamic, Engine, EvalAltResult, ImmutableString, Map, NativeCallContext, Position};
use rust_decimal::{Decimal, MathematicalOps};

use super::limits::MAX_TEXT;
use super::refusal::{ScriptResult, refuse};
use super::values::seen;

/// The most entries and bytes that one call may add to a list; the engine checks its own limits only after the call.
const MAX_PADDING: usize = 4 * MAX_TEXT;

/// A function that returns `None` if its value is out of range.
type Checked = fn(&Decimal) -> Option<Decimal>;

/// Registers them over the engine's packages.
pub(super) fn register(engine: &mut Engine) {
    engine.register_fn("replace", replace);
    engine.register_fn("replace", |text: &mut ImmutableString, old: char, new: &str| {
        replace(text, &old.to_string(), new)
    });
    engine.register_fn("pad", pad);
    engine.register_fn("pad", |text: &mut ImmutableString, length: i64, with: char| {
        pad_text(text, length, &with.to_string())
    });
    engine.register_fn("pad", |ctx: NativeCallContext, text: &mut ImmutableString, length: i64, with: &str| {
        if with.is_empty() {
            return Err(refuse(
                &ctx,
                "a text cannot be padded with nothing",
                "name what to pad it with: pad(12, \" \")",
            ));
        }
        pad_text(text, length, with)
    });
    for name in ["to_string", "to_debug"] {
        engine.register_fn(name, |list: &mut Array| printed(|out| list_in(list, out)));
        engine.register_fn(name, |map: &mut Map| printed(|out| map_in(map, out)));
    }
    engine.register_fn("to_json", |ctx: NativeCallContext, _: &mut Map| -> ScriptResult<String> {
        Err(refuse(&ctx, "a script cannot write JSON", "every listing of the program has --format json"))
    });
    let checked: [(&str, Checked); 3] =
        [("sin", Decimal::checked_sin), ("cos", Decimal::checked_cos), ("tan", Decimal::checked_tan)];
    for (name, function) in checked {
        engine.register_fn(name, move |ctx: NativeCallContext, x: Decimal| -> ScriptResult<Decimal> {
            function(&x).ok_or_else(|| refuse(&ctx, format!("{name} of {x} has no value that can be kept"), ""))
        });
    }
}

/// The engine's version builds the whole result before checking its length: up to 16 KiB for each of 16 Ki matches.
fn replace(text: &mut ImmutableString, old: &str, new: &str) -> ScriptResult<()> {
    let longer = text.matches(old).count().saturating_mul(new.len());
    if longer > MAX_TEXT {
        return Err(EvalAltResult::ErrorDataTooLarge("Length of string".into(), Position::NONE).into());
    }
    *text = text.replace(old, new).into();
    Ok(())
}

/// The engine's version multiplies the requested length before checking it, and the product can overflow.
fn pad(list: &mut Array, length: i64, item: Dynamic) -> ScriptResult<()> {
    let more = usize::try_from(length).unwrap_or(0).saturating_sub(list.len());
    if more.saturating_mul(1 + size(&item)) > MAX_PADDING {
        return Err(EvalAltResult::ErrorDataTooLarge("Size of array/BLOB".into(), Position::NONE).into());
    }
    list.resize(list.len() + more, item);
    Ok(())
}

/// Pads a text to the requested length in characters by repeating `with`, cutting off the last repetition. The engine's
/// version allocates at each repetition, and never returns if the padding is empty.
fn pad_text(text: &mut ImmutableString, length: i64, with: &str) -> ScriptResult<()> {
    let too_long = || Err(EvalAltResult::ErrorDataTooLarge("Length of string".into(), Position::NONE).into());
    let wanted = usize::try_from(length).unwrap_or(0).saturating_sub(text.chars().count());
    let each = with.chars().count().max(1);
    let (times, rest) = (wanted / each, wanted % each);
    if times.saturating_mul(with.len()) > MAX_TEXT {
        return too_long();
    }
    let mut more = with.repeat(times);
    more.extend(with.chars().take(rest));
    if text.len() + more.len() > MAX_TEXT {
        return too_long();
    }
    *text += more.as_str();
    Ok(())
}

/// Entries plus bytes of text in a value.
fn size(value: &Dynamic) -> usize {
    if let Some(list) = value.read_lock::<Array>() {
        list.iter().map(|item| 1 + size(item)).sum()
    } else if let Some(map) = value.read_lock::<Map>() {
        map.values().map(|item| 1 + size(item)).sum()
    } else {
        value.read_lock::<ImmutableString>().map_or(0, |text| text.len())
    }
}

/// A list or map as text, cut off at the limit. The engine's version follows closures into their captures and loops
/// forever on two that capture each other.
fn printed(fill: impl FnOnce(&mut String)) -> ImmutableString {
    let mut out = String::new();
    fill(&mut out);
    out.truncate(out.floor_char_boundary(MAX_TEXT));
    out.into()
}

fn value_in(value: &Dynamic, out: &mut String) {
    if out.len() > MAX_TEXT {
        return;
    }
    if let Some(list) = value.read_lock::<Array>() {
        list_in(&list, out);
    } else if let Some(map) = value.read_lock::<Map>() {
        map_in(&map, out);
    } else if let Some(text) = value.read_lock::<ImmutableString>() {
        out.push_str(&format!("{:?}", text.as_str()));
    } else {
        out.push_str(&seen(value));
    }
}

fn list_in(list: &Array, out: &mut String) {
    out.push('[');
    for (place, value) in list.iter().enumerate() {
        out.push_str(if place > 0 { ", " } else { "" });
        value_in(value, out);
    }
    out.push(']');
}

fn map_in(map: &Map, out: &mut String) {
    out.push_str("#{");
    for (place, (key, value)) in map.iter().enumerate() {
        out.push_str(if place > 0 { ", " } else { "" });
        out.push_str(&format!("{:?}: ", key.as_str()));
        value_in(value, out);
    }
    out.push('}');
}
