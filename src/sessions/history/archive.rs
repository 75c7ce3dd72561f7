//! Reads journals back, compiling every script once.

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

use super::super::haul_of_run::haul_of_run;
use super::ahead::each_told;
use super::compiled::CompiledRecipe;
use super::outcome::{SessionOutcome, Told};
use super::past::Past;
use super::record::{SessionRecord, kept_result};
use super::summary::SessionSummary;
use super::then::RanUnder;
use crate::bench::{Ask, CurrentAnswers, RunResult, Weighing};
use crate::market::{Quote, Yard};
use crate::pricing::quotes;
use crate::quantity::Mass;
use crate::recipe::Recipe;
use crate::script::Script;
use crate::store::Id;
use crate::store::home::Results;
use crate::store::journal::SessionHeader;
use crate::world::{AppError, World};

/// Which text of a recipe a session is read under.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum RecipeChoice {
    /// The stored copy of the one it last ran under.
    AsRan,
    /// Today's.
    Now,
    /// The copy of this revision; refused if several texts claim the same revision.
    Revision(u64),
}

/// What a multi-session use may keep per session, in bytes: its net, or its weights and minutes; a few thousand at
/// most.
const KEPT: isize = 16 * 1024;

/// From how many sessions on it pays to keep what they came to: fewer are read from their journals at once.
const KEPT_FROM: usize = 24;

/// Why a script could not be loaded; stored as text, since the same reason may apply to thousands of sessions.
#[derive(Debug, Clone)]
pub(super) enum LoadError {
    /// It is missing, or its copy is.
    Missing(String),
    /// It is there and cannot be used.
    Unusable(String),
}

impl From<&AppError> for LoadError {
    fn from(error: &AppError) -> LoadError {
        match error {
            AppError::Name(missing) => LoadError::Missing(missing.clone()),
            other => LoadError::Unusable(other.to_string()),
        }
    }
}

impl From<LoadError> for AppError {
    fn from(error: LoadError) -> AppError {
        match error {
            LoadError::Missing(missing) => AppError::Name(missing),
            LoadError::Unusable(why) => AppError::Refused(why),
        }
    }
}

/// Digests of stored recipe texts that claim one revision, by recipe and revision.
pub(super) type Revisions = BTreeMap<(String, u64), Vec<String>>;

/// The sessions of one folder, and every script they need.
pub struct Archive<'w> {
    pub(super) world: &'w World,
    pub(super) recipes: RefCell<BTreeMap<String, Result<Rc<CompiledRecipe>, LoadError>>>,
    pub(super) yards: RefCell<BTreeMap<String, Result<Rc<Yard>, LoadError>>>,
    pub(super) revisions: RefCell<Option<Revisions>>,
    pub(super) quotes: Rc<[Quote]>,
    division: Option<Mass>,
    /// What is to be kept of sessions that were read from their journals: by name, the journal's digest and the line.
    fresh: RefCell<BTreeMap<String, (String, String)>>,
    /// What could not be read of the quotes.
    pub warnings: Vec<String>,
}

impl<'w> Archive<'w> {
    /// Opens the archive of a world's folder; reads the quotes, but no session yet.
    ///
    /// # Errors
    /// Quotes or settings cannot be read.
    pub fn new(world: &'w World) -> Result<Archive<'w>, AppError> {
        let (quotes, warnings) = quotes(world)?;
        Ok(Archive {
            world,
            recipes: RefCell::default(),
            yards: RefCell::default(),
            revisions: RefCell::default(),
            quotes: quotes.into(),
            division: world.scale_division()?,
            fresh: RefCell::default(),
            warnings,
        })
    }

    /// The world it belongs to.
    pub fn world(&self) -> &'w World {
        self.world
    }

    /// The division of the user's scale.
    pub(super) fn division(&self) -> Option<Mass> {
        self.division
    }

    /// Reads a session and runs its recipe over the current answers.
    ///
    /// # Errors
    /// The journal's header is damaged or from a foreign program, or its recipe is missing or at fault.
    pub fn read(&self, id: &Id, choice: &RecipeChoice) -> Result<Past, AppError> {
        self.play(SessionRecord::read(&self.world.home, id)?, choice)
    }

    /// Runs a session's recipe over the answers in its journal.
    ///
    /// # Errors
    /// Its recipe is missing or at fault.
    pub fn play(&self, record: SessionRecord, choice: &RecipeChoice) -> Result<Past, AppError> {
        let SessionRecord { header, standing, ran, damage, .. } = record;
        self.run(Rc::new(header), Rc::new(standing), ran, damage, choice)
    }

    /// The same session under another text of its recipe.
    ///
    /// # Errors
    /// As [`Archive::play`].
    pub fn replay(&self, past: &Past, choice: &RecipeChoice) -> Result<Past, AppError> {
        self.run(past.header.clone(), past.recorded.clone(), past.ran.clone(), past.damage.clone(), choice)
    }

