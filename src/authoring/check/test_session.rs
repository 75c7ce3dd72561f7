//! Plays the test session beside a recipe: it must answer every question to the end, with no answer left over.

use std::path::Path;
use std::rc::Rc;

use super::Placed;
use crate::bench::{CurrentAnswers, Question, exact, interpret};
use crate::naming::suggest;
use crate::quantity::WeighingRules;
use crate::recipe::Mark;
use crate::review::{Finding, Severity};
use crate::script::{Script, Slowness};
use crate::sessions::Demo;
use crate::store::StoreError;
use crate::world::{AppError, World};

/// The result of playing a test session.
pub(super) struct PlayedTest {
    /// Number of questions answered.
    pub answers: usize,
    pub findings: Vec<Placed>,
}

/// The most questions per session.
const MAX_QUESTIONS: usize = 2000;

/// Plays a test session from its text.
pub(super) fn play(world: &World, script: &Script, path: &Path, text: &str) -> PlayedTest {
    let mut played = PlayedTest { answers: 0, findings: Vec::new() };
    let (file, source): (Rc<str>, Rc<str>) = (path.display().to_string().into(), text.into());
    let place = |line: usize, message: String, hint: String| {
        let mark = Mark { line, column: usize::from(line > 0) };
        let finding = Finding::new(Severity::Error, "test-session", mark, message, hint);
        Placed { file: file.clone(), source: source.clone(), finding }
    };
    let demo = match Demo::parse(path, text) {
        Ok(demo) => demo,
        Err(AppError::Store(StoreError::Content { line, what, .. })) => {
            played.findings.push(place(line, what, String::new()));
            return played;
        }
        Err(error) => {
            played.findings.push(place(0, error.to_string(), String::new()));
            return played;
        }
    };
    let mut given: Vec<(String, String)> = Vec::new();
    let ended = answer_all(world, script, &demo, &mut given, &mut played.findings);
    played.answers = given.len();
    if let Err((line, message, hint)) = ended {
        played.findings.push(place(line, message, hint));
        return played;
    }
    for unused in demo.answers.iter().filter(|answer| !given.iter().any(|(name, _)| *name == answer.question)) {
        let message = format!("nothing asks for `{}`", unused.question);
        let hint = suggest(&unused.question, given.iter().map(|(name, _)| name.as_str()));
        played.findings.push(place(unused.line, message, hint));
    }
    played
}

/// What stopped a session before its end: line, message, hint.
type Stop = (usize, String, String);

/// Answers question after question until the run ends.
fn answer_all(
    world: &World,
    script: &Script,
    demo: &Demo,
    given: &mut Vec<(String, String)>,
    findings: &mut Vec<Placed>,
) -> Result<(), Stop> {
    let whole = |error: AppError| (0, error.to_string(), String::new());
    let yard = world.yard(&world.yard_id(demo.yard.as_deref()).map_err(whole)?).map_err(whole)?.1;
    let tare = |_: &str| None;
    let rules = WeighingRules { notation: yard.notation(), unit: yard.unit(), tare: &tare };
    let pace = Slowness::start(world.host());
    while given.len() < MAX_QUESTIONS {
        let standing = CurrentAnswers::supposed(given.iter().map(|(name, exact)| (name.as_str(), exact.as_str())));
        let run_result = match world.host().run(script, Rc::new(standing)) {
            Ok(run_result) => run_result,
            Err(errors) => {
                let last = given.last().map_or(String::new(), |(name, _)| format!(" after `{name}`"));
                findings.extend(errors.into_iter().map(Placed::from));
                return Err((0, format!("the recipe fails{last}"), String::new()));
            }
        };
        let Some(question) = run_result.waits() else { return Ok(()) };
        if let Some(why) = pace.trouble(world.host()) {
            return Err((0, why, "a recipe should only ask and grade".into()));
        }
        let exact = answer(question, demo, given, &rules)?;
        given.push((question.name(), exact));
    }
    Err((0, format!("more than {MAX_QUESTIONS} questions"), "look for a loop that asks".into()))
}

/// The session's exact answer to a question.
fn answer(
    question: &Question,
    demo: &Demo,
    given: &[(String, String)],
    rules: &WeighingRules<'_>,
) -> Result<String, Stop> {
    let name = question.name();
    let Some(found) = demo.answers.iter().find(|answer| answer.question == name) else {
        let unused = demo.answers.iter().map(|answer| answer.question.as_str());
        let unused = unused.filter(|name| !given.iter().any(|(known, _)| known == name));
        let before = given.last().and_then(|(last, _)| demo.answers.iter().find(|answer| answer.question == *last));
        let line = before.map_or(0, |answer| answer.line);
        return Err((line, format!("there is no answer to `{name}` ({})", question.text), suggest(&name, unused)));
    };
    match interpret(question, &found.text, rules) {
        Ok(answer) => Ok(exact(question, &answer)),
        Err(error) => Err((found.line, format!("`{name}`: {error}"), String::new())),
    }
}
