//! The only engine builder: limits, exact arithmetic, determinism.
//!
//! Scripts are untrusted. The engine starts empty and gets only packages that compute; packages with `sleep`, `exit`,
//! `timestamp`, `eval` or function names are left out. Gaps in the engine's own limits are closed by the desk's
//! [`Allowance`](super::allowance::Allowance), and by replacements for engine functions that could turn small input
//! into huge output in one call.

use std::rc::Rc;

use rhai::packages::{
    ArithmeticPackage, BasicArrayPackage, BasicIteratorPackage, BasicMapPackage, BasicMathPackage, BasicStringPackage,
    LogicPackage, MoreStringPackage, Package,
};
use rhai::{Dynamic, Engine, NativeCallContext, OptimizationLevel, Token};
use rust_decimal::Decimal;

use super::desk::HostState;
use super::library::Library;
use super::limits::MAX_TEXT;
use super::refusal::{ScriptResult, refuse};

/// Builds the engine. Its functions share `desk`.
pub(super) fn build(desk: &Rc<HostState>, library: Library) -> Engine {
    // Closure names are derived from hashes; a fixed seed makes them the same in every process. Set once, before any
    // use.
    let _already_set = rhai::config::hashing::set_hashing_seed(Some([11, 7, 5, 3]));
    let mut engine = Engine::new_raw();
    packages(&mut engine);
    limits(&mut engine, desk);
    exact_division(&mut engine);
    super::builtins::register(&mut engine);
    engine.set_module_resolver(library);
    super::unit_words::register(&mut engine);
    super::recipe_words::register(&mut engine, desk);
    super::bench_words::register(&mut engine, desk);
    super::yard_words::register(&mut engine, desk);
    super::tool_words::register(&mut engine, desk);
    super::sheet_words::register(&mut engine, desk);
    super::number_words::register(&mut engine);
    engine
}

fn packages(engine: &mut Engine) {
    ArithmeticPackage::new().register_into_engine(engine);
    LogicPackage::new().register_into_engine(engine);
    BasicMathPackage::new().register_into_engine(engine);
    BasicStringPackage::new().register_into_engine(engine);
    MoreStringPackage::new().register_into_engine(engine);
    BasicIteratorPackage::new().register_into_engine(engine);
    BasicArrayPackage::new().register_into_engine(engine);
    BasicMapPackage::new().register_into_engine(engine);
}

fn limits(engine: &mut Engine, desk: &Rc<HostState>) {
    engine
        .set_optimization_level(OptimizationLevel::None)
        .set_max_call_levels(32)
        .set_max_expr_depths(96, 48)
        .set_max_string_size(MAX_TEXT)
        .set_max_array_size(1000)
        .set_max_map_size(1000)
        .set_max_functions(200)
        .set_max_variables(500)
        .set_max_modules(20)
        .set_strict_variables(true)
        .set_fast_operators(false);
    for symbol in ["eval", "Fn", "curry", "call", "print", "debug", "is_def_fn", "is_def_var", "sync"] {
        engine.disable_symbol(symbol);
    }
    // Names with two leading underscores are reserved for the host.
    #[allow(deprecated, reason = "the engine marks this door as volatile, not as going away")]
    engine.on_parse_token(|token, _, _| match token {
        Token::Identifier(name) if name.starts_with("__") => Token::Reserved(name),
        other => other,
    });
    let desk = desk.clone();
    engine.on_progress(move |_| (!desk.allowance.spend()).then_some(Dynamic::UNIT));
}

/// `7/2` is 3.5, not 3: a whole quotient stays an integer, any other becomes a decimal, exact or with full precision.
fn exact_division(engine: &mut Engine) {
    let divide = |ctx: NativeCallContext, a: i64, b: i64| -> ScriptResult<Dynamic> {
        if b == 0 {
            return Err(refuse(&ctx, format!("{a} / 0 has no value"), "check the divisor first"));
        }
        match a.checked_rem(b) {
            Some(0) => Ok(Dynamic::from(a / b)),
            _ => {
                let quotient = Decimal::from(a).checked_div(Decimal::from(b)).unwrap_or_default();
                Ok(Dynamic::from_decimal(quotient.normalize()))
            }
        }
    };
    engine.register_fn("/", divide);
    engine.register_fn("/=", move |ctx: NativeCallContext, a: &mut Dynamic, b: i64| -> ScriptResult<()> {
        let whole = a.as_int().ok();
        let quotient = match whole {
            Some(a) => divide(ctx, a, b)?,
            None => return Err(refuse(&ctx, "`/=` needs a number on its left", "")),
        };
        *a = quotient;
        Ok(())
    });
}