    fn run(
        &self,
        header: Rc<SessionHeader>,
        recorded: Rc<CurrentAnswers>,
        ran: RanUnder,
        damage: Option<String>,
        choice: &RecipeChoice,
    ) -> Result<Past, AppError> {
        let mut remarks: Vec<String> = damage.iter().cloned().collect();
        let (kept, missing) = self.recipe(&header, &ran, choice)?;
        let mut standing = match choice {
            RecipeChoice::AsRan => Rc::new((*recorded).clone().as_recorded()),
            RecipeChoice::Now | RecipeChoice::Revision(_) => recorded.clone(),
        };
        let mut run_result = kept.run(self.world, standing.clone()).map_err(|error| stood_in(&missing, error))?;
        let result = match choice {
            RecipeChoice::AsRan => kept_result(&recorded, damage.as_deref()),
            RecipeChoice::Now | RecipeChoice::Revision(_) => None,
        };
        if let Some(missing) = missing {
            let played = haul_of_run(&kept.recipe, &run_result, &standing, self.division);
            // Today's recipe stands in only if it gives the result stored in the journal; otherwise one screen would
            // show two truths.
            if result.as_ref().is_some_and(|result| !result.is_same_goods(&played)) {
                return Err(AppError::Refused(format!(
                    "{missing}, and today's recipe comes to something else than the session ended with; its goods count as its journal keeps them"
                )));
            }
            remarks.push(format!("{missing}; today's recipe is used"));
        }
        if *choice != RecipeChoice::AsRan {
            // Every round answers one more question; a recipe has no more of them than steps and parts.
            while let Some((question, answer)) = unforeseen(&run_result, &standing) {
                remarks.push(format!("`{question}` is new in this text of the recipe: counted as `{answer}`"));
                standing = Rc::new(standing.supposing(&question, answer));
                run_result = kept.run(self.world, standing.clone())?;
            }
        }
        self.world.host().exempt_from_memory_limit(KEPT);
        Ok(Past { division: self.division, header, recorded, ran, result, damage, standing, kept, run_result, remarks })
    }

    /// The remark for a session with a stored result whose original texts are missing.
    pub fn missing_texts(&self, record: &SessionRecord) -> Option<String> {
        let why = self.copy(&record.header.recipe, &record.ran).err()?;
        Some(format!("{why}; it counts as its journal says that it ended"))
    }

    /// Reads the journals of sessions in order and passes each on, while another thread reads ahead. Skips discarded
    /// sessions, which count nowhere.
    ///
    /// # Errors
    /// Whatever `act` returns, which also stops the reading. A journal that cannot be read is passed on as its error.
    pub fn each(
        &self,
        ids: &[Id],
        mut act: impl FnMut(&Id, Result<SessionRecord, AppError>) -> Result<(), AppError>,
    ) -> Result<(), AppError> {
        each_told(&self.world.home, &Results::default(), ids, |id, told| {
            match told.and_then(|told| told.record(&self.world.home, id)) {
                Ok(record) if record.standing.is_discarded() => Ok(()),
                record => act(id, record.map_err(AppError::from)),
            }
        })
    }

    /// The same for whoever needs no answers: hands on what each session came to, from what is kept of that where its
    /// journal is the one that it was kept from, and keeps it for the next command.
    ///
    /// # Errors
    /// As [`Archive::each`].
    pub fn each_told(
        &self,
        ids: &[Id],
        mut act: impl FnMut(&Id, Result<Told, AppError>) -> Result<(), AppError>,
    ) -> Result<(), AppError> {
        let is_many = ids.len() >= KEPT_FROM;
        let mut results = if is_many { self.world.home.results() } else { Results::default() };
        self.exempt(results.bytes());
        each_told(&self.world.home, &results, ids, |id, told| match told {
            Ok(Told { record: Some(record), .. }) if record.standing.is_discarded() => Ok(()),
            Ok(mut told) => {
                told.outcome = told.outcome.or_else(|| SessionOutcome::of(told.record.as_ref()?));
                // Where a text is gone that it ran under, that has to be said.
                told.outcome = told.outcome.filter(|outcome| self.copy(&outcome.header.recipe, &outcome.ran).is_ok());
                if told.outcome.is_some() {
                    self.world.host().exempt_from_memory_limit(KEPT);
                }
                if let (true, Some(outcome), Some(_)) = (is_many, &told.outcome, &told.record) {
                    self.keep(outcome);
                }
                act(id, Ok(told))
            }
            Err(error) => act(id, Err(error.into())),
        })?;
        let fresh = self.fresh.take();
        if is_many && !fresh.is_empty() {
            let known: BTreeSet<String> =
                self.world.home.sessions()?.ids.into_iter().map(|id| id.to_string()).collect();
            results.retain(|id| known.contains(id));
            fresh.into_iter().for_each(|(id, (journal, line))| results.put(&id, journal, line));
            // A folder that cannot be written is read all the same, only slower.
            let _ = self.world.home.keep_results(&results);
        }
        Ok(())
    }

