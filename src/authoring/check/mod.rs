//! `check`: everything that can be found in a script without a user at the bench.

mod recipe;
mod subject;
mod test_session;
mod tool;
mod yard;

use std::cell::Cell;
use std::collections::BTreeSet;
use std::rc::Rc;
use std::time::Duration;

use super::rehearsal::Rehearsal;
use crate::naming::{counted, first_unsafe};
use crate::recipe::Mark;
use crate::review::guards::WorkGuards;
use crate::review::paths::Coverage;
use crate::review::{Finding, Severity};
use crate::script::{Glance, Host, Script, ScriptError, Slowness, processor_time};
use crate::store::home::Shelf;
use crate::world::{AppError, World};

pub(super) use recipe::work_guards;
pub use subject::Subject;

/// Limits of a check.
#[derive(Debug, Clone, Copy)]
pub struct Bounds {
    /// The most runs per recipe.
    pub runs: u64,
    /// The most processor time per script, so that a busy machine makes a check slower but not less thorough.
    pub time: Duration,
}

impl Default for Bounds {
    fn default() -> Bounds {
        Bounds { runs: 20_000, time: Duration::from_secs(20) }
    }
}

/// Processor time after which a check drops what it cannot finish anyway.
const LATE: Duration = Duration::from_millis(300);

/// A finding, and the text that it points into.
#[derive(Debug, Clone)]
pub struct Placed {
    /// The file as shown to the user.
    pub file: Rc<str>,
    /// Its whole text.
    pub source: Rc<str>,
    /// What was found.
    pub finding: Finding,
}

impl From<ScriptError> for Placed {
    fn from(error: ScriptError) -> Placed {
        let hint = error.hint.unwrap_or_default();
        let finding = Finding::new(Severity::Error, "script", error.mark, error.message, hint);
        Placed { file: error.file, source: error.source, finding }
    }
}

/// The kind of a script.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SubjectKind {
    /// A recipe.
    Recipe,
    /// A yard.
    Yard,
    /// A tool.
    Tool,
    /// None of these, as far as it can be read.
    Unknown,
}

impl SubjectKind {
    /// The word on screen and in JSON.
    pub fn word(self) -> &'static str {
        match self {
            SubjectKind::Recipe => "recipe",
            SubjectKind::Yard => "yard",
            SubjectKind::Tool => "tool",
            SubjectKind::Unknown => "script",
        }
    }
}

/// The result of checking one script.
#[derive(Debug, Clone)]
pub struct Checked {
    /// The file as shown to the user.
    pub file: String,
    /// What it is.
    pub kind: SubjectKind,
    /// Its declared id, else its file name.
    pub id: String,
    /// The findings, in script order.
    pub findings: Vec<Placed>,
    /// How many of a recipe's paths were explored.
    pub coverage: Option<Coverage>,
    /// Number of questions its test session answers, or of tool examples run; `None` if it has none.
    pub test_answers: Option<usize>,
    /// Sample lots judged by a yard's rule; `None` if it has no rule of its own.
    pub lots: Option<u64>,
    /// Why some sample lots were not judged.
    pub lots_left: Option<String>,
    /// The processor time used.
    pub took: Duration,
    /// Grades of its parts and remainders.
    pub(super) grades: BTreeSet<String>,
    /// Guards asked in its work.
    pub(super) guards: WorkGuards,
    /// The examples of a tool, run.
    pub(super) rehearsal: Rehearsal,
}

impl Checked {
    /// Number of findings of this severity.
    pub fn count(&self, severity: Severity) -> usize {
        self.findings.iter().filter(|placed| placed.finding.severity == severity).count()
    }

    /// Whether the script can be used: no finding is an error.
    pub fn is_sound(&self) -> bool {
        self.count(Severity::Error) == 0
    }
}

/// Counts runs and watches the time of one script.
pub(super) struct Watch {
    bounds: Bounds,
    begun: Duration,
    pace: Slowness,
    runs: Cell<u64>,
}

impl Watch {
    fn start(bounds: Bounds, host: &Host) -> Watch {
        Watch { bounds, begun: processor_time(), pace: Slowness::start(host), runs: Cell::new(0) }
    }

    /// Counts a run.
    fn count(&self) {
        self.runs.set(self.runs.get() + 1);
    }

    /// The processor time used so far.
    fn took(&self) -> Duration {
        processor_time().saturating_sub(self.begun)
    }

    /// Whether to drop what cannot be finished.
    fn is_late(&self) -> bool {
        self.took() > LATE
    }

    /// Why nothing more may be run, once a limit is reached.
    fn spent(&self, host: &Host) -> Option<String> {
        if self.runs.get() >= self.bounds.runs {
            return Some(format!("the bound of {} runs is reached", self.bounds.runs));
        }
        if self.took() >= self.bounds.time {
            let seconds = counted(self.bounds.time.as_secs(), "second");
            return Some(format!("the time for one script is over ({seconds})"));
        }
        self.pace.trouble(host)
    }
}

