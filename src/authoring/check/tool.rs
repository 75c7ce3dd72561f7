//! Checks a tool: its declarations, and every example.

use super::super::testing::Difference;
use super::subject::Subject;
use super::{Checked, Placed};
use crate::recipe::Mark;
use crate::review::{Finding, Severity};
use crate::script::Script;
use crate::store::home::Shelf;
use crate::world::{OfferedScript, World};

/// Checks a tool and adds what was found.
pub(super) fn check(world: &World, subject: &Subject, script: &Script, checked: &mut Checked) {
    let tool = match world.host().tool(script) {
        Ok(tool) => tool,
        Err(errors) => {
            checked.findings.extend(errors.into_iter().map(Placed::from));
            return;
        }
    };
    if tool.examples.is_empty() {
        let message = "the tool has no example, so nothing shows that it is right";
        let hint = "add example(\"title\", #{ … }, #{ … }) with a case worked by hand";
        checked.findings.push(subject.place(Finding::new(Severity::Warning, "example", tool.mark, message, hint)));
    }
    // The given text is run, wherever it lies, like a script under review.
    let offered = OfferedScript {
        shelf: Shelf::Tools,
        id: tool.id.clone(),
        text: subject.text.clone(),
        session: None,
        modules: world.modules(),
    };
    match world.for_test(Some(offered)).rehearse(&tool.id) {
        Err(crate::world::AppError::Script(errors)) => checked.findings.extend(errors.into_iter().map(Placed::from)),
        Err(error) => {
            checked.findings.push(subject.place(Finding::new(
                Severity::Error,
                "example",
                tool.mark,
                error.to_string(),
                "",
            )));
        }
        Ok(rehearsal) => {
            checked.test_answers = Some(rehearsal.reports.len());
            for report in &rehearsal.reports {
                let mark = Mark { line: report.line, column: 1 };
                let found = report.differences.iter().map(|difference| {
                    let message = format!("the example \"{}\": {}", report.title, words(difference));
                    subject.place(Finding::new(
                        Severity::Error,
                        "example",
                        mark,
                        message,
                        "mend the work or the example",
                    ))
                });
                checked.findings.extend(found);
            }
            checked.rehearsal = rehearsal;
        }
    }
}

fn words(difference: &Difference) -> String {
    let or_none = |text: &Option<String>| text.clone().unwrap_or_else(|| "nothing".to_owned());
    match &difference.expected {
        None => format!("{}: {}", difference.what, or_none(&difference.found)),
        Some(expected) => format!("{} should be {expected} and is {}", difference.what, or_none(&difference.found)),
    }
}
