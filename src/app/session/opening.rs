//! How a session comes to be on the bench: begun, rehearsed, taken up again, or only looked at.

use std::path::PathBuf;
use std::rc::Rc;

use jiff::civil::Date;

use super::Session;
use crate::app::error::AppError;
use crate::app::memory::{Learned, ran_under};
use crate::app::shipped::modules_then;
use crate::app::valuation::Valuation;
use crate::app::world::World;
use crate::bench::{Entry, Kind, Standing};
use crate::market::Yard;
use crate::recipe::Recipe;
use crate::script::{Script, ScriptError};
use crate::store::journal::SessionHeader;
use crate::store::log::Ending;

/// What was found when a session was taken up again.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Recovery {
    /// Where the unfinished last entry was put, if a crash had cut one off.
    pub torn: Option<PathBuf>,
    /// The recipe has changed since the session last ran.
    pub recipe_changed: bool,
    /// The recipe is gone or at fault; the copy that the session ran under is used.
    pub from_copy: bool,
    /// What is wrong with the recipe, if it is there but at fault.
    pub fault: Vec<ScriptError>,
}

/// What a reader of a session should know that was only looked at.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Seen {
    /// The journal is read only in part: why.
    pub damage: Option<String>,
    /// Not the copy of the recipe that the session ran under is used but today's: why, in a sentence.
    pub other_text: Option<String>,
}

impl Seen {
    /// What is to be said of the reading of a session, a sentence each.
    pub fn remarks(&self, session: &str) -> Vec<String> {
        let damage = self.damage.as_ref().map(|why| format!("the journal of {session} is read only in part: {why}"));
        let other = self.other_text.as_ref().map(|why| format!("{session}: {why}"));
        damage.into_iter().chain(other).collect()
    }
}

impl<'w> Session<'w> {
    /// Begins a session: keeps copies of its scripts, makes its journal, and runs to the first question.
    ///
    /// # Errors
    /// A script is at fault, or the folder cannot be written.
    pub fn begin(
        world: &'w World,
        recipe_id: &str,
        yard_id: &str,
        date: Option<Date>,
    ) -> Result<Session<'w>, AppError> {
        let (script, recipe) = world.recipe(recipe_id)?;
        let (yard_script, yard) = world.yard(yard_id)?;
        let header = SessionHeader {
            recipe_digest: world.home.keep_script(script.source())?,
            yard_digest: Some(world.home.keep_script(yard_script.source())?),
            ..header(world, &recipe, &yard)
        };
        let valuation = Valuation::new(world, yard_id, date)?;
        // Runs to the first question before there is a journal: a recipe that fails at once leaves none behind.
        let mut session = Session::assemble(world, header, script, recipe, Vec::new(), valuation)?;
        let journal = world.home.begin_session(&world.clock.today().to_string(), &session.header)?;
        session.header.id =
            journal.path().file_stem().map(|stem| stem.to_string_lossy().into_owned()).unwrap_or_default();
        session.journal = Some(journal);
        Ok(session)
    }

    /// A session that leaves no trace: for demonstrations and test sessions.
    ///
    /// # Errors
    /// A script is at fault.
    pub fn rehearse(
        world: &'w World,
        recipe_id: &str,
        yard_id: &str,
        date: Option<Date>,
    ) -> Result<Session<'w>, AppError> {
        let (script, recipe) = world.recipe(recipe_id)?;
        let valuation = Valuation::new(world, yard_id, date)?;
        let header = header(world, &recipe, &valuation.yard);
        let session = Session::assemble(world, header, script, recipe, Vec::new(), valuation)?;
        // A rehearsal shows the same whatever the folder remembers.
        let _empty = session.learned.set(Learned::default());
        Ok(session)
    }

    /// Takes a session up again where its journal ends, and records that; `yard` values it from here on.
    ///
    /// # Errors
    /// There is no such session, it is damaged or in use, or its recipe is neither there nor kept.
    pub fn resume(
        world: &'w World,
        id: &str,
        yard: Option<&str>,
        date: Option<Date>,
    ) -> Result<(Session<'w>, Recovery), AppError> {
        let id = world.session_id(id)?;
        let opened = world.home.resume_session(&id, &world.clock.stamp())?;
        let mut session = Session::over(world, opened.reading.header, opened.reading.records, yard, date)?;
        if let Some(why) = session.0.why_not_counted() {
            return Err(AppError::Refused(why));
        }
        session.0.journal = Some(opened.writer);
        session.1.torn = opened.torn;
        session.0.record(Kind::Resume, None, None)?;
        if let Some(word) = yard {
            session.0.switch_yard(word)?;
        }
        if session.1.recipe_changed {
            session.0.note_recipe()?;
        }
        Ok(session)
    }

    /// Looks at a session without taking it up: its answers so far, under the text that it ran under, valued at a yard.
    ///
    /// # Errors
    /// As [`Session::resume`]. A damaged journal is read up to the damage, which the second value describes.
    pub fn view(
        world: &'w World,
        id: &str,
        yard: Option<&str>,
        date: Option<Date>,
    ) -> Result<(Session<'w>, Seen), AppError> {
        let id = world.session_id(id)?;
        let reading = world.home.session(&id)?;
        let damage = match &reading.ending {
            Ending::Damaged(damage) => Some(damage.to_string()),
            Ending::Torn { line, .. } => Some(format!("line {line}: an entry that was never finished is left out")),
            Ending::Whole => None,
        };
        let (header, entries) = (reading.header, reading.records);
        let then = world.recipe_then(&header.recipe, &ran_under(&header, &entries), &header.program)?;
        let other_text = then.is_none().then(|| {
            format!(
                "no copy of the recipe {} as the session ran it was kept; it is read under today's text",
                header.recipe
            )
        });
        let (script, recipe) = then.map_or_else(|| world.recipe(&header.recipe), Ok)?;
        let valuation = valuation(world, &header, &Standing::of(entries.iter().cloned()), yard, date)?;
        let session = Session::assemble(world, header, script, recipe, entries, valuation)?;
        Ok((session, Seen { damage, other_text }))
    }

    /// A session over recorded entries, to go on with: with the recipe of today or, if that is gone, the copy that was kept.
    fn over(
        world: &'w World,
        header: SessionHeader,
        entries: Vec<Entry>,
        yard: Option<&str>,
        date: Option<Date>,
    ) -> Result<(Session<'w>, Recovery), AppError> {
        let last_digest = ran_under(&header, &entries);
        let mut recovery = Recovery::default();
        let standing = Standing::of(entries.iter().cloned());
        let (script, recipe) = match recipe_that_runs(world, &header.recipe, &standing) {
            Ok((script, recipe)) => {
                recovery.recipe_changed = crate::store::digest(script.source().as_bytes()) != last_digest;
                (script, recipe)
            }
            // The recipe is gone, or was edited and is at fault: the text that the session ran under still serves.
            Err(error @ (AppError::Name(_) | AppError::Script(_))) => {
                let then = world.recipe_then(&header.recipe, &last_digest, &header.program)?;
                let Some(then) = then else { return Err(error) };
                recovery.from_copy = true;
                if let AppError::Script(errors) = error {
                    recovery.fault = errors;
                }
                then
            }
            Err(other) => return Err(other),
        };
        let valuation = valuation(world, &header, &standing, yard, date)?;
        let session = Session::assemble(world, header, script, recipe, entries, valuation)?;
        Ok((session, recovery))
    }
}

