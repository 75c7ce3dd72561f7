//! How a session comes to be on the bench: begun, rehearsed, taken up again, or only looked at.

use std::cell::OnceCell;
use std::path::PathBuf;
use std::rc::Rc;

use jiff::civil::Date;

use super::super::history::{Archive, Learned, RanUnder, RecipeChoice, Record};
use super::Session;
use crate::bench::{Kind, Standing};
use crate::market::Yard;
use crate::pricing::Valuation;
use crate::recipe::Recipe;
use crate::script::{Script, ScriptError};
use crate::store::Id;
use crate::store::journal::{JournalReading, SessionHeader};
use crate::world::{AppError, World};

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
    /// Whether the journal is read only in part.
    pub damaged: bool,
    /// What is to be said of the reading, a sentence each: damage first, then which text or price of then is not to be had.
    pub remarks: Vec<String>,
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
        let (recipe_digest, libraries) = world.keep_texts(script.source())?;
        let header = SessionHeader {
            recipe_digest,
            libraries,
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
        let id = world.counted_session(id)?;
        let opened = world.home.resume_session(&id, &world.clock.stamp())?;
        let mut session = Session::over(world, opened.reading, yard, date)?;
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

    /// Takes up a session that has ended, under the texts that it ran under, to put right one of its answers; with it the side file of an
    /// entry that was never finished, if its journal ended in one.
    ///
    /// # Errors
    /// As [`Session::resume`]; it has not ended, or those texts are not to be had.
    pub fn take_up_ended(world: &'w World, word: &str) -> Result<(Session<'w>, Option<PathBuf>), AppError> {
        let id = world.counted_session(word)?;
        let opened = world.home.resume_session(&id, &world.clock.stamp())?;
        let (mut session, _) = Session::over(world, opened.reading, None, None)?;
        if !session.as_recorded {
            let why = format!("{id}: it has not ended; `resume {id}`, then `back`, puts an answer right");
            return Err(AppError::Refused(why));
        }
        session.journal = Some(opened.writer);
        Ok((session, opened.torn))
    }

    /// As [`Session::view`], for one session that a word names.
    ///
    /// # Errors
    /// The word names none or several; as [`Session::view`].
    pub fn look(
        world: &'w World,
        word: &str,
        yard: Option<&str>,
        date: Option<Date>,
    ) -> Result<(Session<'w>, Seen), AppError> {
        Session::view(&Archive::new(world)?, &world.session_id(word)?, yard, date)
    }

    /// Looks at a session without taking it up, under the texts that it ran under. One that has ended is valued as it was then, unless
    /// a yard or a day is asked for; one that goes on at its yard today.
    ///
    /// # Errors
    /// There is no such session, its journal's head is damaged, or its recipe is neither kept nor there.
    pub fn view(
        archive: &Archive<'w>,
        id: &Id,
        yard: Option<&str>,
        date: Option<Date>,
    ) -> Result<(Session<'w>, Seen), AppError> {
        Session::as_ran(archive, archive.world().home.session(id)?, yard, date)
    }

    /// A session as it ran.
    fn as_ran(
        archive: &Archive<'w>,
        reading: JournalReading,
        yard: Option<&str>,
        date: Option<Date>,
    ) -> Result<(Session<'w>, Seen), AppError> {
        let world = archive.world();
        let entries = reading.records.clone();
        let past = archive.play(Record::of(reading), &RecipeChoice::AsRan)?;
        let mut seen = Seen { damaged: past.is_damaged(), remarks: past.remarks.clone() };
        let valuation = if past.has_ended() && yard.is_none() && date.is_none() {
            archive.as_it_was(&past.occasion(), &mut seen.remarks)?
        } else {
            valuation(world, &past.header, &past.standing, yard, date)?
        };
        let unit = world.unit(&valuation.yard)?;
        let (script, recipe) = past.compiled();
        let session = Session {
            world,
            header: (*past.header).clone(),
            script,
            recipe,
            journal: None,
            entries,
            standing: past.standing,
            run_result: past.run_result,
            valuation,
            revisited: None,
            unit,
            learned: OnceCell::new(),
            as_recorded: true,
        };
        Ok((session, seen))
    }

    /// A session over recorded entries, to go on with. One that has ended stays as it ran; one that goes on takes the recipe of today or,
    /// if that is gone or at fault, the texts that it ran under.
    fn over(
        world: &'w World,
        reading: JournalReading,
        yard: Option<&str>,
        date: Option<Date>,
    ) -> Result<(Session<'w>, Recovery), AppError> {
        let (header, entries) = (reading.header.clone(), reading.records.clone());
        let ran = RanUnder::of(&header, &entries);
        let standing = Standing::of(entries.iter().cloned());
        match Session::as_ran(&Archive::new(world)?, reading, yard, date) {
            Ok((session, _)) if session.has_ended() => return Ok((session, Recovery::default())),
            Err(error) if standing.result().is_some() => return Err(error),
            // It goes on, or its text of then fails on an answer, which has ended nothing.
            _ => {}
        }
        let mut recovery = Recovery::default();
        let (script, recipe) = match recipe_that_runs(world, &header.recipe, &standing) {
            Ok((script, recipe)) => {
                recovery.recipe_changed = crate::store::digest(script.source().as_bytes()) != ran.recipe;
                (script, recipe)
            }
            // The recipe is gone, or was edited and is at fault: the text that the session ran under still serves.
            Err(error @ (AppError::Name(_) | AppError::Script(_))) => {
                let Ok(then) = world.recipe_then(&header.recipe, &ran) else { return Err(error) };
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
pub(super) fn valuation(
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
        libraries: None,
    }
}