/// Checks scripts; recipes before yards, to find prices that no recipe's grades can reach.
///
/// # Errors
/// The person's folder cannot be read.
pub fn check(world: &World, subjects: &[Subject], bounds: Bounds) -> Result<Vec<Checked>, AppError> {
    let mut checked: Vec<Checked> = subjects.iter().map(|subject| check_one(world, subject, bounds)).collect();
    if checked.iter().any(|one| one.kind == SubjectKind::Yard) {
        let grades = grades_of_all(world, &checked)?;
        for (one, subject) in checked.iter_mut().zip(subjects).filter(|(one, _)| one.kind == SubjectKind::Yard) {
            one.findings.extend(yard::unreached(world.host(), subject, &grades));
        }
    }
    Ok(checked)
}

/// The grades of all recipes: those reached on the paths of those just checked, and those named by the others and by
/// the libraries.
fn grades_of_all(world: &World, checked: &[Checked]) -> Result<BTreeSet<String>, AppError> {
    let mut grades: BTreeSet<String> = checked.iter().flat_map(|one| one.grades.iter().cloned()).collect();
    for id in world.ids(Shelf::Recipes)? {
        if !checked.iter().any(|one| one.kind == SubjectKind::Recipe && one.id == id) {
            let subject = Subject::named(world, Shelf::Recipes, &id)?;
            grades.extend(recipe::named_grades(world.host(), &subject));
        }
    }
    grades.extend(world.host().library_texts());
    Ok(grades)
}

pub(super) fn check_one(world: &World, subject: &Subject, bounds: Bounds) -> Checked {
    let host = world.host();
    let watch = Watch::start(bounds, host);
    let mut checked = Checked {
        file: subject.file.clone(),
        kind: SubjectKind::Unknown,
        id: subject.stem.clone(),
        findings: Vec::new(),
        coverage: None,
        test_answers: None,
        lots: None,
        lots_left: None,
        took: Duration::ZERO,
        grades: BTreeSet::new(),
        guards: WorkGuards::new(),
        rehearsal: Rehearsal::default(),
    };
    checked.findings.extend(hidden(subject));
    match host.glance(&subject.file, &subject.text) {
        Ok(Glance::Recipe(unit)) => {
            checked.kind = SubjectKind::Recipe;
            checked.id = unit.id;
        }
        Ok(Glance::Yard { id, .. }) => {
            checked.kind = SubjectKind::Yard;
            checked.id = id;
        }
        Ok(Glance::Tool { id, .. }) => {
            checked.kind = SubjectKind::Tool;
            checked.id = id;
        }
        Err(_) => {
            checked.kind = match subject.shelf {
                Some(Shelf::Yards) => SubjectKind::Yard,
                Some(Shelf::Tools | Shelf::Reports) => SubjectKind::Tool,
                Some(_) => SubjectKind::Recipe,
                None => SubjectKind::Unknown,
            }
        }
    }
    match host.open(&subject.file, &subject.text) {
        Err(error) => checked.findings.push((*error).into()),
        Ok(script) => match checked.kind {
            SubjectKind::Yard => yard::check(world, &script, &watch, &mut checked),
            SubjectKind::Tool => tool::check(world, subject, &script, &mut checked),
            SubjectKind::Recipe => recipe::check(world, subject, &script, &watch, &mut checked),
            SubjectKind::Unknown => neither(host, &script, &mut checked),
        },
    }
    subject::clashes(world, subject, &mut checked);
    checked.findings.sort_by_key(|placed| {
        (placed.file != subject.file.as_str().into(), placed.finding.mark, placed.finding.message.clone())
    });
    checked.took = watch.took();
    checked
}

/// For a script that declares neither a unit nor a yard first: the error of its declarations, or that it declares
/// nothing.
fn neither(host: &Host, script: &Script, checked: &mut Checked) {
    let errors = host.recipe(script).err().unwrap_or_default();
    checked.findings.extend(errors.into_iter().map(Placed::from));
}

/// Invisible characters in the source, one finding per line: in a comment or a string they can disguise the text.
fn hidden(subject: &Subject) -> Vec<Placed> {
    let (file, source): (Rc<str>, Rc<str>) = (subject.file.as_str().into(), subject.text.as_str().into());
    let lines = subject.text.lines().enumerate().filter_map(|(at, line)| {
        let visible: String = line.chars().map(|c| if c == '\t' { ' ' } else { c }).collect();
        first_unsafe(&visible).map(|(column, c)| (Mark { line: at + 1, column }, c))
    });
    let found = lines.map(|(mark, c)| {
        let message = format!("a character that cannot be seen: U+{:04X}", u32::from(c));
        let hint = "take it out; it can make a text read as something else than it is";
        let finding = Finding::new(Severity::Error, "hidden", mark, message, hint);
        Placed { file: file.clone(), source: source.clone(), finding }
    });
    found.collect()
}
