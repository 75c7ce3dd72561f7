//! The words for plain numbers and for a yard's rates.

use rhai::{Dynamic, Engine, NativeCallContext};
use rust_decimal::{Decimal, RoundingStrategy};

use super::refusal::{ScriptResult, refuse};
use super::values::{number, seen};
use super::word::{Word, word};
use crate::quantity::{Basis, Mass, Price, maths};

/// The words of numbers and rates, in the order in which an author meets them.
#[rustfmt::skip]
pub(super) const WORDS: &[Word] = &[
    word("rate", "of", "weight", "what a lot brings at this price, rounded once as the yard does",
        r#"let rate = sheet.price("copper-2", sheet.lot); if rate != () { sheet.gives_money("worth", "Worth", rate.of(sheet.lot)) }"#).giving("number"),
    word("rate", "amount", "", "the amount per one of its unit",
        r#"let rate = sheet.price("copper-2", sheet.lot); if rate != () { sheet.gives("amount", "Amount", rate.amount()) }"#).giving("number"),
    word("rate", "is_each", "", "whether it is a price per piece",
        r#"let rate = sheet.price("copper-2", sheet.lot); if rate != () && rate.is_each() { sheet.says("per piece") }"#).giving("true or false"),
    word("number", "sqrt", "", "the square root, to 20 digits",
        r#"if 2.sqrt().rounded(6) != 1.414214 { throw "sqrt" }"#),
    word("number", "ln", "", "the natural logarithm, to 20 digits",
        r#"if 10.ln().rounded(6) != 2.302585 { throw "ln" }"#),
    word("number", "exp", "", "e to this power, to 20 digits",
        r#"if 1.exp().rounded(6) != 2.718282 { throw "exp" }"#),
    word("number", "pow", "number", "this number to a power, to 20 digits; exactly for a whole power",
        r#"if 92.pow(1 / 39).rounded(6) != 1.122932 { throw "pow" }"#),
    word("number", "rounded", "places", "rounded to so many places, half away from zero",
        r#"if 2.345.rounded(2) != 2.35 { throw "rounded" }"#),
    word("number", "significant", "digits", "rounded to so many significant digits, half away from zero",
        r#"if 12345.significant(2) != 12000 { throw "significant" }"#),
    word("script", "pi", "", "the ratio of a circle's circumference to its diameter, to 28 digits",
        r#"if pi().rounded(5) != 3.14159 { throw "pi" }"#).giving("number"),
];

/// Registers the words of numbers and rates.
pub(super) fn register(engine: &mut Engine) {
    engine.register_type_with_name::<Price>("rate");
    rates(engine);
    numbers(engine);
}

fn rates(engine: &mut Engine) {
    engine.register_fn("of", |ctx: NativeCallContext, rate: Price, mass: Mass| -> ScriptResult<Decimal> {
        rate.of(mass, 1).map(|money| money.amount()).map_err(|error| refuse(&ctx, error.to_string(), ""))
    });
    engine.register_fn("amount", |rate: Price| rate.amount());
    engine.register_fn("is_each", |rate: Price| rate.basis() == Basis::Piece);
    engine.register_fn("to_string", |rate: Price| rate.to_string());
}

/// A function of one number that returns `None` where it is undefined.
type Function = fn(Decimal) -> Option<Decimal>;

fn numbers(engine: &mut Engine) {
    let kept = |ctx: &NativeCallContext, name: &str, x: &dyn std::fmt::Display, value: Option<Decimal>| {
        value.ok_or_else(|| {
            refuse(ctx, format!("{name} of {x} has no value that can be kept"), "look at the number first")
        })
    };
    let functions: [(&'static str, Function); 3] = [("sqrt", maths::sqrt), ("ln", maths::ln), ("exp", maths::exp)];
    for (name, function) in functions {
        engine.register_fn(name, move |ctx: NativeCallContext, x: Decimal| kept(&ctx, name, &x, function(x)));
        engine
            .register_fn(name, move |ctx: NativeCallContext, x: i64| kept(&ctx, name, &x, function(Decimal::from(x))));
    }
    engine.register_fn("pi", || maths::PI);
    let power = move |ctx: &NativeCallContext, x: Decimal, y: &Dynamic| -> ScriptResult<Decimal> {
        let exponent = number(y).ok_or_else(|| refuse(ctx, format!("{} is no exponent", seen(y)), "such as 0.5"))?;
        kept(ctx, "pow", &format!("{x}, {exponent}"), maths::pow(x, exponent))
    };
    engine.register_fn("pow", move |ctx: NativeCallContext, x: Decimal, y: Dynamic| power(&ctx, x, &y));
    engine.register_fn("pow", move |ctx: NativeCallContext, x: i64, y: Dynamic| power(&ctx, Decimal::from(x), &y));
    for (name, least, round) in [("rounded", 0, to_places as Rounding), ("significant", 1, to_digits as Rounding)] {
        let cut = move |ctx: &NativeCallContext, x: Decimal, digits: i64| -> ScriptResult<Decimal> {
            let digits = u32::try_from(digits).ok().filter(|digits| (least..=28).contains(digits));
            let digits =
                digits.ok_or_else(|| refuse(ctx, format!("{name} takes {least} to 28"), "write a whole number"))?;
            kept(ctx, name, &x, round(x, digits))
        };
        engine.register_fn(name, move |ctx: NativeCallContext, x: Decimal, digits: i64| cut(&ctx, x, digits));
        engine
            .register_fn(name, move |ctx: NativeCallContext, x: i64, digits: i64| cut(&ctx, Decimal::from(x), digits));
    }
}

/// Rounds to a number of digits.
type Rounding = fn(Decimal, u32) -> Option<Decimal>;

fn to_places(x: Decimal, places: u32) -> Option<Decimal> {
    Some(x.round_dp_with_strategy(places, RoundingStrategy::MidpointAwayFromZero).normalize())
}

fn to_digits(x: Decimal, digits: u32) -> Option<Decimal> {
    x.round_sf_with_strategy(digits, RoundingStrategy::MidpointAwayFromZero).map(|x| x.normalize())
}
