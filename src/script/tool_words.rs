//! The words with which a script declares a bench tool: its inputs, its work, its examples.

use std::rc::Rc;

use rhai::{Array, Dynamic, Engine, FnPtr, ImmutableString, Map, NativeCallContext};
use rust_decimal::Decimal;

use super::desk::{HostState, declaring};
use super::limits::{MAX_NAME, MAX_PARAGRAPH};
use super::recipe_words::texts;
use super::refusal::{ScriptResult, mark, refuse, showable};
use super::unit_words::mass_unit;
use super::values::{from_one, number, seen};
use super::word::{Word, word};
use crate::naming::suggest;
use crate::quantity::Mass;
use crate::tool::{Example, Input, InputKind, PastSession, Tool, ToolDraft};

/// A script's handle of the tool that it declares.
#[derive(Debug, Clone, Copy)]
pub(super) struct ToolHandle;

/// A script's handle of one input.
#[derive(Debug, Clone, Copy)]
pub(super) struct InputHandle(usize);

/// A script's handle of one example.
#[derive(Debug, Clone, Copy)]
pub(super) struct ExampleHandle(usize);

/// Sets a number of the tool.
type SetNumber = fn(&mut Tool, u32);
/// Sets a text of an input.
type SetText = fn(&mut Input, String);

