//! The words with which a script declares a unit and its steps.

use std::rc::Rc;

use rhai::{Array, Dynamic, Engine, EvalAltResult, FnPtr, NativeCallContext};
use rust_decimal::Decimal;

use super::desk::{HostState, declaring};
use super::limits::{MAX_NAME, MAX_PARAGRAPH};
use super::refusal::{ScriptResult, mark, refuse, showable};
use super::unit_words::estimate;
use super::values::{from_one, number, seen};
use super::word::{Word, word};
use crate::naming::id_of_title;
use crate::quantity::{Currency, Estimate, Minutes, Money};
use crate::recipe::{StepCost, StepDraft, UnitKind};

/// A script's handle of the unit that it declares.
#[derive(Debug, Clone, Copy)]
pub(super) struct UnitHandle;

/// A script's handle of one step: a plain number, so that scripts cannot nest anything in it.
#[derive(Debug, Clone, Copy)]
pub(super) struct StepHandle(usize);

/// The words of a recipe, in the order in which an author meets them.
#[rustfmt::skip]
pub(super) const WORDS: &[Word] = &[
    word("script", "unit", "id, name", "starts a recipe: the kind of unit; the first statement of the file",
        r#"unit("kettle", "Electric kettle").weighs(1.1.kg).sold_whole_as("appliance-light");"#).giving("unit"),
    word("unit", "weighs", "weight range", "what such a unit weighs as it comes",
        r#".weighs((0.8.kg..1.6.kg).usually(1.1.kg))"#),
    word("unit", "sold_whole_as", "grade", "the grade under which a yard buys it untouched",
        r#".sold_whole_as("appliance-light")"#),
    word("unit", "guards", "[hazard, …]", "hazards to confirm before the first step",
        r#".guards(["mains-plugged", "settled-dust"])"#),
    word("unit", "holds", "[item, …]", "what such a unit holds that the law wants out, by number of WEEE Annex VII",
        r#".holds(["1.12"])"#),
    word("unit", "says", "text", "what is said before work starts; may be repeated",
        r#".says("Pour out what water is left in it.")"#),
    word("unit", "figures_from", "text", "where the weights come from, or `estimate`",
        r#".figures_from("estimate")"#),
    word("unit", "author", "text", "who wrote the recipe",
        r#".author("A. Writer")"#),
    word("unit", "licence", "text", "under which licence it may be passed on",
        r#".licence("CC0-1.0")"#),
    word("unit", "revision", "count", "counts up with every change",
        r#".revision(2)"#),
    word("unit", "needs_api", "count", "the script language version that it needs",
        r#".needs_api(1)"#),
    word("script", "step", "id, title, or title", "declares a step; with a title alone, the id is made from it",
        r#"step("spout", "Cut off the spout").minutes(1, 2, 3);"#).giving("step"),
    word("step", "after", "step, or [step, …]", "all of these must be done before",
        r#".after("base")"#),
    word("step", "after_any", "[step, …]", "at least one of these must be done before",
        r#".after_any(["base", "handle"])"#),
    word("step", "minutes", "low, usual, high", "how long the step takes, in minutes",
        r#".minutes(2, 3, 5)"#).in_units("minutes"),
    word("step", "tools", "[text, …]", "tools to have at hand",
        r#".tools(["Torx T20 driver", "gloves"])"#),
    word("step", "guards", "[hazard, …]", "hazards to confirm before the step starts",
        r#".guards(["sharp-sheet"])"#),
    word("step", "says", "text", "an instruction; may be repeated",
        r#".says("Two clips at the hinge: press both at once.")"#),
    word("step", "costs", "name, amount, currency", "something used up each time",
        r#".costs("cutting disc", 0.90, "AUD")"#).in_units("the currency named, ISO 4217"),
    word("step", "opens", "part", "the freed part that the step works on; without it, the unit itself",
        r#".after("base").opens("base")"#),
    word("step", "frees", "part, weight range, grade", "a part that comes out, and the grade under which it sells",
        r#".frees("heater", (60.g..120.g).usually(85.g), "stainless-with-iron")"#),
    word("step", "figures_from", "text", "where the weight of the part just named comes from, or `estimate`",
        r#".frees("heater", 85.g, "stainless-with-iron").figures_from("estimate")"#),
    word("step", "leaves", "part, grade", "the grade of what is left of the opened part",
        r#".after("base").opens("base").leaves("base", "plastic-mixed")"#),
    word("step", "spoils", "grade", "the remainder sells for less from here on, under this grade",
        r#".spoils("plastic-mixed")"#),
    word("step", "cleans", "grade", "the remainder sells for more from here on, under this grade",
        r#".cleans("stainless")"#),
    word("step", "removes", "[item, …]", "items of WEEE Annex VII that are out after this step",
        r#".removes(["1.12"])"#),
    word("step", "work", "|bench| { … }", "asks further questions while the step is done",
        r#".work(|bench| bench.say("Mind the spring in the lid."))"#),
    word("step", "made_up", "", "once begun, asks what is done next until nothing is; each answer becomes a step of its own",
        r#".after("base").made_up()"#),
];

/// Registers the recipe words.
pub(super) fn register(engine: &mut Engine, desk: &Rc<HostState>) {
    engine.register_type_with_name::<UnitHandle>("unit");
    engine.register_type_with_name::<StepHandle>("step");
    unit(engine, desk);
    step(engine, desk);
    order(engine, desk);
    outcome(engine, desk);
}

/// The longest note on where figures come from, in characters.
const MAX_FIGURES_FROM: usize = 400;
/// The most entries of a list.
const MAX_LIST: usize = 60;

/// The texts of a list; any other entry is refused with its index.
pub(super) fn texts(ctx: &NativeCallContext, list: Array, what: &str) -> ScriptResult<Vec<String>> {
    if list.len() > MAX_LIST {
        return Err(refuse(ctx, format!("the {what} have {} entries; at most {MAX_LIST} are taken", list.len()), ""));
    }
    list.into_iter()
        .enumerate()
        .map(|(i, item)| {
            let seen = seen(&item);
            let text = item.into_string().map_err(|_| {
                refuse(ctx, format!("entry {} of the {what} is {seen}, no text", i + 1), "write texts in quotes")
            })?;
            showable(ctx, &format!("entry {} of the {what}", i + 1), &text, MAX_NAME).map(|()| text)
        })
        .collect()
}

fn unit(engine: &mut Engine, desk: &Rc<HostState>) {
    let shared = desk.clone();
    engine.register_fn("unit", move |ctx: NativeCallContext, id: &str, name: &str| -> ScriptResult<UnitHandle> {
        declaring(&ctx, &shared)?;
        showable(&ctx, "the unit's name", name, MAX_NAME)?;
        let declared = shared.recipe.borrow_mut().unit(id, name, mark(&ctx));
        declared
            .map(|()| UnitHandle)
            .map_err(|message| refuse(&ctx, message, "write unit(\"countertop-oven\", \"Countertop oven\")"))
    });
    let shared = desk.clone();
    engine.register_fn("weighs", move |ctx: NativeCallContext, unit: UnitHandle, weight: Dynamic| {
        let expected = estimate(&ctx, &weight)?;
        let done = shared.recipe.borrow_mut().weighs(expected);
        with_unit(&ctx, &shared, |_| ())?;
        done.map(|()| unit).map_err(|message| refuse(&ctx, message, ""))
    });
    unit_text(engine, desk, "sold_whole_as", MAX_NAME, |unit, text| unit.whole_grade = text);
    unit_text(engine, desk, "author", MAX_NAME, |unit, text| unit.author = text);
    unit_text(engine, desk, "licence", MAX_NAME, |unit, text| unit.licence = text);
    let shared = desk.clone();
    engine.register_fn("says", move |ctx: NativeCallContext, _: UnitHandle, text: &str| -> ScriptResult<UnitHandle> {
        showable(&ctx, "the text of `says`", text, MAX_PARAGRAPH)?;
        let mut full = false;
        let unit = with_unit(&ctx, &shared, |unit| match unit.says.len() {
            MAX_LIST.. => full = true,
            _ => unit.says.push(text.to_owned()),
        })?;
        if full {
            Err(refuse(&ctx, format!("too many texts about the unit: at most {MAX_LIST}"), ""))
        } else {
            Ok(unit)
        }
    });
    unit_text(engine, desk, "figures_from", MAX_FIGURES_FROM, |unit, text| unit.figures_from = text);
    unit_number(engine, desk, "revision", |unit, number| unit.revision = number);
    unit_number(engine, desk, "needs_api", |unit, number| unit.needs_api = number);
    unit_list(engine, desk, "guards", |unit, list| unit.guards = list);
    unit_list(engine, desk, "holds", |unit, list| unit.holds = list);
}

fn with_unit(ctx: &NativeCallContext, desk: &HostState, fill: impl FnOnce(&mut UnitKind)) -> ScriptResult<UnitHandle> {
    declaring(ctx, desk)?;
    let mut draft = desk.recipe.borrow_mut();
    let unit = draft.unit_mut().map_err(|message| refuse(ctx, message, ""))?;
    unit.places.note(ctx.fn_name(), mark(ctx));
    fill(unit);
    Ok(UnitHandle)
}

fn unit_text(
    engine: &mut Engine,
    desk: &Rc<HostState>,
    word: &'static str,
    most: usize,
    fill: fn(&mut UnitKind, String),
) {
    let desk = desk.clone();
    engine.register_fn(word, move |ctx: NativeCallContext, _: UnitHandle, text: &str| {
        showable(&ctx, &format!("the text of `{word}`"), text, most)?;
        with_unit(&ctx, &desk, |unit| fill(unit, text.to_owned()))
    });
}

fn unit_list(engine: &mut Engine, desk: &Rc<HostState>, word: &'static str, fill: fn(&mut UnitKind, Vec<String>)) {
    let desk = desk.clone();
    engine.register_fn(word, move |ctx: NativeCallContext, _: UnitHandle, list: Array| {
        let list = texts(&ctx, list, word)?;
        with_unit(&ctx, &desk, |unit| fill(unit, list))
    });
}

fn unit_number(engine: &mut Engine, desk: &Rc<HostState>, word: &'static str, fill: fn(&mut UnitKind, u32)) {
    let desk = desk.clone();
    engine.register_fn(word, move |ctx: NativeCallContext, _: UnitHandle, count: i64| {
        let number = from_one(&ctx, word, count)?;
        with_unit(&ctx, &desk, |unit| fill(unit, number))
    });
}

fn step(engine: &mut Engine, desk: &Rc<HostState>) {
    let shared = desk.clone();
    let declare = move |ctx: &NativeCallContext, id: &str, title: &str| -> ScriptResult<StepHandle> {
        declaring(ctx, &shared)?;
        showable(ctx, "the step's title", title, MAX_NAME)?;
        let declared = shared.recipe.borrow_mut().step(id, title, mark(ctx));
        declared
            .map(StepHandle)
            .map_err(|message| refuse(ctx, message, "write step(\"main-board\", \"Take out the main board\")"))
    };
    let named = declare.clone();
    engine.register_fn("step", move |ctx: NativeCallContext, id: &str, title: &str| named(&ctx, id, title));
    engine.register_fn("step", move |ctx: NativeCallContext, title: &str| declare(&ctx, &id_of_title(title), title));
    let shared = desk.clone();
    engine.register_fn(
        "minutes",
        move |ctx: NativeCallContext, step: StepHandle, low: Dynamic, usual: Dynamic, high: Dynamic| {
            let expected = minutes(&ctx, [&low, &usual, &high])?;
            with_step(&ctx, &shared, step, |draft| {
                draft.minutes(expected);
                Ok(())
            })
        },
    );
    step_list(engine, desk, "tools", |draft, list| list.iter().try_for_each(|tool| draft.tool(tool)));
    step_list(engine, desk, "guards", |draft, list| list.iter().try_for_each(|hazard| draft.guard(hazard)));
    step_list(engine, desk, "removes", |draft, list| list.iter().try_for_each(|item| draft.removes(item)));
    step_text(engine, desk, "says", MAX_PARAGRAPH, |draft, text| draft.says(text));
    let shared = desk.clone();
    engine.register_fn(
        "costs",
        move |ctx: NativeCallContext, step: StepHandle, name: &str, amount: Dynamic, code: &str| {
            showable(&ctx, "the name of a cost", name, MAX_NAME)?;
            let money = money(&ctx, &amount, code)?;
            with_step(&ctx, &shared, step, |draft| draft.costs(StepCost { name: name.to_owned(), money }))
        },
    );
    let shared = desk.clone();
    engine.register_fn("made_up", move |ctx: NativeCallContext, step: StepHandle| {
        with_step(&ctx, &shared, step, |draft| {
            draft.made_up();
            Ok(())
        })
    });
    let shared = desk.clone();
    engine.register_fn("work", move |ctx: NativeCallContext, step: StepHandle, work: FnPtr| {
        let number = shared.works.borrow().len();
        let step = with_step(&ctx, &shared, step, |draft| draft.work(number))?;
        shared.works.borrow_mut().push(work);
        Ok::<_, Box<EvalAltResult>>(step)
    });
}

fn order(engine: &mut Engine, desk: &Rc<HostState>) {
    step_text(engine, desk, "after", MAX_NAME, |draft, id| draft.after_any(vec![id.to_owned()]));
    step_list(engine, desk, "after", |draft, list| list.into_iter().try_for_each(|id| draft.after_any(vec![id])));
    step_list(engine, desk, "after_any", StepDraft::after_any);
    step_text(engine, desk, "opens", MAX_NAME, StepDraft::opens);
}

fn outcome(engine: &mut Engine, desk: &Rc<HostState>) {
    let shared = desk.clone();
    engine.register_fn(
        "frees",
        move |ctx: NativeCallContext, step: StepHandle, part: &str, weight: Dynamic, grade: &str| {
            showable(&ctx, "the part's name", part, MAX_NAME)?;
            let expected = estimate(&ctx, &weight)?;
            with_step(&ctx, &shared, step, |draft| draft.frees(part, expected, grade, mark(&ctx)))
        },
    );
    step_text(engine, desk, "figures_from", MAX_FIGURES_FROM, StepDraft::figures_from);
    let shared = desk.clone();
    engine.register_fn("leaves", move |ctx: NativeCallContext, step: StepHandle, part: &str, grade: &str| {
        with_step(&ctx, &shared, step, |draft| {
            draft.leaves(part, grade, mark(&ctx));
            Ok(())
        })
    });
    for (word, better) in [("spoils", false), ("cleans", true)] {
        let shared = desk.clone();
        engine.register_fn(word, move |ctx: NativeCallContext, step: StepHandle, grade: &str| {
            with_step(&ctx, &shared, step, |draft| draft.rest(grade, better, mark(&ctx)))
        });
    }
}

fn with_step(
    ctx: &NativeCallContext,
    desk: &HostState,
    step: StepHandle,
    fill: impl FnOnce(&mut StepDraft) -> Result<(), String>,
) -> ScriptResult<StepHandle> {
    declaring(ctx, desk)?;
    let mut recipe = desk.recipe.borrow_mut();
    let draft = recipe.step_mut(step.0).ok_or_else(|| refuse(ctx, "this step belongs to another script", ""))?;
    draft.note(ctx.fn_name(), mark(ctx));
    fill(draft).map(|()| step).map_err(|message| refuse(ctx, message, ""))
}

fn step_text(
    engine: &mut Engine,
    desk: &Rc<HostState>,
    word: &'static str,
    most: usize,
    fill: fn(&mut StepDraft, &str) -> Result<(), String>,
) {
    let desk = desk.clone();
    engine.register_fn(word, move |ctx: NativeCallContext, step: StepHandle, text: &str| {
        showable(&ctx, &format!("the text of `{word}`"), text, most)?;
        with_step(&ctx, &desk, step, |draft| fill(draft, text))
    });
}

fn step_list(
    engine: &mut Engine,
    desk: &Rc<HostState>,
    word: &'static str,
    fill: fn(&mut StepDraft, Vec<String>) -> Result<(), String>,
) {
    let desk = desk.clone();
    engine.register_fn(word, move |ctx: NativeCallContext, step: StepHandle, list: Array| {
        let list = texts(&ctx, list, word)?;
        with_step(&ctx, &desk, step, |draft| fill(draft, list))
    });
}

fn minutes(ctx: &NativeCallContext, values: [&Dynamic; 3]) -> ScriptResult<Estimate<Minutes>> {
    let hint = "write minutes(low, usual, high), such as minutes(4, 6, 12)";
    let mut times = [Minutes::ZERO; 3];
    for (time, value) in times.iter_mut().zip(values) {
        let number = number(value)
            .filter(|n| *n > Decimal::ZERO)
            .ok_or_else(|| refuse(ctx, format!("{} is no number of minutes above zero", seen(value)), hint))?;
        *time = Minutes::new(number).map_err(|error| refuse(ctx, error.to_string(), hint))?;
    }
    Estimate::new(times[0], times[1], times[2]).map_err(|error| refuse(ctx, error.to_string(), hint))
}

fn money(ctx: &NativeCallContext, amount: &Dynamic, code: &str) -> ScriptResult<Money> {
    let hint = "write costs(\"cutting disc\", 0.90, \"AUD\")";
    let amount = number(amount).ok_or_else(|| refuse(ctx, format!("{} is no amount", seen(amount)), hint))?;
    let currency =
        Currency::from_code(code).ok_or_else(|| refuse(ctx, format!("{code:?} is no ISO 4217 currency"), hint))?;
    Money::new(amount, currency).map_err(|error| refuse(ctx, error.to_string(), hint))
}
