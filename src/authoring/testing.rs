//! Test sessions: plays a recipe from its answers file and compares the result with what was expected.

use std::path::{Path, PathBuf};

use crate::bench::{End, FreePart, Presence, RunResult};
use crate::sessions::{Demo, Expected, Session, play};
use crate::store::Id;
use crate::store::home::Shelf;
use crate::world::{AppError, Origin, World};

/// The result of a played session.
fn came_to(session: &Session<'_>) -> Result<Expected, AppError> {
    let run_result = session.run_result();
    Ok(Expected {
        net: Some(session.tally()?.net.to_string()),
        end: Some(end(run_result)),
        parts: run_result.state.parts.iter().map(|part| (part.part.clone(), outcome(part))).collect(),
    })
}

fn end(run_result: &RunResult) -> String {
    match &run_result.end {
        End::Waits(question) => format!("waits at {}", question.name()),
        End::Complete => "complete".to_owned(),
        End::Stopped => "stopped".to_owned(),
        End::Refused(hazard) => format!("refused {hazard}"),
        End::HandedOn(hazard) => format!("handed on {hazard}"),
    }
}

fn outcome(part: &FreePart) -> String {
    let weight = match part.presence {
        Presence::Absent => return "none".to_owned(),
        Presence::TooLight => "too light".to_owned(),
        Presence::Weighed(reading) => reading.net.to_string(),
    };
    match &part.opened {
        Some(left) => format!("{}, {weight}, opened: {left}", part.grade),
        None => format!("{}, {weight}", part.grade),
    }
}

/// A difference from what was expected.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Difference {
    /// What: `net`, `end`, or a part.
    pub what: String,
    /// What was expected; `None` if nothing was.
    pub expected: Option<String>,
    /// What came out; `None` if nothing did.
    pub found: Option<String>,
}

/// The result of playing a test session.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TestReport {
    /// Number of answers asked for.
    pub answers: usize,
    /// The actual result.
    pub found: Expected,
    /// Whether the file states an expected result.
    pub compared: bool,
    /// Where the two differ.
    pub differences: Vec<Difference>,
    /// Answers that nothing asked for.
    pub unused: Vec<String>,
    /// The session's yard, if it is missing here; another yard valued it, and the net is not compared.
    pub missing_yard: Option<String>,
}

impl TestReport {
    /// Whether everything came out as expected.
    #[must_use]
    pub fn is_sound(&self) -> bool {
        self.differences.is_empty() && self.unused.is_empty()
    }
}

impl World {
    /// The test session of a recipe, from the same place as the recipe.
    ///
    /// # Errors
    /// The recipe has none, or it is not an answers file.
    pub fn test_session(&self, recipe: &str) -> Result<Demo, AppError> {
        let (file, text) = self.test_session_text(recipe)?;
        Demo::parse(&file, &text)
    }

    /// The file of a test session as shown to the user, and its text.
    fn test_session_text(&self, recipe: &str) -> Result<(PathBuf, String), AppError> {
        let found = self.find(Shelf::Recipes, recipe)?;
        let name = PathBuf::from(format!("{recipe}.session.toml"));
        let file = match &found.origin {
            Origin::Own(_) => self.home.test_session_file(&Id::new(recipe)?),
            Origin::Shipped | Origin::Offered => name,
        };
        match self.test_session_of(&found)? {
            Some(text) => Ok((file, text)),
            None => Err(AppError::Name(format!(
                "the recipe `{recipe}` has no test session; write one as {} (`bench --answers` plays such a file)",
                self.home.test_session_file(&Id::new(recipe)?).display()
            ))),
        }
    }

    /// Whether a recipe has a test session.
    pub fn has_test_session(&self, recipe: &str) -> bool {
        self.test_session_text(recipe).is_ok()
    }

    /// Plays a recipe's test session and compares the result, without the user's settings, quotes and edited copies of
    /// shipped yards, so that the result is the same everywhere. Writes nothing.
    ///
    /// # Errors
    /// There is no test session, an answer is missing or invalid, or the script fails.
    pub fn test(&self, recipe: &str) -> Result<TestReport, AppError> {
        self.report_if_changed(&self.find(Shelf::Recipes, recipe)?);
        self.for_test(None).play_test(recipe)
    }

    pub(super) fn play_test(&self, recipe: &str) -> Result<TestReport, AppError> {
        let (file, text) = self.test_session_text(recipe)?;
        let demo = Demo::parse(&file, &text)?;
        let known = demo.yard.as_deref().filter(|yard| self.find(Shelf::Yards, yard).is_ok());
        let missing_yard = demo.yard.clone().filter(|_| known.is_none());
        let mut session = Session::rehearse(self, recipe, &self.yard_id(known)?, demo.date)?;
        let unused = play(&mut session, &demo, &file, |_, _| {})?;
        let found = came_to(&session)?;
        Ok(TestReport {
            answers: session.run_result().asked.len(),
            compared: !demo.expected.is_empty(),
            differences: differences(&demo.expected, &found, missing_yard.is_some()),
            found,
            unused,
            missing_yard,
        })
    }