/// The words of a tool's declarations, in the order in which an author meets them.
#[rustfmt::skip]
pub(super) const WORDS: &[Word] = &[
    word("script", "tool", "id, title", "starts a bench tool, which becomes a command; the first statement of the file",
        r#"tool("bag", "What a bag of parts holds").says("Weigh dry.");"#).giving("tool"),
    word("tool", "says", "text", "what is said before the first question; may be repeated",
        r#".says("Shake the water off first.")"#),
    word("tool", "figures_from", "text", "where its figures come from; may be repeated",
        r#".figures_from("estimate, no publication behind it")"#),
    word("tool", "author", "text", "who wrote the tool",
        r#".author("A. Writer")"#),
    word("tool", "licence", "text", "under which licence it may be passed on",
        r#".licence("CC0-1.0")"#),
    word("tool", "revision", "count", "counts up with every change",
        r#".revision(2)"#),
    word("tool", "needs_api", "count", "the script language version that it needs",
        r#".needs_api(1)"#),
    word("tool", "reads_sessions", "", "a report: it reads the sessions of the past, valued as they were",
        r#".reads_sessions()"#),
    word("script", "input", "key, question", "declares a question of a tool; the key is also its option and its name in the work",
        r#"input("bags", "How many bags?").count();"#).giving("input"),
    word("input", "weight", "", "it takes a weight, as the bench does: 8 lb 2 oz, 12.4 - bucket",
        r#".weight()"#),
    word("input", "number", "unit, or nothing", "it takes a number; with a unit, other units of its kind are converted: 2.1 kV, 12 ft 6 in",
        r#".number("V")"#).in_units("the unit named, if any"),
    word("input", "count", "", "it takes a whole number from 0",
        r#".count()"#),
    word("input", "choice", "[option, …]", "it takes one of several",
        r#".choice(["copper", "silver"])"#),
    word("input", "yes_no", "", "it takes yes or no",
        r#".yes_no()"#),
    word("input", "grade", "", "it takes a grade of the catalogue",
        r#".grade()"#),
    word("input", "price", "unit, or nothing", "it takes a price in the yard's currency, per the unit named or the yard's own",
        r#".price("ozt")"#).in_units("the yard's currency, per the unit named, else the yard's"),
    word("input", "usually", "answer", "what Enter alone answers, written with a decimal point and its unit",
        r#".usually("1 kg")"#),
    word("input", "such_as", "answer", "an example of an answer, shown with the question",
        r#".such_as("8 lb 2 oz")"#),
    word("input", "says", "text", "what is told when somebody asks ?",
        r#".says("With the bag: it is taken off later.")"#),
    word("input", "between", "low, high", "what an answer must lie between: numbers, or weights with their unit",
        r#".between(1.g, 50.kg)"#),
    word("input", "optional", "", "it may stay open; the work then gets ()",
        r#".optional()"#),
    word("input", "when", "key, answer or [answer, …]", "asked only if an earlier input was answered so",
        r#".when("lid", ["yes", "no"])"#),
    word("script", "works_out", "|sheet| { … }", "what the tool works out from the answers",
        r#"works_out(|sheet| { sheet.gives("twice", "Twice the lot", sheet.lot * 2); });"#),
    word("script", "example", "title, #{ input: answer }, #{ result: value }", "a worked example, which is a test of the tool; keys are written with _ for -, and verdict, remark, caution and refused are results, too",
        r#"example("one", #{ lot: "2 kg" }, #{ refused: "none" });"#).giving("example"),
    word("example", "at", "yard", "the yard whose prices count; the first shipped one otherwise",
        r#".at("bluegum-siding")"#),
    word("example", "session", "#{ day: …, recipe: …, currency: …, net: …, gain: …, minutes: … }", "a session that a report reads in this example",
        r#".session(#{ day: "2026-11-02", recipe: "kettle", currency: "AUD", net: 3.50, gain: 3.00, minutes: 30 })"#).in_units("amounts in the currency named; minutes"),
];

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

/// Applies `fill` to the tool being declared; a refusal points at the call.
fn with_tool<T>(
    ctx: &NativeCallContext,
    desk: &HostState,
    fill: impl FnOnce(&mut ToolDraft) -> Result<T, String>,
) -> ScriptResult<T> {
    declaring(ctx, desk)?;
    let mut draft = desk.tool.borrow_mut();
    let hint = if draft.is_begun() { "" } else { "start with tool(\"id\", \"Title\")" };
    fill(&mut draft).map_err(|message| refuse(ctx, message, hint))
}

fn whole(engine: &mut Engine, desk: &Rc<HostState>) {
    let shared = desk.clone();
    engine.register_fn("tool", move |ctx: NativeCallContext, id: &str, title: &str| -> ScriptResult<ToolHandle> {
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
        engine.register_fn(
            word,
            move |ctx: NativeCallContext, tool: ToolHandle, count: i64| -> ScriptResult<ToolHandle> {
                let number = from_one(&ctx, word, count)?;
                with_tool(&ctx, &shared, |draft| draft.tool_mut().map(|tool| fill(tool, number))).map(|()| tool)
            },
        );
    }
    let shared = desk.clone();
    engine.register_fn("reads_sessions", move |ctx: NativeCallContext, tool: ToolHandle| -> ScriptResult<ToolHandle> {
        with_tool(&ctx, &shared, |draft| draft.tool_mut().map(|tool| tool.reads_sessions = true)).map(|()| tool)
    });
    let shared = desk.clone();
    engine.register_fn("works_out", move |ctx: NativeCallContext, work: FnPtr| -> ScriptResult<()> {
        with_tool(&ctx, &shared, |draft| draft.tool_mut().map(drop))?;
        match shared.tool_work.borrow_mut().replace(work) {
            Some(_) => Err(refuse(&ctx, "this tool has its work already", "keep one works_out(…)")),
            None => Ok(()),
        }
    });
}

fn tool_text(engine: &mut Engine, desk: &Rc<HostState>, word: &'static str, most: usize, fill: fn(&mut Tool, String)) {
    let shared = desk.clone();
    engine.register_fn(word, move |ctx: NativeCallContext, tool: ToolHandle, text: &str| -> ScriptResult<ToolHandle> {
        showable(&ctx, &format!("the text of `{word}`"), text, most)?;
        with_tool(&ctx, &shared, |draft| draft.tool_mut().map(|tool| fill(tool, text.to_owned()))).map(|()| tool)
    });
}

fn inputs(engine: &mut Engine, desk: &Rc<HostState>) {
    let shared = desk.clone();
    engine.register_fn(
        "input",
        move |ctx: NativeCallContext, key: &str, question: &str| -> ScriptResult<InputHandle> {
            showable(&ctx, "the question", question, MAX_NAME)?;
            with_tool(&ctx, &shared, |draft| draft.input(key, question, mark(&ctx))).map(InputHandle)
        },
    );
    let words: [(&'static str, SetText); 3] = [
        ("usually", |input, text| input.usual = Some(text)),
        ("such_as", |input, text| input.such_as = text),
        ("says", |input, text| input.says = text),
    ];
    for (word, fill) in words {
        let shared = desk.clone();
        engine.register_fn(word, move |ctx: NativeCallContext, input: InputHandle, text: Dynamic| {
            let text = typed(&ctx, &text)?;
            showable(&ctx, &format!("the text of `{word}`"), &text, MAX_PARAGRAPH)?;
            with_tool(&ctx, &shared, |draft| draft.input_mut(input.0).map(|input| fill(input, text))).map(|()| input)
        });
    }
    let shared = desk.clone();
    engine.register_fn("optional", move |ctx: NativeCallContext, input: InputHandle| -> ScriptResult<InputHandle> {
        with_tool(&ctx, &shared, |draft| draft.input_mut(input.0).map(|input| input.optional = true)).map(|()| input)
    });
    let shared = desk.clone();
    engine.register_fn("when", move |ctx: NativeCallContext, input: InputHandle, key: &str, values: Dynamic| {
        let values = match values.read_lock::<Array>() {
            Some(list) => list.iter().map(|value| typed(&ctx, value)).collect::<ScriptResult<_>>()?,
            None => vec![typed(&ctx, &values)?],
        };
        with_tool(&ctx, &shared, |draft| draft.when(input.0, key, values)).map(|()| input)
    });
}

fn kinds(engine: &mut Engine, desk: &Rc<HostState>) {
    let kind = |engine: &mut Engine, word: &'static str, kind: InputKind| {
        let shared = desk.clone();
        engine.register_fn(word, move |ctx: NativeCallContext, input: InputHandle| -> ScriptResult<InputHandle> {
            with_tool(&ctx, &shared, |draft| draft.kind(input.0, kind.clone())).map(|()| input)
        });
    };
    kind(engine, "weight", InputKind::Weight);
    kind(engine, "number", InputKind::Number { unit: String::new() });
    kind(engine, "count", InputKind::Count);
    kind(engine, "yes_no", InputKind::YesNo);
    kind(engine, "grade", InputKind::Grade);
    kind(engine, "price", InputKind::Price { unit: None });
    let shared = desk.clone();
    engine.register_fn("number", move |ctx: NativeCallContext, input: InputHandle, unit: &str| {
        showable(&ctx, "the unit", unit, 20)?;
        with_tool(&ctx, &shared, |draft| draft.kind(input.0, InputKind::Number { unit: unit.to_owned() }))
            .map(|()| input)
    });
    let shared = desk.clone();
    engine.register_fn("price", move |ctx: NativeCallContext, input: InputHandle, unit: &str| {
        let unit = mass_unit(&ctx, unit)?;
        with_tool(&ctx, &shared, |draft| draft.kind(input.0, InputKind::Price { unit: Some(unit) })).map(|()| input)
    });
    let shared = desk.clone();
    engine.register_fn("choice", move |ctx: NativeCallContext, input: InputHandle, options: Array| {
        let options = texts(&ctx, options, "options")?;
        if options.len() < 2 {
            return Err(refuse(&ctx, "a choice needs two options or more", "write [\"copper\", \"silver\"]"));
        }
        with_tool(&ctx, &shared, |draft| draft.kind(input.0, InputKind::Choice { options })).map(|()| input)
    });
}

fn bounds(engine: &mut Engine, desk: &Rc<HostState>) {
    let shared = desk.clone();
    engine.register_fn("between", move |ctx: NativeCallContext, input: InputHandle, low: Dynamic, high: Dynamic| {
        let bound = |value: &Dynamic| -> ScriptResult<Decimal> {
            let grams = value.read_lock::<Mass>().map(|mass| mass.grams());
            grams.or_else(|| number(value)).ok_or_else(|| {
                refuse(&ctx, format!("{} is no bound", seen(value)), "write numbers, or weights such as 1.g")
            })
        };
        let (low, high) = (bound(&low)?, bound(&high)?);
        with_tool(&ctx, &shared, |draft| draft.between(input.0, low, high)).map(|()| input)
    });
}

fn examples(engine: &mut Engine, desk: &Rc<HostState>) {
    let shared = desk.clone();
    engine.register_fn("example", move |ctx: NativeCallContext, title: &str, given: Map, gives: Map| {
        showable(&ctx, "the example's title", title, MAX_NAME)?;
        let pairs = |map: Map| -> ScriptResult<Vec<(String, String)>> {
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
    });
    let shared = desk.clone();
    engine.register_fn("at", move |ctx: NativeCallContext, example: ExampleHandle, yard: &str| {
        showable(&ctx, "the yard", yard, MAX_NAME)?;
        with_example(&ctx, &shared, example, |example| example.yard = Some(yard.to_owned()))
    });
}

fn with_example(
    ctx: &NativeCallContext,
    desk: &HostState,
    example: ExampleHandle,
    fill: impl FnOnce(&mut Example),
) -> ScriptResult<ExampleHandle> {
    let known = |draft: &mut ToolDraft| {
        fill(draft.tool_mut()?.examples.get_mut(example.0).ok_or("this example is not of this tool")?);
        Ok(())
    };
    with_tool(ctx, desk, known).map(|()| example)
}

/// Lets an example of a report supply sessions.
fn sessions(engine: &mut Engine, desk: &Rc<HostState>) {
    let shared = desk.clone();
    engine.register_fn("session", move |ctx: NativeCallContext, example: ExampleHandle, facts: Map| {
        let session = session(&ctx, &facts)?;
        with_example(&ctx, &shared, example, |example| example.sessions.push(session))
    });
}

/// A session as described in an example.
fn session(ctx: &NativeCallContext, facts: &Map) -> ScriptResult<PastSession> {
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

/// A value as the user would type it as an answer.
fn typed(ctx: &NativeCallContext, value: &Dynamic) -> ScriptResult<String> {
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