/// The valuation of a session at the yard that is asked for, else at its own. A word that a person gives may be a part of a name; a
/// name that was recorded is that one and no other.
fn valuation(
    world: &World,
    header: &SessionHeader,
    standing: &Standing,
    yard: Option<&str>,
    date: Option<Date>,
) -> Result<Valuation, AppError> {
    let yard = match (yard, standing.yard().or(header.yard.as_deref())) {
        (None, Some(recorded)) => recorded.to_owned(),
        (asked, _) => world.yard_id(asked)?,
    };
    Valuation::new(world, &yard, date)
}

impl World {
    /// A recipe from the copy of its text that was kept, with the modules of the program that ran it; `None` where no copy was kept.
    ///
    /// # Errors
    /// The copy cannot be read, or is at fault.
    pub(in crate::app) fn recipe_then(
        &self,
        recipe: &str,
        digest: &str,
        program: &str,
    ) -> Result<Option<(Script, Rc<Recipe>)>, AppError> {
        let Some(text) = self.home.seen_script(digest)? else { return Ok(None) };
        let script = self.host().open(&format!("{recipe} (kept copy)"), &text)?.importing(modules_then(program));
        let recipe = self.host().recipe(&script)?;
        Ok(Some((script, recipe)))
    }
}

/// A recipe as it is now, if it gets through the answers that stand.
fn recipe_that_runs(world: &World, id: &str, standing: &Standing) -> Result<(Script, Rc<Recipe>), AppError> {
    let (script, recipe) = world.recipe(id)?;
    world.host().run(&script, Rc::new(standing.clone()))?;
    Ok((script, recipe))
}

/// The header of a session that begins now, but for digests and id.
fn header(world: &World, recipe: &Recipe, yard: &Yard) -> SessionHeader {
    SessionHeader {
        id: String::new(),
        program: env!("CARGO_PKG_VERSION").to_owned(),
        started: world.clock.stamp(),
        offset: world.clock.offset(),
        recipe: recipe.unit().id.clone(),
        recipe_name: recipe.unit().name.clone(),
        revision: u64::from(recipe.unit().revision),
        recipe_digest: String::new(),
        yard: Some(yard.id().to_owned()),
        yard_digest: None,
        person: world.config.person.clone(),
        unit_note: None,
    }
}
