//! The finder's table: the tests, and what each candidate shows in them.

use std::collections::BTreeMap;

use serde::Deserialize;
use thiserror::Error;

/// Something to look at or try.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Test {
    /// Its id.
    pub id: String,
    /// The question.
    pub question: String,
    /// How to do it.
    #[serde(default)]
    pub says: String,
    /// The possible answers; empty for the density, which is measured.
    #[serde(default)]
    pub answers: Vec<String>,
    /// How long it takes, in minutes.
    pub minutes: f64,
    /// Hazards whose cautions come first.
    #[serde(default)]
    pub guards: Vec<String>,
    /// Grades that must be ruled out before it is offered: it would make dust of them, or worse.
    #[serde(default)]
    pub not_while: Vec<String>,
    /// Hazards revealed by an answer itself.
    #[serde(default)]
    pub shows: BTreeMap<String, String>,
}

/// Something it may be.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct GradeCandidate {
    /// The grade it sells under.
    pub grade: String,
    /// What it is.
    pub what: String,
    /// Its relative frequency at a bench: a weight.
    pub often: f64,
    /// Its density in g/cm³, low to high; `None` if it has no single density.
    #[serde(default)]
    pub density: Option<[f64; 2]>,
    /// Hazards that come with it.
    #[serde(default)]
    pub hazards: Vec<String>,
    /// The probability of each answer of a test, by test. The rest up to 1 is split evenly among the answers not named;
    /// a test not named says nothing about this candidate.
    #[serde(default)]
    pub seen: BTreeMap<String, BTreeMap<String, f64>>,
    /// Where the figures come from.
    pub source: String,
    /// How far that was checked.
    pub status: String,
}

/// Why a table was rejected.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum FinderError {
    /// The text is not a table.
    #[error("the finder's table cannot be read: {0}")]
    Unreadable(String),
    /// Something in it contradicts itself.
    #[error("the finder's table, {place}: {why}")]
    Wrong {
        /// Where.
        place: String,
        /// What.
        why: String,
    },
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    test: Vec<Test>,
    candidate: Vec<GradeCandidate>,
}

/// The least probability of any answer. None is impossible: light deceives, and so do labels.
const LEAST: f64 = 0.0005;

/// Tests and candidates.
#[derive(Debug, Clone, Default)]
pub struct Finder {
    pub(super) tests: Vec<Test>,
    pub(super) candidates: Vec<GradeCandidate>,
    /// Probabilities by test, candidate and answer.
    pub(super) likely: Vec<Vec<Vec<f64>>>,
}

impl Finder {
    /// Reads a table.
    ///
    /// # Errors
    /// `FinderError` with the place that is wrong.
    pub fn parse(text: &str) -> Result<Finder, FinderError> {
        let file: File = toml::from_str(text).map_err(|error| FinderError::Unreadable(error.to_string()))?;
        for candidate in &file.candidate {
            check(candidate, &file.test)?;
        }
        let row = |test: &Test| file.candidate.iter().map(|candidate| likely(candidate, test)).collect();
        let likely = file.test.iter().map(row).collect();
        Ok(Finder { tests: file.test, candidates: file.candidate, likely })
    }

    /// The tests, in the order of the table.
    #[must_use]
    pub fn tests(&self) -> &[Test] {
        &self.tests
    }

    /// The index of a test.
    #[must_use]
    pub fn test(&self, id: &str) -> Option<usize> {
        self.tests.iter().position(|test| test.id == id)
    }
}

fn check(candidate: &GradeCandidate, tests: &[Test]) -> Result<(), FinderError> {
    let wrong = |why: String| FinderError::Wrong { place: format!("{} ({})", candidate.grade, candidate.what), why };
    if !candidate.often.is_finite() || candidate.often <= 0.0 {
        return Err(wrong(format!("`often` is {}", candidate.often)));
    }
    if let Some([low, high]) = candidate.density
        && !(0.0 < low && low <= high && high < 25.0)
    {
        return Err(wrong(format!("its density goes from {low} to {high}")));
    }
    for (id, answers) in &candidate.seen {
        let test = tests.iter().find(|test| test.id == *id).ok_or_else(|| wrong(format!("there is no test `{id}`")))?;
        if let Some(unknown) = answers.keys().find(|answer| !test.answers.contains(answer)) {
            return Err(wrong(format!("the test `{id}` has no answer `{unknown}`")));
        }
        let sum: f64 = answers.values().sum();
        if answers.values().any(|share| !(0.0..=1.0).contains(share)) || sum > 1.0 + 1e-9 {
            return Err(wrong(format!("the answers of `{id}` add up to {sum}")));
        }
    }
    Ok(())
}

/// The probability of each answer of a test for a candidate: they add up to 1.
fn likely(candidate: &GradeCandidate, test: &Test) -> Vec<f64> {
    let count = test.answers.len();
    let Some(named) = candidate.seen.get(&test.id) else { return vec![1.0 / count.max(1) as f64; count] };
    let rest = (1.0 - named.values().sum::<f64>()).max(0.0);
    let others = count - named.len();
    let share = |answer: &String| match named.get(answer) {
        Some(share) => *share,
        None => rest / others as f64,
    };
    let shares: Vec<f64> = test.answers.iter().map(|answer| share(answer).max(LEAST)).collect();
    let sum: f64 = shares.iter().sum();
    shares.into_iter().map(|share| share / sum).collect()
}
