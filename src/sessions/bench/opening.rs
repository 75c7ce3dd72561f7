//! How a session gets on the bench: begun, rehearsed, resumed, or only viewed.

use std::cell::OnceCell;
use std::path::PathBuf;
use std::rc::Rc;

use jiff::civil::Date;

use super::super::history::{Archive, Learned, RanUnder, RecipeChoice, SessionRecord};
use super::Session;
use crate::bench::{CurrentAnswers, Kind};
use crate::market::Yard;
use crate::pricing::Valuation;
use crate::recipe::Recipe;
use crate::script::{Script, ScriptError};
use crate::store::Id;
use crate::store::journal::{JournalReading, SessionHeader};
use crate::world::{AppError, World};

/// What was found when a session was resumed.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Recovered {
    /// Where an unfinished last entry was saved, if a crash cut one off.
    pub torn: Option<PathBuf>,
    /// Whether the recipe has changed since the session last ran.
    pub recipe_changed: bool,
    /// Whether the recipe is gone or at fault, so that the copy the session ran under is used.
    pub from_copy: bool,
    /// What is wrong with the recipe, if it exists but is at fault.
    pub fault: Vec<ScriptError>,
}

/// What the reader of a viewed session should know.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct SessionRemarks {
    /// Whether the journal could be read only in part.
    pub damaged: bool,
    /// Remarks on the reading, a sentence each: damage first, then which original text or price is missing.
    pub remarks: Vec<String>,
}

impl<'w> Session<'w> {
    /// Begins a session: stores copies of its scripts, creates its journal, and runs to the first question.
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
        // Run to the first question before creating the journal, so that a recipe that fails at once leaves none
        // behind.
        let mut session = Session::assemble(world, header, script, recipe, Vec::new(), valuation)?;
        let journal = world.home.begin_session(&world.clock.today().to_string(), &session.header)?;
        session.header.id =
            journal.path().file_stem().map(|stem| stem.to_string_lossy().into_owned()).unwrap_or_default();
        session.journal = Some(journal);
        Ok(session)
    }

    /// A session that leaves no trace, for demonstrations and test sessions.
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
        // A rehearsal must not depend on what the folder remembers.
        let _empty = session.learned.set(Learned::default());
        Ok(session)
    }

    /// Resumes a session where its journal ends, and records that; `yard` values it from here on.
    ///
    /// # Errors
    /// No such session, it is damaged or in use, or its recipe is missing and no copy was stored.
    pub fn resume(
        world: &'w World,
        id: &str,
        yard: Option<&str>,
        date: Option<Date>,
    ) -> Result<(Session<'w>, Recovered), AppError> {
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

    /// Reopens an ended session under its original texts, to correct one of its answers. Also returns the side file of
    /// an unfinished last entry, if the journal ended in one.
    ///
    /// # Errors
    /// As [`Session::resume`]; it has not ended, or its original texts are missing.
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

    /// As [`Session::view`], for the one session that a word means.
    ///
    /// # Errors
    /// The word matches no session or several; as [`Session::view`].
    pub fn look(
        world: &'w World,
        word: &str,
        yard: Option<&str>,
        date: Option<Date>,
    ) -> Result<(Session<'w>, SessionRemarks), AppError> {
        Session::view(&Archive::new(world)?, &world.session_id(word)?, yard, date)
    }

    /// Views a session without resuming it, under its original texts. An ended session is valued as it was then, unless
    /// a yard or a day is given; an open one at its yard today.
    ///
    /// # Errors
    /// No such session, the head of its journal is damaged, or its recipe is missing and no copy was stored.
    pub fn view(
        archive: &Archive<'w>,
        id: &Id,
        yard: Option<&str>,
        date: Option<Date>,
    ) -> Result<(Session<'w>, SessionRemarks), AppError> {
        Session::as_ran(archive, archive.world().home.session(id)?, yard, date)
    }

    /// A session as it ran.
    fn as_ran(
        archive: &Archive<'w>,
        reading: JournalReading,
        yard: Option<&str>,
        date: Option<Date>,
    ) -> Result<(Session<'w>, SessionRemarks), AppError> {
        let world = archive.world();
        let entries = reading.records.clone();
        let past = archive.play(SessionRecord::of(reading), &RecipeChoice::AsRan)?;
        let mut seen = SessionRemarks { damaged: past.is_damaged(), remarks: past.remarks.clone() };
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

    /// A session over recorded entries, ready to go on. An ended one stays as it ran; an open one takes today's recipe
    /// or, if that is gone or at fault, the texts it ran under.
    fn over(
        world: &'w World,
        reading: JournalReading,
        yard: Option<&str>,
        date: Option<Date>,
    ) -> Result<(Session<'w>, Recovered), AppError> {
        let (header, entries) = (reading.header.clone(), reading.records.clone());
        let ran = RanUnder::of(&header, &entries);
        let standing = CurrentAnswers::of(entries.iter().cloned());
        match Session::as_ran(&Archive::new(world)?, reading, yard, date) {
            Ok((session, _)) if session.has_ended() => return Ok((session, Recovered::default())),
            Err(error) if standing.result().is_some() => return Err(error),
            // The session goes on; or its original text fails on an answer, and a failed run has ended nothing.
            _ => {}
        }
        let mut recovery = Recovered::default();
        let (script, recipe) = match recipe_that_runs(world, &header.recipe, &standing) {
            Ok((script, recipe)) => {
                recovery.recipe_changed = crate::store::digest(script.source().as_bytes()) != ran.recipe;
                (script, recipe)
            }
            // The recipe is gone, or was edited and is at fault; the text the session ran under still works.
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

/// The valuation of a session at the yard asked for, else at its own. A word from the user may be part of a name; a
/// recorded name must match exactly.
pub(super) fn valuation(
    world: &World,
    header: &SessionHeader,
    standing: &CurrentAnswers,
    yard: Option<&str>,
    date: Option<Date>,
) -> Result<Valuation, AppError> {
    let yard = match (yard, standing.yard().or(header.yard.as_deref())) {
        (None, Some(recorded)) => recorded.to_owned(),
        (asked, _) => world.yard_id(asked)?,
    };
    Valuation::new(world, &yard, date)
}

/// Today's recipe, if it runs through the current answers.
fn recipe_that_runs(world: &World, id: &str, standing: &CurrentAnswers) -> Result<(Script, Rc<Recipe>), AppError> {
    let (script, recipe) = world.recipe(id)?;
    world.host().run(&script, Rc::new(standing.clone()))?;
    Ok((script, recipe))
}

/// The header of a new session, without digests and id.
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
