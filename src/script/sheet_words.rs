//! The words with which a tool works: its answers, the catalogue, the yard's prices, and what it gives back.

use std::rc::Rc;

use rhai::{Dynamic, Engine, EvalAltResult, Map, NativeCallContext, Position};
use rust_decimal::{Decimal, RoundingStrategy};

use super::allowance::Stop;
use super::desk::HostState;
use super::job::Job;
use super::limits::{MAX_NAME, MAX_PARAGRAPH};
use super::refusal::{Outcome, refuse, showable};
use super::unit_words::unit_word;
use super::values::{number, seen};
use crate::naming::{self, suggest};
use crate::quantity::{Basis, Mass, Money, Price, maths};
use crate::tool::{Amount, Cell, Figure, Given, PastSession, PriceUsed, Row, RowUsed, Sheet, Value};

/// A script's hold on the sheet that it fills.
#[derive(Debug, Clone, Copy)]
pub(super) struct SheetHandle;

/// The most results, verdicts, remarks or cautions of a sheet, each.
const MAX_LINES: usize = 100;

/// Registers the words of a sheet.
pub(super) fn register(engine: &mut Engine, desk: &Rc<HostState>) {
    engine.register_type_with_name::<SheetHandle>("sheet");
    engine.register_type_with_name::<Price>("rate");
    answers(engine, desk);
    catalogue(engine, desk);
    yard(engine, desk);
    sessions(engine, desk);
    results(engine, desk);
    lines(engine, desk);
    rates(engine);
    numbers(engine);
}

/// The job at hand.
fn job(ctx: &NativeCallContext, desk: &HostState) -> Outcome<Rc<Job>> {
    if desk.allowance.stopped().is_some() {
        return Err(EvalAltResult::ErrorTerminated(Dynamic::UNIT, ctx.call_position()).into());
    }
    let job = desk.job.borrow().clone();
    job.ok_or_else(|| refuse(ctx, "only a tool's work has a sheet", "move this into works_out(|sheet| { … })"))
}

fn answers(engine: &mut Engine, desk: &Rc<HostState>) {
    let shared = desk.clone();
    engine.register_indexer_get(move |ctx: NativeCallContext, _: &mut SheetHandle, key: &str| -> Outcome<Dynamic> {
        answer(&ctx, &*job(&ctx, &shared)?, key).map(|given| value(&given.value))
    });
    let shared = desk.clone();
    engine.register_fn("read_to", move |ctx: NativeCallContext, _: SheetHandle, key: &str| -> Outcome<Dynamic> {
        let job = job(&ctx, &shared)?;
        let given = answer(&ctx, &job, key)?;
        Ok(match (&given.value, given.step) {
            (Value::Weight(_), Some(step)) => Mass::from_grams(step).map_or(Dynamic::UNIT, Dynamic::from),
            (_, Some(step)) => Dynamic::from_decimal(step),
            (_, None) => Dynamic::UNIT,
        })
    });
}

fn answer<'j>(ctx: &NativeCallContext, job: &'j Job, key: &str) -> Outcome<&'j Given> {
    let key = key.replace('_', "-");
    job.given.get(&key).ok_or_else(|| {
        let known = job.given.keys().map(String::as_str);
        refuse(ctx, format!("this tool has no input `{}`", naming::one_line(&key, 60)), suggest(&key, known))
    })
}

fn value(value: &Value) -> Dynamic {
    match value {
        Value::Weight(mass) => Dynamic::from(*mass),
        Value::Number(number) => Dynamic::from_decimal(*number),
        Value::Count(count) => Dynamic::from_int(*count),
        Value::Text(text) => text.clone().into(),
        Value::Yes(yes) => Dynamic::from_bool(*yes),
        Value::Price(price) => Dynamic::from(*price),
        Value::Nothing => Dynamic::UNIT,
    }
}

fn catalogue(engine: &mut Engine, desk: &Rc<HostState>) {
    let shared = desk.clone();
    engine.register_fn("row", move |ctx: NativeCallContext, _: SheetHandle, table: &str, key: &str| -> Outcome<Map> {
        let job = job(&ctx, &shared)?;
        let found = known_table(&ctx, &shared, table)?;
        let row = found.row(key).ok_or_else(|| {
            let keys = found.rows.iter().map(|row| row.key.as_str());
            let what = format!("the table `{table}` has no row `{}`", naming::one_line(key, 60));
            refuse(&ctx, what, suggest(key, keys))
        })?;
        job.sheet.borrow_mut().use_row(RowUsed {
            table: table.to_owned(),
            key: row.key.clone(),
            source: row.source.clone(),
            status: row.status.clone(),
        });
        Ok(map_of(row))
    });
    let shared = desk.clone();
    engine.register_fn("rows", move |ctx: NativeCallContext, _: SheetHandle, table: &str| -> Outcome<rhai::Array> {
        job(&ctx, &shared)?;
        let found = known_table(&ctx, &shared, table)?;
        Ok(found.rows.iter().map(|row| Dynamic::from_map(map_of(row))).collect())
    });
}

