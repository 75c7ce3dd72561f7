//! The words with which a tool works: its answers, the catalogue, the yard's prices, and its results.

use std::rc::Rc;

use rhai::{Dynamic, Engine, EvalAltResult, Map, NativeCallContext, Position};
use rust_decimal::Decimal;

use super::allowance::Stop;
use super::desk::HostState;
use super::job::Job;
use super::limits::{MAX_NAME, MAX_PARAGRAPH};
use super::refusal::{ScriptResult, refuse, showable};
use super::unit_words::unit_word;
use super::values::{number, seen};
use super::word::{Word, word};
use crate::naming::{self, suggest};
use crate::quantity::{Basis, Mass, Money, Price};
use crate::tool::{Amount, Figure, GivenInput, PastSession, PriceUsed, Row, RowUsed, Sheet, TableCell, Value};

/// A script's handle of the sheet that it fills.
#[derive(Debug, Clone, Copy)]
pub(super) struct SheetHandle;

/// The most results, verdicts, remarks and cautions of a sheet, each.
const MAX_LINES: usize = 100;

/// The words of a sheet, in the order in which an author meets them.
#[rustfmt::skip]
pub(super) const WORDS: &[Word] = &[
    word("sheet", "session_count", "", "how many sessions of the past there are, for a report",
        r#"sheet.gives("n", "Sessions", sheet.session_count());"#).giving("whole number"),
    word("sheet", "session", "place from 0", "a session, oldest first, as a map: name, day, month, recipe, yard, currency, net, gain, minutes, intake, sample, ended",
        r#"for n in 0..sheet.session_count() { sheet.says(sheet.session(n).day); }"#).giving("map"),
    word("sheet", "read_to", "key", "one step of the last digit that was typed: what the scale shows",
        r#"let step = sheet.read_to("lot"); sheet.gives("step", "Read to", step);"#).giving("weight or number"),
    word("sheet", "row", "table, key", "a row of a table of the catalogue, as a map; its source is shown with the result",
        r#"sheet.gives("d", "Density", sheet.row("densities", "lead").low, "g/cm3");"#).giving("map"),
    word("sheet", "rows", "table", "all rows of a table, each a map with its key",
        r#"sheet.gives("n", "Materials", sheet.rows("densities").len());"#).giving("array"),
    word("sheet", "price", "grade, weight", "the price that the yard in use pays for such a lot, a rate; () where it buys none",
        r#"if sheet.price("copper-2", sheet.lot) == () { sheet.verdict("not bought") }"#).giving("rate, or ()"),
    word("sheet", "yard_unit", "", "the unit in which the yard weighs, such as kg",
        r#"sheet.says("in " + sheet.yard_unit());"#).giving("text"),
    word("sheet", "yard_division", "", "the division of the yard's scale, a weight; () where it is not declared",
        r#"if sheet.yard_division() != () { sheet.says("has a scale") }"#).giving("weight, or ()"),
    word("sheet", "yard_name", "", "what the yard is called",
        r#"sheet.says("at " + sheet.yard_name());"#).giving("text"),
    word("sheet", "gives", "key, name, weight, number, rate or text; or key, name, number, unit", "a result, shown exactly as it is given",
        r#"sheet.gives("share", "Copper in it", 61.1, "%");"#),
    word("sheet", "gives_money", "key, name, amount", "a result in the yard's currency, rounded once to its minor unit",
        r#"sheet.gives_money("gain", "Stripping adds", 4.805);"#).in_units("the yard's currency"),
    word("sheet", "gives_rate", "key, name, amount", "a result that is a price per the yard's unit of weight",
        r#"sheet.gives_rate("break-even", "Pays from", 3.40);"#).in_units("the yard's currency, per its unit of weight"),
    word("sheet", "verdict", "text", "what follows from the results, in a line",
        r#"sheet.verdict("strip it");"#),
    word("sheet", "says", "text", "a remark below the results",
        r#"sheet.says("Measure again after a rest.");"#),
    word("sheet", "caution", "hazard", "shows the cautions of a hazard of the catalogue, in full",
        r#"sheet.caution("wire-burning");"#),
    word("sheet", "refuse", "key, text", "an answer that cannot be, and why: it is asked again, and nothing is worked out",
        r#"if sheet.lot > 40.kg { sheet.refuse("lot", "no bag holds that") }"#),
];

/// Registers the sheet words.
pub(super) fn register(engine: &mut Engine, desk: &Rc<HostState>) {
    engine.register_type_with_name::<SheetHandle>("sheet");
    answers(engine, desk);
    catalogue(engine, desk);
    yard(engine, desk);
    sessions(engine, desk);
    results(engine, desk);
    lines(engine, desk);
}

/// The running job.
fn job(ctx: &NativeCallContext, desk: &HostState) -> ScriptResult<Rc<Job>> {
    if desk.allowance.stopped().is_some() {
        return Err(EvalAltResult::ErrorTerminated(Dynamic::UNIT, ctx.call_position()).into());
    }
    let job = desk.job.borrow().clone();
    job.ok_or_else(|| refuse(ctx, "only a tool's work has a sheet", "move this into works_out(|sheet| { … })"))
}

fn answers(engine: &mut Engine, desk: &Rc<HostState>) {
    let shared = desk.clone();
    engine.register_indexer_get(
        move |ctx: NativeCallContext, _: &mut SheetHandle, key: &str| -> ScriptResult<Dynamic> {
            answer(&ctx, &*job(&ctx, &shared)?, key).map(|given| value(&given.value))
        },
    );
    let shared = desk.clone();
    engine.register_fn("read_to", move |ctx: NativeCallContext, _: SheetHandle, key: &str| -> ScriptResult<Dynamic> {
        let job = job(&ctx, &shared)?;
        let given = answer(&ctx, &job, key)?;
        Ok(match (&given.value, given.step) {
            (Value::Weight(_), Some(step)) => Mass::from_grams(step).map_or(Dynamic::UNIT, Dynamic::from),
            (_, Some(step)) => Dynamic::from_decimal(step),
            (_, None) => Dynamic::UNIT,
        })
    });
}

fn answer<'j>(ctx: &NativeCallContext, job: &'j Job, key: &str) -> ScriptResult<&'j GivenInput> {
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
    engine.register_fn(
        "row",
        move |ctx: NativeCallContext, _: SheetHandle, table: &str, key: &str| -> ScriptResult<Map> {
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
        },
    );
    let shared = desk.clone();
    engine.register_fn(
        "rows",
        move |ctx: NativeCallContext, _: SheetHandle, table: &str| -> ScriptResult<rhai::Array> {
            job(&ctx, &shared)?;
            let found = known_table(&ctx, &shared, table)?;
            Ok(found.rows.iter().map(|row| Dynamic::from_map(map_of(row))).collect())
        },
    );
}

fn known_table<'d>(ctx: &NativeCallContext, desk: &'d HostState, name: &str) -> ScriptResult<&'d crate::tool::Table> {
    let tables = desk.catalogue.tables();
    tables.get(name).ok_or_else(|| {
        let what = format!("the catalogue has no table `{}`", naming::one_line(name, 60));
        refuse(ctx, what, suggest(name, tables.names()))
    })
}

/// A row as a script sees it: its key and values. The source stays with the program, which shows it.
fn map_of(row: &Row) -> Map {
    let mut map = Map::new();
    map.insert("key".into(), row.key.clone().into());
    for (name, cell) in &row.cells {
        let value = match cell {
            TableCell::Number(number) => Dynamic::from_decimal(*number),
            TableCell::Text(text) => text.clone().into(),
            TableCell::Yes(yes) => Dynamic::from_bool(*yes),
        };
        map.insert(name.as_str().into(), value);
    }
    map
}

fn yard(engine: &mut Engine, desk: &Rc<HostState>) {
    let shared = desk.clone();
    engine.register_fn(
        "price",
        move |ctx: NativeCallContext, _: SheetHandle, grade: &str, lot: Mass| -> ScriptResult<Dynamic> {
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
    engine.register_fn("yard_unit", move |ctx: NativeCallContext, _: SheetHandle| -> ScriptResult<String> {
        Ok(unit_word(job(&ctx, &shared)?.till.yard.unit()).to_owned())
    });
    let shared = desk.clone();
    engine.register_fn("yard_division", move |ctx: NativeCallContext, _: SheetHandle| -> ScriptResult<Dynamic> {
        Ok(job(&ctx, &shared)?.till.yard.division().map_or(Dynamic::UNIT, Dynamic::from))
    });
    let shared = desk.clone();
    engine.register_fn("yard_name", move |ctx: NativeCallContext, _: SheetHandle| -> ScriptResult<String> {
        Ok(job(&ctx, &shared)?.till.yard.name().to_owned())
    });
}

fn sessions(engine: &mut Engine, desk: &Rc<HostState>) {
    let none =
        |ctx: &NativeCallContext| refuse(ctx, "this tool reads no sessions", "declare it: tool(…).reads_sessions()");
    let shared = desk.clone();
    engine.register_fn("session_count", move |ctx: NativeCallContext, _: SheetHandle| -> ScriptResult<i64> {
        let job = job(&ctx, &shared)?;
        let sessions = job.sessions.as_ref().ok_or_else(|| none(&ctx))?;
        Ok(i64::try_from(sessions.len()).unwrap_or(i64::MAX))
    });
    let shared = desk.clone();
    engine.register_fn("session", move |ctx: NativeCallContext, _: SheetHandle, place: i64| -> ScriptResult<Map> {
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
    let give =
        |ctx: &NativeCallContext, desk: &HostState, key: &str, label: &str, amount: Amount| -> ScriptResult<()> {
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

fn plain(ctx: &NativeCallContext, value: &Dynamic) -> ScriptResult<Amount> {
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

fn money(ctx: &NativeCallContext, desk: &HostState, amount: &Dynamic) -> ScriptResult<Money> {
    let number = number(amount).ok_or_else(|| refuse(ctx, format!("{} is no amount", seen(amount)), ""))?;
    let currency = job(ctx, desk)?.till.yard.currency();
    Money::new(number, currency).map_err(|error| refuse(ctx, error.to_string(), ""))
}

/// The field of a sheet that a line goes to.
type Lines = fn(&mut Sheet) -> &mut Vec<String>;

fn lines(engine: &mut Engine, desk: &Rc<HostState>) {
    let kinds: [(&str, Lines); 2] = [("verdict", |sheet| &mut sheet.verdicts), ("says", |sheet| &mut sheet.remarks)];
    for (word, of) in kinds {
        let shared = desk.clone();
        engine.register_fn(word, move |ctx: NativeCallContext, _: SheetHandle, text: &str| -> ScriptResult<()> {
            showable(&ctx, "the text", text, MAX_PARAGRAPH)?;
            add(&ctx, &*job(&ctx, &shared)?, of, text)
        });
    }
    let shared = desk.clone();
    engine.register_fn("caution", move |ctx: NativeCallContext, _: SheetHandle, hazard: &str| -> ScriptResult<()> {
        shared.known_hazard(&ctx, hazard)?;
        let job = job(&ctx, &shared)?;
        if job.sheet.borrow().cautions.iter().any(|known| known == hazard) {
            return Ok(());
        }
        add(&ctx, &job, |sheet| &mut sheet.cautions, hazard)
    });
    let shared = desk.clone();
    engine.register_fn(
        "refuse",
        move |ctx: NativeCallContext, _: SheetHandle, key: &str, why: &str| -> ScriptResult<()> {
            showable(&ctx, "the reason", why, MAX_PARAGRAPH)?;
            let job = job(&ctx, &shared)?;
            answer(&ctx, &job, key)?;
            job.sheet.borrow_mut().refused = Some((key.replace('_', "-"), why.to_owned()));
            // Stop here: nothing may be computed from an impossible answer, whatever the script would do next.
            shared.allowance.end(Stop::Halted);
            Err(EvalAltResult::ErrorTerminated(Dynamic::UNIT, Position::NONE).into())
        },
    );
}

fn add(ctx: &NativeCallContext, job: &Job, of: Lines, text: &str) -> ScriptResult<()> {
    let mut sheet = job.sheet.borrow_mut();
    let lines = of(&mut sheet);
    if lines.len() >= MAX_LINES {
        return Err(refuse(ctx, format!("too many lines: at most {MAX_LINES}"), ""));
    }
    lines.push(text.to_owned());
    Ok(())
}
