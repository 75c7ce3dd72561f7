//! The words with which a step's work asks and reports, called on its `bench` argument.

use std::rc::Rc;

use rhai::{Array, Engine, NativeCallContext};
use rust_decimal::Decimal;

use super::desk::HostState;
use super::limits::{MAX_NAME, MAX_PARAGRAPH};
use super::recipe_words::texts;
use super::refusal::{ScriptResult, refuse, showable};
use super::word::{Word, word};
use crate::bench::{Answer, Ask, Bench, End, Question, Weighing};
use crate::naming::{one_line, suggest};
use crate::quantity::Mass;

/// The `bench` argument of a step's work: an empty marker that the work is running.
#[derive(Debug, Clone, Copy)]
pub(super) struct BenchHandle;

/// The longest question, in characters.
const MAX_QUESTION: usize = 500;
/// The longest unit of a number, in characters.
const MAX_UNIT: usize = 20;
/// The most questions that a recipe's closures may ask in one run: several times what the longest recipe asks.
const MAX_QUESTIONS: usize = 200;
/// The most texts that they may say in one run.
const MAX_SAID: usize = 300;

/// The bench words, in the order in which an author meets them.
#[rustfmt::skip]
pub(super) const WORDS: &[Word] = &[
    word("bench", "yes", "key, text", "asks yes or no; gives true or false",
        r#"if bench.yes("cracked", "Is the jug cracked?") { bench.say("Wear gloves.") }"#).giving("true or false"),
    word("bench", "choose", "key, text, [option, …]", "asks for one of several; gives the option",
        r#"let metal = bench.choose("metal", "Does a magnet hold to it?", ["holds", "does not hold"]);"#).giving("text"),
    word("bench", "number", "key, text, or key, text, unit", "asks for a number; gives it exactly",
        r#"let volts = bench.number("volts", "What does the meter show?", "V");"#).giving("number").in_units("the unit named, if any"),
    word("bench", "count", "key, text", "asks for a whole number from 0",
        r#"let screws = bench.count("screws", "How many screws held it?");"#).giving("whole number"),
    word("bench", "note", "key, text", "asks for a line of text",
        r#"let mark = bench.note("mark", "What is moulded inside?");"#).giving("text"),
    word("bench", "grade", "key, text", "asks what something is or looks like, and finds its grade; gives the grade's id",
        r#"bench.regrade("lid", bench.grade("lid-grade", "What is the lid made of?"));"#).giving("text"),
    word("bench", "weigh", "part, or key, text", "weighs a part of this step ahead of its turn, or something else",
        r#"if bench.weigh("lid") > 200.g { bench.say("Glass: keep it apart.") }"#).giving("weight"),
    word("bench", "say", "text", "tells the person something",
        r#"bench.say("Mind the spring.");"#),
    word("bench", "regrade", "part, grade", "gives a part another grade than the recipe foresaw",
        r#"bench.regrade("lid", "stainless");"#),
    word("bench", "lacks", "part", "marks a part as not in this unit: it is not weighed",
        r#"bench.lacks("lid");"#),
    word("bench", "hand_on", "text", "ends here: what is left goes on whole to someone licensed, for this reason",
        r#"bench.hand_on("The seal is broken.");"#),
    word("bench", "unit_is", "text", "names the unit that is on the bench, where the recipe is for any",
        r#"bench.unit_is("Egg boiler");"#),
    word("bench", "sells_whole_as", "grade", "the grade under which a yard buys the unit on the bench untouched",
        r#"bench.sells_whole_as("appliance-light");"#),
    word("bench", "holds_no", "item", "an item of `holds` that was looked for and is not in the unit on the bench",
        r#"bench.holds_no("1.12");"#),
    word("bench", "guard", "hazard", "demands a guard on the spot, for what the work found",
        r#"bench.guard("sharp-sheet");"#),
];

/// Registers the bench words.
pub(super) fn register(engine: &mut Engine, desk: &Rc<HostState>) {
    engine.register_type_with_name::<BenchHandle>("bench");
    questions(engine, desk);
    weights(engine, desk);
    reports(engine, desk);
    unit_at_hand(engine, desk);
}

/// Asks a question under the current step. The key must be new in this run and must not clash with the program's own
/// questions.
fn ask(ctx: &NativeCallContext, desk: &HostState, key: &str, text: &str, ask: Ask) -> ScriptResult<Answer> {
    let bench = desk.bench(ctx)?;
    let step = bench.current().map_err(|message| refuse(ctx, message, ""))?.id.clone();
    let question = Question { step, key: key.to_owned(), text: text.to_owned(), ask };
    check_key(ctx, &bench, &question)?;
    showable(ctx, "the question", text, MAX_QUESTION)?;
    if let Ask::Number { unit } = &question.ask {
        showable(ctx, "the number's unit", unit, MAX_UNIT)?;
    }
    if desk.questions.replace(desk.questions.get() + 1) >= MAX_QUESTIONS {
        let hint = "look for a loop that asks; ask for a count instead";
        return Err(refuse(ctx, format!("this recipe asks more than {MAX_QUESTIONS} questions of its own"), hint));
    }
    let answer = bench.run.borrow_mut().ask(question);
    answer.map_err(|halted| desk.halt(halted))
}

fn check_key(ctx: &NativeCallContext, bench: &Bench, question: &Question) -> ScriptResult<()> {
    let key = question.key.as_str();
    let plain = (1..=60).contains(&key.len()) && key.chars().all(|c| c.is_alphanumeric() || " -_".contains(c));
    if !plain || matches!(key, "begin" | "minutes") || key.starts_with("begin-") {
        let message = format!("a question cannot have the key `{}`", one_line(key, 80));
        return Err(refuse(ctx, message, "use letters, digits, blanks and hyphens; `begin` and `minutes` are taken"));
    }
    let is_part = bench.current().is_ok_and(|step| step.frees.iter().any(|freed| freed.part == key));
    if is_part && !matches!(question.ask, Ask::Weight { what: Weighing::Part, .. }) {
        let message = format!("the key {key:?} is the name of a part that this step frees");
        return Err(refuse(ctx, message, "weigh it with bench.weigh(part), or choose another key"));
    }
    if bench.run.borrow().was_asked(&question.name()) {
        let message = format!("the key {key:?} was asked already in this step");
        return Err(refuse(
            ctx,
            message,
            "give each question of a step its own key, so that its answer is found again",
        ));
    }
    Ok(())
}

/// Asks for an answer of one kind. An answer of another kind cannot come back; if it did, the script would get an error
/// rather than a wrong value.
fn answered<T>(
    ctx: &NativeCallContext,
    desk: &HostState,
    key: &str,
    text: &str,
    kind: Ask,
    read: fn(&Answer) -> Option<T>,
) -> ScriptResult<T> {
    let answer = ask(ctx, desk, key, text, kind)?;
    read(&answer).ok_or_else(|| {
        refuse(ctx, format!("the answer {answer:?} does not belong to this question"), "answer it again")
    })
}

/// Registers a word that takes a key and a text and asks for an answer of one kind.
fn asks<T: Clone + 'static>(
    engine: &mut Engine,
    desk: &Rc<HostState>,
    word: &str,
    kind: Ask,
    read: fn(&Answer) -> Option<T>,
) {
    let desk = desk.clone();
    engine.register_fn(word, move |ctx: NativeCallContext, _: BenchHandle, key: &str, text: &str| {
        answered(&ctx, &desk, key, text, kind.clone(), read)
    });
}

fn chosen(answer: &Answer) -> Option<String> {
    if let Answer::Choice(option) = answer { Some(option.clone()) } else { None }
}

fn number(answer: &Answer) -> Option<Decimal> {
    if let Answer::Number(number) = answer { Some(*number) } else { None }
}

fn questions(engine: &mut Engine, desk: &Rc<HostState>) {
    asks(engine, desk, "yes", Ask::YesNo, |answer| if let Answer::Yes(yes) = answer { Some(*yes) } else { None });
    asks(engine, desk, "number", Ask::Number { unit: String::new() }, number);
    asks(engine, desk, "count", Ask::Count, |answer| match answer {
        Answer::Count(count) => Some(i64::from(*count)),
        _ => None,
    });
    asks(engine, desk, "note", Ask::Text, |answer| match answer {
        Answer::Text(text) => Some(text.clone()),
        _ => None,
    });
    let shared = desk.clone();
    let choose =
        move |ctx: NativeCallContext, _: BenchHandle, key: &str, text: &str, list: Array| -> ScriptResult<String> {
            let options = texts(&ctx, list, "options")?;
            let twice = options.iter().enumerate().find(|(i, option)| options[..*i].contains(option));
            if let Some((_, option)) = twice {
                return Err(refuse(&ctx, format!("the option {option:?} is listed twice"), "list each option once"));
            }
            if !(2..=20).contains(&options.len()) {
                return Err(refuse(&ctx, format!("{} options", options.len()), "give 2 to 20 options to choose from"));
            }
            answered(&ctx, &shared, key, text, Ask::Choice { options }, chosen)
        };
    engine.register_fn("choose", choose);
    let shared = desk.clone();
    engine.register_fn("number", move |ctx: NativeCallContext, _: BenchHandle, key: &str, text: &str, unit: &str| {
        answered(&ctx, &shared, key, text, Ask::Number { unit: unit.to_owned() }, number)
    });
    let shared = desk.clone();
    engine.register_fn("grade", move |ctx: NativeCallContext, _: BenchHandle, key: &str, text: &str| {
        let list = shared.catalogue.grades().listing().clone();
        answered(&ctx, &shared, key, text, Ask::Listed { list, or: None }, chosen)
    });
}

fn weights(engine: &mut Engine, desk: &Rc<HostState>) {
    let shared = desk.clone();
    engine.register_fn("weigh", move |ctx: NativeCallContext, _: BenchHandle, part: &str| -> ScriptResult<Mass> {
        let bench = shared.bench(&ctx)?;
        let weighed = bench.weigh_now(part).map_err(|message| refuse(&ctx, message, ""))?;
        weighed.map_err(|halted| shared.halt(halted))
    });
    asks(engine, desk, "weigh", Ask::Weight { expected: None, what: Weighing::Other }, |answer| match answer {
        Answer::Weight(reading) => Some(reading.net),
        Answer::TooLight => Some(Mass::ZERO),
        _ => None,
    });
}

fn reports(engine: &mut Engine, desk: &Rc<HostState>) {
    let shared = desk.clone();
    engine.register_fn("say", move |ctx: NativeCallContext, _: BenchHandle, text: &str| -> ScriptResult<()> {
        let bench = shared.bench(&ctx)?;
        showable(&ctx, "the text", text, MAX_PARAGRAPH)?;
        if bench.run.borrow().state.said.len() >= MAX_SAID {
            return Err(refuse(
                &ctx,
                format!("this recipe says more than {MAX_SAID} texts"),
                "look for a loop that says",
            ));
        }
        bench.run.borrow_mut().say(text);
        Ok(())
    });
    let shared = desk.clone();
    engine.register_fn(
        "regrade",
        move |ctx: NativeCallContext, _: BenchHandle, part: &str, grade: &str| -> ScriptResult<()> {
            let bench = shared.bench(&ctx)?;
            known_part(&ctx, &bench, part)?;
            shared.known_grade(&ctx, grade)?;
            bench.run.borrow_mut().state.regrade(part, grade);
            Ok(())
        },
    );
    let shared = desk.clone();
    engine.register_fn("lacks", move |ctx: NativeCallContext, _: BenchHandle, part: &str| -> ScriptResult<()> {
        let bench = shared.bench(&ctx)?;
        known_part(&ctx, &bench, part)?;
        bench.run.borrow_mut().state.lacks(part);
        Ok(())
    });
    let shared = desk.clone();
    engine.register_fn("hand_on", move |ctx: NativeCallContext, _: BenchHandle, reason: &str| -> ScriptResult<()> {
        let bench = shared.bench(&ctx)?;
        showable(&ctx, "the reason", reason, MAX_QUESTION)?;
        let halted = bench.run.borrow_mut().finish(End::HandedOn(reason.to_owned()));
        Err(shared.halt(halted))
    });
    let shared = desk.clone();
    engine.register_fn("guard", move |ctx: NativeCallContext, _: BenchHandle, hazard: &str| -> ScriptResult<()> {
        let bench = shared.bench(&ctx)?;
        shared.known_hazard(&ctx, hazard)?;
        let step = bench.current().map_err(|message| refuse(&ctx, message, ""))?.id.clone();
        bench.guard(&step, hazard).map_err(|halted| shared.halt(halted))
    });
}

/// Words with which the work corrects what the recipe declares about the unit as a whole.
fn unit_at_hand(engine: &mut Engine, desk: &Rc<HostState>) {
    let shared = desk.clone();
    engine.register_fn("unit_is", move |ctx: NativeCallContext, _: BenchHandle, name: &str| -> ScriptResult<()> {
        let bench = shared.bench(&ctx)?;
        showable(&ctx, "the unit's name", name, MAX_NAME)?;
        bench.revise(|recipe| name.clone_into(&mut recipe.unit_mut().name));
        Ok(())
    });
    let shared = desk.clone();
    engine.register_fn(
        "sells_whole_as",
        move |ctx: NativeCallContext, _: BenchHandle, grade: &str| -> ScriptResult<()> {
            let bench = shared.bench(&ctx)?;
            shared.known_grade(&ctx, grade)?;
            let whole = bench.revise(|recipe| std::mem::replace(&mut recipe.unit_mut().whole_grade, grade.to_owned()));
            let mut run = bench.run.borrow_mut();
            // An earlier step may have changed the grade of what is left.
            if run.state.grade == whole {
                grade.clone_into(&mut run.state.grade);
            }
            Ok(())
        },
    );
    let shared = desk.clone();
    engine.register_fn("holds_no", move |ctx: NativeCallContext, _: BenchHandle, item: &str| -> ScriptResult<()> {
        let bench = shared.bench(&ctx)?;
        let recipe = bench.recipe();
        let held = &recipe.unit().holds;
        if !held.iter().any(|known| known == item) {
            let message = format!("the unit is not said to hold the item {item:?}");
            return Err(refuse(&ctx, message, suggest(item, held.iter().map(String::as_str))));
        }
        bench.run.borrow_mut().state.not_held.push(item.to_owned());
        Ok(())
    });
}

fn known_part(ctx: &NativeCallContext, bench: &Bench, part: &str) -> ScriptResult<()> {
    let recipe = bench.recipe();
    let parts = recipe.steps().iter().flat_map(|step| step.frees.iter().map(|freed| freed.part.as_str()));
    if parts.clone().any(|known| known == part) {
        return Ok(());
    }
    Err(refuse(ctx, format!("no step frees a part `{part}`"), suggest(part, parts)))
}