fn known_table<'d>(ctx: &NativeCallContext, desk: &'d HostState, name: &str) -> Outcome<&'d crate::tool::Table> {
    let tables = desk.catalogue.tables();
    tables.get(name).ok_or_else(|| {
        let what = format!("the catalogue has no table `{}`", naming::one_line(name, 60));
        refuse(ctx, what, suggest(name, tables.names()))
    })
}

/// A row as a script has it: its key and values. The source stays with the program, which shows it.
fn map_of(row: &Row) -> Map {
    let mut map = Map::new();
    map.insert("key".into(), row.key.clone().into());
    for (name, cell) in &row.cells {
        let value = match cell {
            Cell::Number(number) => Dynamic::from_decimal(*number),
            Cell::Text(text) => text.clone().into(),
            Cell::Yes(yes) => Dynamic::from_bool(*yes),
        };
        map.insert(name.as_str().into(), value);
    }
    map
}

fn yard(engine: &mut Engine, desk: &Rc<HostState>) {
    let shared = desk.clone();
    engine.register_fn(
        "price",
        move |ctx: NativeCallContext, _: SheetHandle, grade: &str, lot: Mass| -> Outcome<Dynamic> {
            let job = job(&ctx, &shared)?;
            shared.known_grade(&ctx, grade)?;
            let till = &job.till;
            let found = till.price(shared.catalogue.grades(), grade, Some(lot));
            let price = found.as_ref().ok().map(|priced| priced.price);
            let found = found.map(|priced| (priced.name, priced.priced_as, priced.price, priced.source));
            let found = found.map_err(|unsold| unsold.words(till.yard.notation()));
            job.sheet.borrow_mut().use_price(PriceUsed { grade: grade.to_owned(), found });
            Ok(price.map_or(Dynamic::UNIT, Dynamic::from))
        },
    );
    let shared = desk.clone();
    engine.register_fn("yard_unit", move |ctx: NativeCallContext, _: SheetHandle| -> Outcome<String> {
        Ok(unit_word(job(&ctx, &shared)?.till.yard.unit()).to_owned())
    });
    let shared = desk.clone();
    engine.register_fn("yard_division", move |ctx: NativeCallContext, _: SheetHandle| -> Outcome<Dynamic> {
        Ok(job(&ctx, &shared)?.till.yard.division().map_or(Dynamic::UNIT, Dynamic::from))
    });
    let shared = desk.clone();
    engine.register_fn("yard_name", move |ctx: NativeCallContext, _: SheetHandle| -> Outcome<String> {
        Ok(job(&ctx, &shared)?.till.yard.name().to_owned())
    });
}

fn sessions(engine: &mut Engine, desk: &Rc<HostState>) {
    let none =
        |ctx: &NativeCallContext| refuse(ctx, "this tool reads no sessions", "declare it: tool(…).reads_sessions()");
    let shared = desk.clone();
    engine.register_fn("session_count", move |ctx: NativeCallContext, _: SheetHandle| -> Outcome<i64> {
        let job = job(&ctx, &shared)?;
        let sessions = job.sessions.as_ref().ok_or_else(|| none(&ctx))?;
        Ok(i64::try_from(sessions.len()).unwrap_or(i64::MAX))
    });
    let shared = desk.clone();
    engine.register_fn("session", move |ctx: NativeCallContext, _: SheetHandle, place: i64| -> Outcome<Map> {
        let job = job(&ctx, &shared)?;
        let sessions = job.sessions.as_ref().ok_or_else(|| none(&ctx))?;
        let found = usize::try_from(place).ok().and_then(|place| sessions.get(place));
        let what = || format!("there is no session {place}; there are {}", sessions.len());
        found.map(session_map).ok_or_else(|| refuse(&ctx, what(), "count from 0"))
    });
}

