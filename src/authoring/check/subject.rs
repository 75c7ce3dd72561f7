//! What is checked: a script with its text, and the test session beside it.

use std::path::{Path, PathBuf};
use std::rc::Rc;

use super::{Checked, Placed, SubjectKind};
use crate::recipe::Mark;
use crate::review::{Finding, Severity};
use crate::store::answers::MAX_FILE;
use crate::store::home::{MAX_SCRIPT, Shelf};
use crate::world::{AppError, FoundScript, Origin, World, shipped};

use crate::store::{StoreError, files};

/// A script to check.
#[derive(Debug, Clone)]
pub struct Subject {
    /// The file as shown to the user.
    pub file: String,
    /// The file name without extension: the id by which it is found.
    pub stem: String,
    /// The whole text.
    pub text: String,
    /// The test session beside it: path and text.
    pub session: Option<(PathBuf, String)>,
    /// Where it lies, if shipped or in the user's folder.
    pub shelf: Option<Shelf>,
    /// Whether it is the user's own and hides a shipped one.
    pub shadows: bool,
}

/// The kinds of scripts that can be checked.
const SHELVES: [Shelf; 4] = [Shelf::Recipes, Shelf::Yards, Shelf::Tools, Shelf::Reports];

impl Subject {
    /// Everything shipped and everything in the user's folder.
    ///
    /// # Errors
    /// The folder cannot be read.
    pub fn all(world: &World) -> Result<Vec<Subject>, AppError> {
        let mut subjects = Vec::new();
        for shelf in SHELVES {
            for id in world.ids(shelf)? {
                subjects.push(Subject::named(world, shelf, &id)?);
            }
        }
        Ok(subjects)
    }

    /// What a word means: a file, else a script by id, or a recipe or yard by part of its name.
    ///
    /// # Errors
    /// It means nothing, or several things, or the file cannot be read.
    pub fn find(world: &World, word: &str) -> Result<Subject, AppError> {
        let path = Path::new(word);
        let looks_like_file = path.extension().is_some_and(|ending| ending == "rhai") || path.components().count() > 1;
        if looks_like_file {
            return Subject::at(world, path);
        }
        let (shelf, id) = world.named(&SHELVES, word)?;
        Subject::named(world, shelf, &id)
    }

    /// A script of a kind by its exact id.
    ///
    /// # Errors
    /// No such script, or it cannot be read.
    pub fn named(world: &World, shelf: Shelf, id: &str) -> Result<Subject, AppError> {
        let found = world.find(shelf, id)?;
        world.report_if_changed(&found);
        let beside = Path::new(&found.file()).with_extension("session.toml");
        let session = world.test_session_of(&found)?.map(|text| (beside, text));
        let shadows = matches!(found.origin, Origin::Own(_)) && shipped::script(shelf, id).is_some();
        let file = found.file();
        let FoundScript { id: stem, text, .. } = found;
        Ok(Subject { file, stem, text, session, shelf: Some(shelf), shadows })
    }

    /// A script at a path.
    ///
    /// # Errors
    /// It cannot be read.
    pub fn at(world: &World, path: &Path) -> Result<Subject, AppError> {
        let text = files::read_text(world.home.disk().as_ref(), path, MAX_SCRIPT)?;
        let stem = path.file_stem().map(|stem| stem.to_string_lossy().into_owned()).unwrap_or_default();
        let file = path.display().to_string();
        Ok(Subject { file, stem, text, session: session_beside(world, path)?, shelf: None, shadows: false })
    }

    /// Places a finding in this script.
    pub(super) fn place(&self, finding: Finding) -> Placed {
        Placed { file: Rc::from(self.file.as_str()), source: Rc::from(self.text.as_str()), finding }
    }
}

/// The test session beside a script file, if there is one.
fn session_beside(world: &World, path: &Path) -> Result<Option<(PathBuf, String)>, AppError> {
    let beside = path.with_extension("session.toml");
    match files::read_text(world.home.disk().as_ref(), &beside, MAX_FILE) {
        Ok(text) => Ok(Some((beside, text))),
        Err(StoreError::Missing { .. }) => Ok(None),
        Err(error) => Err(error.into()),
    }
}

/// Names that clash with this script's.
pub(super) fn clashes(world: &World, subject: &Subject, checked: &mut Checked) {
    if checked.kind == SubjectKind::Unknown {
        return;
    }
    let (id, kind) = (&checked.id, checked.kind.word());
    let mut found = Vec::new();
    let start = Mark { line: 1, column: 1 };
    let mut add = |severity, message: String, hint: String| {
        found.push(subject.place(Finding::new(severity, "clash", start, message, hint)));
    };
    if *id != subject.stem {
        let message = format!("the {kind} calls itself `{id}`, and its file is called `{}`", subject.stem);
        add(Severity::Error, message, format!("name the file {id}.rhai: it is found by the name of its file"));
    }
    if subject.shadows {
        let message = format!("`{id}` is used in place of the shipped {kind} of that name");
        add(Severity::Note, message, "give it an id of its own to have both".into());
    }
    if checked.kind == SubjectKind::Tool {
        // A tool is a command, and commands share no names with grades, hazards, recipes and yards.
        if (world.is_command)(id) {
            let message = format!("`{id}` is a command of the program's own, which no tool can take the place of");
            add(Severity::Error, message, "give it another id".into());
        }
        if subject.shelf == Some(Shelf::Tools) && world.find(Shelf::Reports, id).is_ok() {
            let message = format!("`{id}` is also a report, which cannot be run as long as this tool is there");
            add(Severity::Warning, message, "give it another id".into());
        }
        checked.findings.extend(found);
        return;
    }
    let other = if checked.kind == SubjectKind::Recipe { Shelf::Yards } else { Shelf::Recipes };
    let catalogue = world.host().catalogue();
    let taken = [
        (catalogue.grades().get(id).is_some(), "a grade"),
        (catalogue.hazards().get(id).is_some(), "a hazard"),
        (world.find(other, id).is_ok(), if other == Shelf::Yards { "a yard" } else { "a recipe" }),
    ];
    for (_, what) in taken.into_iter().filter(|(taken, _)| *taken) {
        add(
            Severity::Warning,
            format!("`{id}` is also {what}: `show {id}` cannot mean both"),
            "give it another id".into(),
        );
    }
    checked.findings.extend(found);
}