    /// Plays the test session of one of the user's own recipes and writes the result into its file; the rest of the
    /// file stays as it is.
    ///
    /// # Errors
    /// As [`World::test`]; the recipe is not the user's own; the folder cannot be written.
    pub fn update_test(&self, recipe: &str) -> Result<TestReport, AppError> {
        let found = self.find(Shelf::Recipes, recipe)?;
        if !matches!(found.origin, Origin::Own(_)) {
            return Err(AppError::Refused(format!(
                "`{recipe}` is shipped; `copy {recipe}` makes it yours, then update the copy"
            )));
        }
        let report = self.test(recipe)?;
        let (file, text) = self.test_session_text(recipe)?;
        let text = with_expected(&file, &text, &report.found)?;
        self.home.put_test_session(&Id::new(recipe)?, &text, &self.clock.stamp())?;
        Ok(report)
    }
}

fn differences(expected: &Expected, found: &Expected, other_yard: bool) -> Vec<Difference> {
    let mut differences = Vec::new();
    let mut compare = |what: &str, expected: Option<&String>, found: Option<&String>| {
        if expected != found {
            differences.push(Difference { what: what.to_owned(), expected: expected.cloned(), found: found.cloned() });
        }
    };
    if expected.net.is_some() && !other_yard {
        compare("net", expected.net.as_ref(), found.net.as_ref());
    }
    if expected.end.is_some() {
        compare("end", expected.end.as_ref(), found.end.as_ref());
    }
    let of = |parts: &'_ [(String, String)], name: &str| {
        parts.iter().find(|(part, _)| part == name).map(|(_, text)| text.clone())
    };
    if !expected.parts.is_empty() {
        for (part, text) in &expected.parts {
            compare(part, Some(text), of(&found.parts, part).as_ref());
        }
        for (part, text) in found.parts.iter().filter(|(part, _)| of(&expected.parts, part).is_none()) {
            compare(part, None, Some(text));
        }
    }
    differences
}

/// The text of a test session with the result in its table `[expect]`.
fn with_expected(file: &Path, text: &str, expected: &Expected) -> Result<String, AppError> {
    let broken = |error: toml_edit::TomlError| AppError::Answer(format!("{}: {}", file.display(), error.message()));
    let mut document: toml_edit::DocumentMut = text.parse().map_err(broken)?;
    let mut parts = toml_edit::Table::new();
    for (part, outcome) in &expected.parts {
        parts.insert(part, toml_edit::value(outcome));
    }
    let mut table = toml_edit::Table::new();
    for (key, value) in [("net", &expected.net), ("end", &expected.end)] {
        if let Some(value) = value {
            table.insert(key, toml_edit::value(value));
        }
    }
    if !parts.is_empty() {
        table.insert("parts", toml_edit::Item::Table(parts));
    }
    table.decor_mut().set_prefix("\n# What this session comes to. `test RECIPE --update` writes it anew.\n");
    document.remove("expect");
    document.insert("expect", toml_edit::Item::Table(table));
    Ok(document.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn expected(net: &str, parts: &[(&str, &str)]) -> Expected {
        let parts = parts.iter().map(|(part, text)| ((*part).to_owned(), (*text).to_owned())).collect();
        Expected { net: Some(net.into()), end: Some("complete".into()), parts }
    }

    #[test]
    fn what_is_written_is_what_is_read() {
        let text = "# mine\nyard = \"hollow-lane\"\n\n[unit]\nintake = 3  # kg\n";
        let wanted = expected("3.41 EUR", &[("main cord", "wire-appliance, 210 g"), ("a", "none")]);
        let path = Path::new("x.session.toml");
        let once = with_expected(path, text, &wanted).unwrap();
        assert!(once.starts_with(text), "{once}");
        assert_eq!(Demo::parse(path, &once).unwrap().expected, wanted);
        assert_eq!(with_expected(path, &once, &wanted).unwrap(), once, "writing it again changes nothing");
    }

    #[test]
    fn each_difference_is_told_and_only_differences() {
        let wanted = expected("1.00 CAD", &[("a", "copper, 1 kg"), ("b", "none")]);
        let found = expected("2.00 CAD", &[("a", "copper, 1 kg"), ("c", "steel, 1 kg")]);
        let told: Vec<String> = differences(&wanted, &found, false).into_iter().map(|d| d.what).collect();
        assert_eq!(told, ["net", "b", "c"]);
        assert!(differences(&wanted, &wanted, false).is_empty());
        assert!(
            differences(&wanted, &Expected { net: Some("x".into()), ..wanted.clone() }, true).is_empty(),
            "another yard"
        );
        assert!(differences(&Expected::default(), &found, false).is_empty(), "nothing is expected");
    }
}