fn session_map(session: &PastSession) -> Map {
    let optional = |amount: Option<Decimal>| amount.map_or(Dynamic::UNIT, Dynamic::from_decimal);
    let facts: [(&str, Dynamic); 12] = [
        ("name", session.name.clone().into()),
        ("day", session.day.clone().into()),
        ("month", session.month().into()),
        ("recipe", session.recipe.clone().into()),
        ("yard", session.yard.clone().into()),
        ("currency", session.currency.clone().into()),
        ("net", Dynamic::from_decimal(session.net)),
        ("gain", optional(session.gain)),
        ("minutes", Dynamic::from_decimal(session.minutes)),
        ("intake", session.intake.map_or(Dynamic::UNIT, Dynamic::from)),
        ("sample", Dynamic::from_bool(session.sample)),
        ("ended", Dynamic::from_bool(session.ended)),
    ];
    facts.into_iter().map(|(name, value)| (name.into(), value)).collect()
}

fn results(engine: &mut Engine, desk: &Rc<HostState>) {
    let give = |ctx: &NativeCallContext, desk: &HostState, key: &str, label: &str, amount: Amount| -> Outcome<()> {
        naming::well_formed_id(key).map_err(|message| refuse(ctx, message, ""))?;
        showable(ctx, "the result's name", label, MAX_NAME)?;
        let job = job(ctx, desk)?;
        let mut sheet = job.sheet.borrow_mut();
        if sheet.figure(key).is_some() || matches!(key, "verdict" | "remark" | "caution" | "refused") {
            return Err(refuse(
                ctx,
                format!("the result `{key}` is there already"),
                "give each result a key of its own",
            ));
        }
        if sheet.figures.len() >= MAX_LINES {
            return Err(refuse(ctx, format!("too many results: at most {MAX_LINES}"), ""));
        }
        sheet.figures.push(Figure { key: key.to_owned(), label: label.to_owned(), amount });
        Ok(())
    };
    let shared = desk.clone();
    engine.register_fn(
        "gives",
        move |ctx: NativeCallContext, _: SheetHandle, key: &str, label: &str, value: Dynamic| {
            let amount = plain(&ctx, &value)?;
            give(&ctx, &shared, key, label, amount)
        },
    );
    let shared = desk.clone();
    engine.register_fn(
        "gives",
        move |ctx: NativeCallContext, _: SheetHandle, key: &str, label: &str, value: Dynamic, unit: &str| {
            showable(&ctx, "the unit", unit, 20)?;
            let value = number(&value).ok_or_else(|| refuse(&ctx, format!("{} is no number", seen(&value)), ""))?;
            give(&ctx, &shared, key, label, Amount::Number(value, unit.to_owned()))
        },
    );
    let shared = desk.clone();
    engine.register_fn(
        "gives_money",
        move |ctx: NativeCallContext, _: SheetHandle, key: &str, label: &str, amount: Dynamic| {
            let money = money(&ctx, &shared, &amount)?.rounded();
            give(&ctx, &shared, key, label, Amount::Money(money))
        },
    );
    let shared = desk.clone();
    engine.register_fn(
        "gives_rate",
        move |ctx: NativeCallContext, _: SheetHandle, key: &str, label: &str, amount: Dynamic| {
            let money = money(&ctx, &shared, &amount)?.rounded();
            let unit = job(&ctx, &shared)?.till.yard.unit();
            let price = Price::new(money.amount(), money.currency(), Basis::Weight(unit));
            let price = price.map_err(|error| refuse(&ctx, error.to_string(), ""))?;
            give(&ctx, &shared, key, label, Amount::Price(price))
        },
    );
}

fn plain(ctx: &NativeCallContext, value: &Dynamic) -> Outcome<Amount> {
    if let Some(mass) = value.read_lock::<Mass>() {
        return Ok(Amount::Weight(*mass));
    }
    if let Some(price) = value.read_lock::<Price>() {
        return Ok(Amount::Price(*price));
    }
    if let Some(number) = number(value) {
        return Ok(Amount::Number(number, String::new()));
    }
    match value.clone().into_immutable_string() {
        Ok(text) => showable(ctx, "the result", &text, MAX_PARAGRAPH).map(|()| Amount::Text(text.to_string())),
        Err(_) => {
            Err(refuse(ctx, format!("{} is no result", seen(value)), "give a weight, a number, a rate or a text"))
        }
    }
}

