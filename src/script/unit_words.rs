//! Weights in scripts: `3.6.kg`, `3.0.kg..4.6.kg`, `(3.0.kg..4.6.kg).usually(3.7.kg)`.

use rhai::{Dynamic, Engine, NativeCallContext};
use rust_decimal::Decimal;

use super::refusal::{ScriptResult, refuse};
use super::values::{number, seen};
use super::word::{Word, word};
use crate::naming::suggest;
use crate::quantity::{Estimate, Mass, MassUnit, UnitError};

/// The script word of each unit.
const UNIT_WORDS: [(&str, MassUnit); 11] = [
    ("g", MassUnit::Gram),
    ("kg", MassUnit::Kilogram),
    ("t", MassUnit::Tonne),
    ("lb", MassUnit::Pound),
    ("oz", MassUnit::Ounce),
    ("ozt", MassUnit::TroyOunce),
    ("dwt", MassUnit::Pennyweight),
    ("gr", MassUnit::Grain),
    ("st", MassUnit::Stone),
    ("short_ton", MassUnit::ShortTon),
    ("long_ton", MassUnit::LongTon),
];

/// The unit words, for hints.
pub(super) fn unit_words() -> impl Iterator<Item = &'static str> + Clone {
    UNIT_WORDS.iter().map(|(word, _)| *word)
}

/// The script word of a unit.
#[must_use]
pub fn unit_word(unit: MassUnit) -> &'static str {
    UNIT_WORDS.iter().find(|(_, known)| *known == unit).map_or("g", |(word, _)| word)
}

/// The unit of a script word.
pub(super) fn unit_of(word: &str) -> Option<MassUnit> {
    UNIT_WORDS.iter().find(|(known, _)| *known == word).map(|(_, unit)| *unit)
}

/// The unit of mass named by a text.
pub(super) fn mass_unit(ctx: &NativeCallContext, word: &str) -> ScriptResult<MassUnit> {
    word.replace('_', " ")
        .parse()
        .map_err(|error: UnitError| refuse(ctx, error.to_string(), suggest(word, unit_words())))
}

/// A range of weights as a script writes it, with its usual value once given.
#[derive(Debug, Clone, Copy)]
pub(super) struct Range {
    pub low: Mass,
    pub high: Mass,
}

/// A weight estimate in any of its three forms: a weight, a range (its middle is the usual value), a range with its
/// usual.
pub(super) fn estimate(ctx: &NativeCallContext, value: &Dynamic) -> ScriptResult<Estimate<Mass>> {
    if let Some(mass) = value.read_lock::<Mass>() {
        return Ok(Estimate::exactly(*mass));
    }
    if let Some(estimate) = value.read_lock::<Estimate<Mass>>() {
        return Ok(*estimate);
    }
    if let Some(range) = value.read_lock::<Range>() {
        let middle = range.low.plus(range.high).and_then(|sum| sum.times(Decimal::new(5, 1)));
        return middle
            .map_err(|error| refuse(ctx, error.to_string(), ""))
            .and_then(|usual| bounded(ctx, range.low, usual, range.high));
    }
    let seen = match number(value) {
        Some(number) => format!("{number} has no unit"),
        None => format!("{} is no weight", seen(value)),
    };
    Err(refuse(ctx, seen, "write a weight such as 3.6.kg, or a range such as (3.0.kg..4.6.kg).usually(3.7.kg)"))
}

fn bounded(ctx: &NativeCallContext, low: Mass, usual: Mass, high: Mass) -> ScriptResult<Estimate<Mass>> {
    Estimate::new(low, usual, high)
        .map_err(|error| refuse(ctx, error.to_string(), "write low, usual and high in ascending order"))
}