    /// Whether what is kept of a session is what its journal says.
    ///
    /// # Errors
    /// As [`Archive::play`].
    pub fn is_kept_right(&self, results: &Results, id: &Id, record: SessionRecord) -> Result<bool, AppError> {
        let Some(line) = results.of(id.as_str(), &record.journal) else { return Ok(true) };
        let kept = SessionOutcome::from_line(line, &record.journal);
        let (Some(kept), Some(told)) = (kept, SessionOutcome::of(&record)) else { return Ok(false) };
        if kept.summary.is_none() {
            return Ok(kept == told);
        }
        let past = self.play(record, &RecipeChoice::AsRan)?;
        Ok(kept == told.with(SessionSummary::from(&past)))
    }

    /// Has what a session came to kept for the next command.
    pub(super) fn keep(&self, outcome: &SessionOutcome) {
        let Some(line) = outcome.to_line() else { return };
        self.exempt(line.len());
        self.fresh.borrow_mut().insert(outcome.header.id.clone(), (outcome.journal.clone(), line));
    }

    /// What is read of results or kept for them is no leak of a script.
    fn exempt(&self, bytes: usize) {
        // Tables and texts that are made of it, once more the same.
        self.world.host().exempt_from_memory_limit(isize::try_from(bytes.saturating_mul(2)).unwrap_or(isize::MAX));
    }

    /// The recipe to read a session under; with it what of the texts of then is missing, where today's stands in for
    /// them.
    fn recipe(
        &self,
        header: &SessionHeader,
        ran: &RanUnder,
        choice: &RecipeChoice,
    ) -> Result<(Rc<CompiledRecipe>, Option<String>), AppError> {
        let today = || self.compiled(&format!("now {}", header.recipe), || self.world.recipe(&header.recipe));
        let recipe = match choice {
            RecipeChoice::Now => today()?,
            RecipeChoice::AsRan => match self.copy(&header.recipe, ran) {
                Err(AppError::Name(missing)) => {
                    let missing = Some(missing);
                    return Ok((today().map_err(|error| stood_in(&missing, error))?, missing));
                }
                other => other?,
            },
            RecipeChoice::Revision(number) => self.of_revision(&header.recipe, *number)?,
        };
        Ok((recipe, None))
    }

    /// The recipe from copies of the texts that a session ran under.
    fn copy(&self, recipe: &str, ran: &RanUnder) -> Result<Rc<CompiledRecipe>, AppError> {
        let key = format!("{} {} {}", ran.recipe, ran.libraries.as_deref().unwrap_or_default(), ran.program);
        let then = || match self.world.recipe_then(recipe, ran) {
            Err(AppError::Script(_)) => Err(AppError::Name("the recipe as it was then no longer runs".to_owned())),
            other => other,
        };
        self.compiled(&key, then)
    }

    pub(super) fn compiled(
        &self,
        key: &str,
        compile: impl FnOnce() -> Result<(Script, Rc<Recipe>), AppError>,
    ) -> Result<Rc<CompiledRecipe>, AppError> {
        if let Some(known) = self.recipes.borrow().get(key) {
            return known.clone().map_err(AppError::from);
        }
        let made = compile().map(|(script, recipe)| Rc::new(CompiledRecipe { script, recipe }));
        let kept = made.as_ref().map(Rc::clone).map_err(LoadError::from);
        self.recipes.borrow_mut().insert(key.to_owned(), kept);
        made
    }

    /// The sessions of a recipe, oldest first, by file name alone: `<date>-<recipe>-<n>`.
    ///
    /// # Errors
    /// The folder cannot be read.
    pub fn sessions_of(&self, recipe: &str) -> Result<Vec<Id>, AppError> {
        let of_recipe = |id: &Id| {
            let stem = id.as_str().rsplit_once('-').map(|(stem, _)| stem);
            stem.and_then(|stem| stem.strip_suffix(recipe)).is_some_and(|day| day.len() == "2026-11-02-".len())
        };
        Ok(self.world.home.sessions()?.ids.into_iter().filter(of_recipe).collect())
    }
}

/// Why a session is unreadable if its texts are missing and today's recipe cannot stand in.
fn stood_in(missing: &Option<String>, error: AppError) -> AppError {
    match (missing, error) {
        (Some(missing), AppError::Name(why)) => AppError::Refused(format!("{missing}, and {why}")),
        (Some(missing), AppError::Script(_)) => {
            AppError::Refused(format!("{missing}, and today's recipe is at fault; `check` says where"))
        }
        (_, error) => error,
    }
}

/// A question left open although later answers stand, and what to assume: a step the session did not know was skipped,
/// a part it did not know was absent. `None` for any other question, whose answer nobody can know.
fn unforeseen(run_result: &RunResult, standing: &CurrentAnswers) -> Option<(String, &'static str)> {
    let question = run_result.waits()?;
    let asked = |name: &str| run_result.asked.iter().any(|asked| asked.question.name() == name);
    let supposed = match question.ask {
        Ask::Begin { .. } => "skip",
        Ask::Weight { what: Weighing::Part, .. } => "none",
        _ => return None,
    };
    let name = question.name();
    let stands = standing.answer(&name).is_some();
    (!stands && standing.names().any(|name| !asked(name))).then_some((name, supposed))
}
