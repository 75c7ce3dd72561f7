//! The words with which a script declares a bench tool: its inputs, its work, its examples.

use std::rc::Rc;

use rhai::{Array, Dynamic, Engine, FnPtr, ImmutableString, Map, NativeCallContext};
use rust_decimal::Decimal;

use super::desk::{HostState, declaring};
use super::limits::{MAX_NAME, MAX_PARAGRAPH};
use super::recipe_words::texts;
use super::refusal::{Outcome, mark, refuse, showable};
use super::unit_words::unit_words;
use super::values::{number, seen};
use crate::naming::suggest;
use crate::quantity::{Mass, MassUnit};
use crate::tool::{Example, Input, Kind, PastSession, Tool, ToolDraft};

/// A script's hold on the tool that it declares.
#[derive(Debug, Clone, Copy)]
pub(super) struct ToolHandle;

/// A script's hold on one input.
#[derive(Debug, Clone, Copy)]
pub(super) struct InputHandle(usize);

/// A script's hold on one example.
#[derive(Debug, Clone, Copy)]
pub(super) struct ExampleHandle(usize);

/// Sets a number of the tool.
type SetNumber = fn(&mut Tool, u32);
/// Sets a text of an input.
type SetText = fn(&mut Input, String);

/// Registers the words that declare tools.
pub(super) fn register(engine: &mut Engine, desk: &Rc<HostState>) {
    engine.register_type_with_name::<ToolHandle>("tool");
    engine.register_type_with_name::<InputHandle>("input");
    engine.register_type_with_name::<ExampleHandle>("example");
    whole(engine, desk);
    inputs(engine, desk);
    kinds(engine, desk);
    bounds(engine, desk);
    examples(engine, desk);
    sessions(engine, desk);
}

/// Applies `fill` to the tool being declared and points at the call when it refuses.
fn with_tool<T>(
    ctx: &NativeCallContext,
    desk: &HostState,
    fill: impl FnOnce(&mut ToolDraft) -> Result<T, String>,
) -> Outcome<T> {
    declaring(ctx, desk)?;
    let mut draft = desk.tool.borrow_mut();
    let hint = if draft.is_begun() { "" } else { "start with tool(\"id\", \"Title\")" };
    fill(&mut draft).map_err(|message| refuse(ctx, message, hint))
}