/// The operators between and after weights, each with an example that evaluates to true.
pub const WEIGHT_SIGNS: &[(&str, &str, &str)] = &[
    (
        ".kg and other units",
        "a number becomes a weight: .g .kg .t .lb .oz .ozt .dwt .gr .st .short_ton .long_ton",
        "1.kg == 1000.g",
    ),
    ("in_kg() and other units", "a weight becomes a number, in_ and the unit", "2.lb.in_oz() == 32"),
    ("..", "a range of weights, low to high; see usually", "(1.kg..2.kg).usually(1.5.kg).type_of() != \"\""),
    ("+ -", "the sum and the difference of two weights", "1.kg - 100.g + 50.g == 950.g"),
    ("*", "a weight times a number", "1.5.kg * 2 == 3.kg"),
    (
        "/",
        "a weight over a weight: a number. Of whole numbers it is exact, too: 7 / 2 is 3.5",
        "3.kg / 2.kg == 1.5 && 7 / 2 == 3.5",
    ),
    ("== != < <= > >=", "which weight is more", "1.lb < 1.kg && 16.oz == 1.lb && 2.kg >= 2.kg"),
    ("to_string()", "a weight as text, in grams", "1.5.kg.to_string() == \"1500 g\""),
];

/// The words of weights, in the order in which an author meets them.
#[rustfmt::skip]
pub(super) const WORDS: &[Word] = &[
    word("weight range", "usually", "weight", "the usual value of a range; without it, the middle counts as usual",
        r#".weighs((0.8.kg..1.6.kg).usually(1.1.kg))"#),
];

/// Registers units, ranges and the arithmetic of weights.
pub(super) fn register(engine: &mut Engine) {
    engine.register_type_with_name::<Mass>("weight");
    engine.register_type_with_name::<Range>("weight range");
    engine.register_type_with_name::<Estimate<Mass>>("weight range with its usual");
    for (word, unit) in UNIT_WORDS {
        let of = move |ctx: &NativeCallContext, amount: Decimal| {
            Mass::of(amount, unit).map_err(|error| refuse(ctx, error.to_string(), "write a smaller or coarser number"))
        };
        engine.register_get(word, move |ctx: NativeCallContext, amount: &mut Decimal| of(&ctx, *amount));
        engine.register_get(word, move |ctx: NativeCallContext, amount: &mut i64| of(&ctx, Decimal::from(*amount)));
        engine.register_fn(format!("in_{word}"), move |mass: Mass| mass.in_unit(unit));
    }
    engine.register_fn("..", |ctx: NativeCallContext, low: Mass, high: Mass| -> ScriptResult<Range> {
        if low > high {
            return Err(refuse(
                &ctx,
                format!("the range starts at {low} and ends lower, at {high}"),
                "write low..high",
            ));
        }
        Ok(Range { low, high })
    });
    engine.register_fn("usually", |ctx: NativeCallContext, range: Range, usual: Mass| {
        bounded(&ctx, range.low, usual, range.high)
    });
    arithmetic(engine);
}

fn arithmetic(engine: &mut Engine) {
    let add = |ctx: NativeCallContext, a: Mass, b: Mass| a.plus(b).map_err(|e| refuse(&ctx, e.to_string(), ""));
    let subtract = |ctx: NativeCallContext, a: Mass, b: Mass| a.minus(b).map_err(|e| refuse(&ctx, e.to_string(), ""));
    engine.register_fn("+", add).register_fn("-", subtract);
    engine.register_fn("*", |ctx: NativeCallContext, mass: Mass, factor: Dynamic| -> ScriptResult<Mass> {
        let factor =
            number(&factor).ok_or_else(|| refuse(&ctx, "a weight is multiplied by a number", "such as 2 or 0.5"))?;
        mass.times(factor).map_err(|error| refuse(&ctx, error.to_string(), ""))
    });
    engine.register_fn("/", |ctx: NativeCallContext, a: Mass, b: Mass| -> ScriptResult<Decimal> {
        a.grams()
            .checked_div(b.grams())
            .map(|q| q.normalize())
            .ok_or_else(|| refuse(&ctx, format!("{a} / {b} has no value"), ""))
    });
    engine.register_fn("<", |a: Mass, b: Mass| a < b).register_fn("<=", |a: Mass, b: Mass| a <= b);
    engine.register_fn(">", |a: Mass, b: Mass| a > b).register_fn(">=", |a: Mass, b: Mass| a >= b);
    engine.register_fn("==", |a: Mass, b: Mass| a == b).register_fn("!=", |a: Mass, b: Mass| a != b);
    engine.register_fn("to_string", |mass: Mass| mass.to_string());
}