fn money(ctx: &NativeCallContext, desk: &HostState, amount: &Dynamic) -> Outcome<Money> {
    let number = number(amount).ok_or_else(|| refuse(ctx, format!("{} is no amount", seen(amount)), ""))?;
    let currency = job(ctx, desk)?.till.yard.currency();
    Money::new(number, currency).map_err(|error| refuse(ctx, error.to_string(), ""))
}

/// Where a line of a sheet goes.
type Lines = fn(&mut Sheet) -> &mut Vec<String>;

fn lines(engine: &mut Engine, desk: &Rc<HostState>) {
    let kinds: [(&str, Lines); 2] = [("verdict", |sheet| &mut sheet.verdicts), ("says", |sheet| &mut sheet.remarks)];
    for (word, of) in kinds {
        let shared = desk.clone();
        engine.register_fn(word, move |ctx: NativeCallContext, _: SheetHandle, text: &str| -> Outcome<()> {
            showable(&ctx, "the text", text, MAX_PARAGRAPH)?;
            add(&ctx, &*job(&ctx, &shared)?, of, text)
        });
    }
    let shared = desk.clone();
    engine.register_fn("caution", move |ctx: NativeCallContext, _: SheetHandle, hazard: &str| -> Outcome<()> {
        shared.known_hazard(&ctx, hazard)?;
        let job = job(&ctx, &shared)?;
        if job.sheet.borrow().cautions.iter().any(|known| known == hazard) {
            return Ok(());
        }
        add(&ctx, &job, |sheet| &mut sheet.cautions, hazard)
    });
    let shared = desk.clone();
    engine.register_fn("refuse", move |ctx: NativeCallContext, _: SheetHandle, key: &str, why: &str| -> Outcome<()> {
        showable(&ctx, "the reason", why, MAX_PARAGRAPH)?;
        let job = job(&ctx, &shared)?;
        answer(&ctx, &job, key)?;
        job.sheet.borrow_mut().refused = Some((key.replace('_', "-"), why.to_owned()));
        // Nothing is worked out from an answer that cannot be, whatever the script would do next.
        shared.allowance.end(Stop::Halted);
        Err(EvalAltResult::ErrorTerminated(Dynamic::UNIT, Position::NONE).into())
    });
}

fn add(ctx: &NativeCallContext, job: &Job, of: Lines, text: &str) -> Outcome<()> {
    let mut sheet = job.sheet.borrow_mut();
    let lines = of(&mut sheet);
    if lines.len() >= MAX_LINES {
        return Err(refuse(ctx, format!("too many lines: at most {MAX_LINES}"), ""));
    }
    lines.push(text.to_owned());
    Ok(())
}

fn rates(engine: &mut Engine) {
    engine.register_fn("of", |ctx: NativeCallContext, rate: Price, mass: Mass| -> Outcome<Decimal> {
        rate.of(mass, 1).map(|money| money.amount()).map_err(|error| refuse(&ctx, error.to_string(), ""))
    });
    engine.register_fn("amount", |rate: Price| rate.amount());
    engine.register_fn("is_each", |rate: Price| rate.basis() == Basis::Piece);
    engine.register_fn("to_string", |rate: Price| rate.to_string());
}

/// A function of one number that says when it has no value.
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
    let power = move |ctx: &NativeCallContext, x: Decimal, y: &Dynamic| -> Outcome<Decimal> {
        let exponent = number(y).ok_or_else(|| refuse(ctx, format!("{} is no exponent", seen(y)), "such as 0.5"))?;
        kept(ctx, "pow", &format!("{x}, {exponent}"), maths::pow(x, exponent))
    };
    engine.register_fn("pow", move |ctx: NativeCallContext, x: Decimal, y: Dynamic| power(&ctx, x, &y));
    engine.register_fn("pow", move |ctx: NativeCallContext, x: i64, y: Dynamic| power(&ctx, Decimal::from(x), &y));
    for (name, least, round) in [("rounded", 0, to_places as Rounding), ("significant", 1, to_digits as Rounding)] {
        let cut = move |ctx: &NativeCallContext, x: Decimal, digits: i64| -> Outcome<Decimal> {
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

/// A way to round to so many digits.
type Rounding = fn(Decimal, u32) -> Option<Decimal>;

fn to_places(x: Decimal, places: u32) -> Option<Decimal> {
    Some(x.round_dp_with_strategy(places, RoundingStrategy::MidpointAwayFromZero).normalize())
}

fn to_digits(x: Decimal, digits: u32) -> Option<Decimal> {
    x.round_sf_with_strategy(digits, RoundingStrategy::MidpointAwayFromZero).map(|x| x.normalize())
}