fn whole(engine: &mut Engine, desk: &Rc<HostState>) {
    let shared = desk.clone();
    engine.register_fn("tool", move |ctx: NativeCallContext, id: &str, title: &str| -> Outcome<ToolHandle> {
        showable(&ctx, "the tool's title", title, MAX_NAME)?;
        with_tool(&ctx, &shared, |draft| draft.tool(id, title, mark(&ctx))).map(|()| ToolHandle)
    });
    tool_text(engine, desk, "says", MAX_PARAGRAPH, |tool, text| tool.says.push(text));
    tool_text(engine, desk, "figures_from", MAX_PARAGRAPH, |tool, text| tool.figures_from.push(text));
    tool_text(engine, desk, "author", MAX_NAME, |tool, text| tool.author = text);
    tool_text(engine, desk, "licence", MAX_NAME, |tool, text| tool.licence = text);
    let numbers: [(&'static str, SetNumber); 2] =
        [("revision", |tool, n| tool.revision = n), ("needs_api", |tool, n| tool.needs_api = n)];
    for (word, fill) in numbers {
        let shared = desk.clone();
        engine.register_fn(word, move |ctx: NativeCallContext, tool: ToolHandle, count: i64| -> Outcome<ToolHandle> {
            let number = u32::try_from(count).ok().filter(|n| *n > 0);
            let number = number.ok_or_else(|| refuse(&ctx, format!("{word} is {count}"), "count from 1"))?;
            with_tool(&ctx, &shared, |draft| draft.tool_mut().map(|tool| fill(tool, number))).map(|()| tool)
        });
    }
    let shared = desk.clone();
    engine.register_fn("reads_sessions", move |ctx: NativeCallContext, tool: ToolHandle| -> Outcome<ToolHandle> {
        with_tool(&ctx, &shared, |draft| draft.tool_mut().map(|tool| tool.reads_sessions = true)).map(|()| tool)
    });
    let shared = desk.clone();
    engine.register_fn("works_out", move |ctx: NativeCallContext, work: FnPtr| -> Outcome<()> {
        with_tool(&ctx, &shared, |draft| draft.tool_mut().map(drop))?;
        match shared.tool_work.borrow_mut().replace(work) {
            Some(_) => Err(refuse(&ctx, "this tool has its work already", "keep one works_out(…)")),
            None => Ok(()),
        }
    });
}

fn tool_text(engine: &mut Engine, desk: &Rc<HostState>, word: &'static str, most: usize, fill: fn(&mut Tool, String)) {
    let shared = desk.clone();
    engine.register_fn(word, move |ctx: NativeCallContext, tool: ToolHandle, text: &str| -> Outcome<ToolHandle> {
        showable(&ctx, &format!("the text of `{word}`"), text, most)?;
        with_tool(&ctx, &shared, |draft| draft.tool_mut().map(|tool| fill(tool, text.to_owned()))).map(|()| tool)
    });
}

fn inputs(engine: &mut Engine, desk: &Rc<HostState>) {
    let shared = desk.clone();
    engine.register_fn("input", move |ctx: NativeCallContext, key: &str, question: &str| -> Outcome<InputHandle> {
        showable(&ctx, "the question", question, MAX_NAME)?;
        with_tool(&ctx, &shared, |draft| draft.input(key, question, mark(&ctx))).map(InputHandle)
    });
    let words: [(&'static str, SetText); 3] = [
        ("usually", |input, text| input.usual = Some(text)),
        ("such_as", |input, text| input.such_as = text),
        ("says", |input, text| input.says = text),
    ];
    for (word, fill) in words {
        let shared = desk.clone();
        engine.register_fn(
            word,
            move |ctx: NativeCallContext, input: InputHandle, text: Dynamic| -> Outcome<InputHandle> {
                let text = typed(&ctx, &text)?;
                showable(&ctx, &format!("the text of `{word}`"), &text, MAX_PARAGRAPH)?;
                with_tool(&ctx, &shared, |draft| draft.input_mut(input.0).map(|input| fill(input, text)))
                    .map(|()| input)
            },
        );
    }
    let shared = desk.clone();
    engine.register_fn("optional", move |ctx: NativeCallContext, input: InputHandle| -> Outcome<InputHandle> {
        with_tool(&ctx, &shared, |draft| draft.input_mut(input.0).map(|input| input.optional = true)).map(|()| input)
    });
    let shared = desk.clone();
    engine.register_fn(
        "when",
        move |ctx: NativeCallContext, input: InputHandle, key: &str, values: Dynamic| -> Outcome<InputHandle> {
            let values = match values.read_lock::<Array>() {
                Some(list) => list.iter().map(|value| typed(&ctx, value)).collect::<Outcome<_>>()?,
                None => vec![typed(&ctx, &values)?],
            };
            with_tool(&ctx, &shared, |draft| draft.when(input.0, key, values)).map(|()| input)
        },
    );
}

fn kinds(engine: &mut Engine, desk: &Rc<HostState>) {
    let kind = |engine: &mut Engine, word: &'static str, kind: Kind| {
        let shared = desk.clone();
        engine.register_fn(word, move |ctx: NativeCallContext, input: InputHandle| -> Outcome<InputHandle> {
            with_tool(&ctx, &shared, |draft| draft.kind(input.0, kind.clone())).map(|()| input)
        });
    };
    kind(engine, "weight", Kind::Weight);
    kind(engine, "number", Kind::Number { unit: String::new() });
    kind(engine, "count", Kind::Count);
    kind(engine, "yes_no", Kind::YesNo);
    kind(engine, "grade", Kind::Grade);
    kind(engine, "price", Kind::Price { unit: None });
    let shared = desk.clone();
    engine.register_fn(
        "number",
        move |ctx: NativeCallContext, input: InputHandle, unit: &str| -> Outcome<InputHandle> {
            showable(&ctx, "the unit", unit, 20)?;
            with_tool(&ctx, &shared, |draft| draft.kind(input.0, Kind::Number { unit: unit.to_owned() }))
                .map(|()| input)
        },
    );
    let shared = desk.clone();
    engine.register_fn(
        "price",
        move |ctx: NativeCallContext, input: InputHandle, unit: &str| -> Outcome<InputHandle> {
            let unit = mass_unit(&ctx, unit)?;
            with_tool(&ctx, &shared, |draft| draft.kind(input.0, Kind::Price { unit: Some(unit) })).map(|()| input)
        },
    );
    let shared = desk.clone();
    engine.register_fn(
        "choice",
        move |ctx: NativeCallContext, input: InputHandle, options: Array| -> Outcome<InputHandle> {
            let options = texts(&ctx, options, "options")?;
            if options.len() < 2 {
                return Err(refuse(&ctx, "a choice needs two options or more", "write [\"copper\", \"silver\"]"));
            }
            with_tool(&ctx, &shared, |draft| draft.kind(input.0, Kind::Choice { options })).map(|()| input)
        },
    );
}

fn mass_unit(ctx: &NativeCallContext, word: &str) -> Outcome<MassUnit> {
    word.replace('_', " ")
        .parse()
        .map_err(|error: crate::quantity::UnitError| refuse(ctx, error.to_string(), suggest(word, unit_words())))
}

fn bounds(engine: &mut Engine, desk: &Rc<HostState>) {
    let shared = desk.clone();
    engine.register_fn(
        "between",
        move |ctx: NativeCallContext, input: InputHandle, low: Dynamic, high: Dynamic| -> Outcome<InputHandle> {
            let bound = |value: &Dynamic| -> Outcome<Decimal> {
                let grams = value.read_lock::<Mass>().map(|mass| mass.grams());
                grams.or_else(|| number(value)).ok_or_else(|| {
                    refuse(&ctx, format!("{} is no bound", seen(value)), "write numbers, or weights such as 1.g")
                })
            };
            let (low, high) = (bound(&low)?, bound(&high)?);
            with_tool(&ctx, &shared, |draft| draft.between(input.0, low, high)).map(|()| input)
        },
    );
}

fn examples(engine: &mut Engine, desk: &Rc<HostState>) {
    let shared = desk.clone();
    engine.register_fn(
        "example",
        move |ctx: NativeCallContext, title: &str, given: Map, gives: Map| -> Outcome<ExampleHandle> {
            showable(&ctx, "the example's title", title, MAX_NAME)?;
            let pairs = |map: Map| -> Outcome<Vec<(String, String)>> {
                map.into_iter().map(|(key, value)| Ok((key.replace('_', "-"), typed(&ctx, &value)?))).collect()
            };
            let example = Example {
                title: title.to_owned(),
                given: pairs(given)?,
                gives: pairs(gives)?,
                yard: None,
                sessions: Vec::new(),
                mark: mark(&ctx),
            };
            with_tool(&ctx, &shared, |draft| draft.example(example)).map(ExampleHandle)
        },
    );
    let shared = desk.clone();
    engine.register_fn(
        "at",
        move |ctx: NativeCallContext, example: ExampleHandle, yard: &str| -> Outcome<ExampleHandle> {
            showable(&ctx, "the yard", yard, MAX_NAME)?;
            let set = |draft: &mut ToolDraft| {
                let tool = draft.tool_mut()?;
                let known = tool.examples.get_mut(example.0).ok_or("this example is not of this tool")?;
                known.yard = Some(yard.to_owned());
                Ok(())
            };
            with_tool(&ctx, &shared, set).map(|()| example)
        },
    );
}

/// Lets an example of a report read a session.
fn sessions(engine: &mut Engine, desk: &Rc<HostState>) {
    let shared = desk.clone();
    engine.register_fn(
        "session",
        move |ctx: NativeCallContext, example: ExampleHandle, facts: Map| -> Outcome<ExampleHandle> {
            let session = session(&ctx, &facts)?;
            let add = |draft: &mut ToolDraft| {
                let tool = draft.tool_mut()?;
                let known = tool.examples.get_mut(example.0).ok_or("this example is not of this tool")?;
                known.sessions.push(session);
                Ok(())
            };
            with_tool(&ctx, &shared, add).map(|()| example)
        },
    );
}

/// A session as an example tells it.
fn session(ctx: &NativeCallContext, facts: &Map) -> Outcome<PastSession> {
    let mut session = PastSession { name: "example".to_owned(), ended: true, ..PastSession::default() };
    for (key, value) in facts {
        let text = || typed(ctx, value);
        let amount = || number(value).ok_or_else(|| refuse(ctx, format!("{} is no number", seen(value)), ""));
        match key.as_str() {
            "name" => session.name = text()?,
            "day" => session.day = text()?,
            "recipe" => session.recipe = text()?,
            "yard" => session.yard = text()?,
            "currency" => session.currency = text()?,
            "net" => session.net = amount()?,
            "gain" => session.gain = Some(amount()?),
            "minutes" => session.minutes = amount()?,
            "intake" => session.intake = value.read_lock::<Mass>().map(|mass| *mass),
            "sample" => session.sample = value.as_bool().unwrap_or(false),
            "ended" => session.ended = value.as_bool().unwrap_or(true),
            other => {
                let known = [
                    "name", "day", "recipe", "yard", "currency", "net", "gain", "minutes", "intake", "sample", "ended",
                ];
                return Err(refuse(ctx, format!("a session has no `{other}`"), suggest(other, known.into_iter())));
            }
        }
    }
    Ok(session)
}

/// A value as one would type it as an answer.
fn typed(ctx: &NativeCallContext, value: &Dynamic) -> Outcome<String> {
    if let Some(mass) = value.read_lock::<Mass>() {
        return Ok(mass.to_string());
    }
    if let Some(text) = value.read_lock::<ImmutableString>() {
        return Ok(text.to_string());
    }
    if let Ok(yes) = value.as_bool() {
        return Ok(if yes { "yes" } else { "no" }.to_owned());
    }
    let number = number(value).map(|number| number.to_string());
    number.ok_or_else(|| {
        refuse(ctx, format!("{} is no answer", seen(value)), "write a text, a number, a weight, true or false")
    })
}
