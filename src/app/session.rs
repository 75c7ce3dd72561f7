//! A session at the bench: every act of the person, recorded before it is acknowledged.

mod second_look;

use std::cell::OnceCell;
use std::collections::BTreeSet;
use std::path::PathBuf;
use std::rc::Rc;

use jiff::civil::Date;

use super::depth::{Depth, NextBundle, PlanWishes};
use super::error::AppError;
use super::gather::gather;
use super::memory::Learned;
use super::outlook::{Outlook, outlook};
use super::part_list;
use super::timing::measured;
use super::valuation::Valuation;
use super::world::World;
use crate::bench::{
    Answer, Ask, Asked, End, Entry, Fate, Kind, MIX_SEPARATOR, NotAnAnswer, Presence, Question, Standing, Transcript,
    UNIT, Weighing, exact, interpret,
};
use crate::market::{Tally, Yard};
use crate::naming::suggest;
use crate::quantity::{MassUnit, Minutes, WeighingRules};
use crate::recipe::{Recipe, Step};
use crate::script::Script;
use crate::store::Id;
use crate::store::home::Shelf;
use crate::store::journal::{Journal, SessionHeader};
use crate::store::log::Ending;

/// What an act changed beyond the answer itself.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Change {
    /// An answer was taken as this.
    Answered(Answer),
    /// The text is no answer.
    NotTaken(NotAnAnswer),
}

/// What was found when a session was taken up again.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Recovery {
    /// Where the unfinished last entry was put, if a crash had cut one off.
    pub torn: Option<PathBuf>,
    /// The recipe has changed since the session last ran.
    pub recipe_changed: bool,
    /// The recipe is gone; the copy that the session ran under is used.
    pub from_copy: bool,
}

/// A unit on the bench.
pub struct Session<'w> {
    world: &'w World,
    header: SessionHeader,
    script: Script,
    recipe: Rc<Recipe>,
    journal: Option<Journal>,
    entries: Vec<Entry>,
    standing: Rc<Standing>,
    transcript: Transcript,
    valuation: Valuation,
    revisited: Option<String>,
    unit: MassUnit,
    learned: OnceCell<Learned>,
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
        let journal = world.home.begin_session(&world.clock.today().to_string(), &header)?;
        let id = journal.path().file_stem().map(|stem| stem.to_string_lossy().into_owned());
        let header = SessionHeader { id: id.unwrap_or_default(), ..header };
        let valuation = Valuation::new(world, yard_id, date)?;
        Session::assemble(world, header, script, recipe, Some(journal), Vec::new(), valuation)
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
        let session = Session::assemble(world, header, script, recipe, None, Vec::new(), valuation)?;
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

    /// Looks at a session without taking it up: its answers so far, valued at a yard.
    ///
    /// # Errors
    /// As [`Session::resume`]. A damaged journal is read up to the damage, which the second value describes.
    pub fn view(
        world: &'w World,
        id: &str,
        yard: Option<&str>,
        date: Option<Date>,
    ) -> Result<(Session<'w>, Option<String>), AppError> {
        let id = world.session_id(id)?;
        let reading = world.home.session(&id)?;
        let damage = match &reading.ending {
            Ending::Damaged(damage) => Some(damage.to_string()),
            Ending::Torn { line, .. } => Some(format!("line {line}: an entry that was never finished is left out")),
            Ending::Whole => None,
        };
        let (session, _) = Session::over(world, reading.header, reading.records, yard, date)?;
        Ok((session, damage))
    }

    /// A session over recorded entries, with the recipe of today or, if that is gone, the copy that was kept.
    fn over(
        world: &'w World,
        header: SessionHeader,
        entries: Vec<Entry>,
        yard: Option<&str>,
        date: Option<Date>,
    ) -> Result<(Session<'w>, Recovery), AppError> {
        let last_digest =
            entries.iter().rev().find(|entry| entry.kind == Kind::Recipe).and_then(|e| e.understood.clone());
        let last_digest = last_digest.unwrap_or_else(|| header.recipe_digest.clone());
        let mut recovery = Recovery::default();
        let (script, recipe) = match world.recipe(&header.recipe) {
            Ok((script, recipe)) => {
                recovery.recipe_changed = crate::store::digest(script.source().as_bytes()) != last_digest;
                (script, recipe)
            }
            Err(AppError::Name(missing)) => {
                let text = world.home.seen_script(&last_digest)?.ok_or(AppError::Name(missing))?;
                let script = world.host().open(&format!("{} (kept copy)", header.recipe), &text)?;
                recovery.from_copy = true;
                let recipe = world.host().recipe(&script)?;
                (script, recipe)
            }
            Err(other) => return Err(other),
        };
        let standing = Standing::of(&entries);
        // A word that a person gives may be a part of a name; a name that was recorded is that one and no other.
        let yard = match (yard, standing.yard().or(header.yard.as_deref())) {
            (None, Some(recorded)) => recorded.to_owned(),
            (asked, _) => world.yard_id(asked)?,
        };
        let valuation = Valuation::new(world, &yard, date)?;
        let session = Session::assemble(world, header, script, recipe, None, entries, valuation)?;
        Ok((session, recovery))
    }

    fn assemble(
        world: &'w World,
        header: SessionHeader,
        script: Script,
        recipe: Rc<Recipe>,
        journal: Option<Journal>,
        entries: Vec<Entry>,
        valuation: Valuation,
    ) -> Result<Session<'w>, AppError> {
        let standing = Rc::new(Standing::of(&entries));
        let transcript = world.host().run(&script, standing.clone())?;
        let unit = world.unit(&valuation.yard)?;
        Ok(Session {
            world,
            header,
            script,
            recipe,
            journal,
            entries,
            standing,
            transcript,
            valuation,
            revisited: None,
            unit,
            learned: OnceCell::new(),
        })
    }

    /// Writes an entry, and only then counts it. Nothing is acknowledged that is not on the disk.
    fn record(&mut self, kind: Kind, question: Option<&str>, text: Option<(&str, &str)>) -> Result<(), AppError> {
        let entry = Entry {
            seq: self.journal.as_ref().map_or(self.entries.len() as u64 + 1, Journal::next_seq),
            at: self.world.clock.stamp(),
            kind,
            question: question.map(str::to_owned),
            typed: text.map(|(typed, _)| typed.to_owned()),
            understood: text.map(|(_, understood)| understood.to_owned()),
            origin: None,
        };
        self.keep(entry)
    }

    fn keep(&mut self, entry: Entry) -> Result<(), AppError> {
        if let Some(journal) = &mut self.journal {
            journal.append(&entry)?;
        }
        self.entries.push(entry);
        Ok(())
    }

    /// Runs the recipe again over what stands now.
    fn rerun(&mut self) -> Result<(), AppError> {
        self.standing = Rc::new(Standing::of(&self.entries));
        self.transcript = self.world.host().run(&self.script, self.standing.clone())?;
        Ok(())
    }

    /// The question to answer: one that is gone back to, else the one that waits. `None` at the end.
    pub fn question(&self) -> Option<&Question> {
        let revisited = self.revisited.as_ref().and_then(|name| self.asked(name)).map(|asked| &asked.question);
        revisited.or_else(|| self.transcript.waits())
    }

    fn asked(&self, name: &str) -> Option<&Asked> {
        self.transcript.asked.iter().find(|asked| asked.question.name() == name)
    }

    /// What Enter alone answers, as text to show: the old answer of a question gone back to, or the obvious one.
    pub fn default_answer(&self) -> Option<String> {
        let question = self.question()?;
        if let Some(asked) = self.revisited.as_ref().and_then(|name| self.asked(name)) {
            let typed = self.standing.answer(&asked.question.name()).map(|given| given.typed.clone());
            // Where units or the decimal mark have changed since, the same words would mean something else.
            let still = |typed: &String| self.understand(typed).as_ref() == Ok(&asked.answer);
            return typed.filter(still).or_else(|| Some(self.in_words(asked)));
        }
        match &question.ask {
            Ask::Begin { .. } => Some("do".to_owned()),
            Ask::Minutes { .. } => Some(self.measured(&question.step)?.show(self.valuation.notation)),
            Ask::Weight { what: Weighing::Remainder, .. } if self.transcript.state.intake.is_some() => {
                Some("difference".to_owned())
            }
            _ => None,
        }
    }

    /// An answer as a person would read it now.
    fn in_words(&self, asked: &Asked) -> String {
        match &asked.answer {
            Answer::Weight(reading) => reading.net.show_friendly(self.unit, self.valuation.notation),
            Answer::Number(number) => self.valuation.notation.show(*number),
            Answer::Minutes(minutes) => minutes.show(self.valuation.notation),
            other => exact(&asked.question, other),
        }
    }

    /// The time since the step was begun, pauses left out.
    pub fn measured(&self, step: &str) -> Option<Minutes> {
        measured(&self.entries, step, self.world.clock.now())
    }

    /// How an answer to the question at hand would be understood; nothing is recorded.
    ///
    /// # Errors
    /// Why the text is no answer.
    pub fn understand(&self, typed: &str) -> Result<Answer, NotAnAnswer> {
        let Some(question) = self.question() else {
            return Err(NotAnAnswer { message: "nothing is asked any more".into(), at: None });
        };
        let container = |name: &str| self.world.container(name);
        let rules = WeighingRules { notation: self.valuation.notation, unit: self.unit, tare: &container };
        interpret(question, typed, &rules)
    }

    /// Answers the question at hand: records the answer, then runs on. An empty text takes the default.
    ///
    /// # Errors
    /// The journal cannot be written, or the script fails on the answer; then the answer is on disk all the same.
    pub fn answer(&mut self, typed: &str, origin: Option<&str>) -> Result<Change, AppError> {
        let Some(question) = self.question().cloned() else {
            return Err(AppError::Refused("nothing is asked any more".into()));
        };
        let default = if typed.trim().is_empty() { self.default_answer() } else { None };
        let kept = self.revisited.as_ref().filter(|_| default.is_some()).and_then(|name| self.asked(name));
        let kept = kept.map(|asked| asked.answer.clone());
        let measured = default.is_some() && kept.is_none() && matches!(question.ask, Ask::Minutes { .. });
        let text = default.unwrap_or_else(|| typed.to_owned());
        let answer = match kept.map_or_else(|| self.understand(&text), Ok) {
            Ok(answer) => answer,
            Err(error) => return Ok(Change::NotTaken(error)),
        };
        let entry = Entry {
            seq: self.journal.as_ref().map_or(self.entries.len() as u64 + 1, Journal::next_seq),
            at: self.world.clock.stamp(),
            kind: Kind::Answer,
            question: Some(question.name()),
            typed: Some(text.trim().to_owned()),
            understood: Some(exact(&question, &answer)),
            origin: origin.or(measured.then_some("measured")).map(str::to_owned),
        };
        self.keep(entry)?;
        self.revisited = None;
        self.rerun()?;
        Ok(Change::Answered(answer))
    }

    /// Goes back one question; its old answer becomes the default. The name of the question, or `None` at the first.
    pub fn back(&mut self) -> Option<String> {
        let place = match &self.revisited {
            Some(name) => self.transcript.asked.iter().position(|asked| asked.question.name() == *name)?,
            None => self.transcript.asked.len(),
        };
        let name = self.transcript.asked.get(place.checked_sub(1)?)?.question.name();
        self.revisited = Some(name.clone());
        Some(name)
    }

    /// Whether the question at hand is one that was gone back to.
    pub fn is_revisiting(&self) -> bool {
        self.revisited.is_some()
    }

    /// Takes the last act back; its entry, or `None` when there is nothing to take back.
    ///
    /// # Errors
    /// The journal cannot be written.
    pub fn undo(&mut self) -> Result<Option<Entry>, AppError> {
        let Some(entry) = self.standing.undoable().cloned() else { return Ok(None) };
        self.record(Kind::Undo, None, None)?;
        self.revisited = None;
        self.rerun()?;
        Ok(Some(entry))
    }

    /// Brings back what was taken back last; its entry, or `None`.
    ///
    /// # Errors
    /// The journal cannot be written.
    pub fn redo(&mut self) -> Result<Option<Entry>, AppError> {
        let Some(entry) = self.standing.redoable().cloned() else { return Ok(None) };
        self.record(Kind::Redo, None, None)?;
        self.revisited = None;
        self.rerun()?;
        Ok(Some(entry))
    }

    /// Skips the step at hand: its beginning is answered anew.
    ///
    /// # Errors
    /// No step is at hand, or the journal cannot be written.
    pub fn skip(&mut self) -> Result<String, AppError> {
        let step = self.question().map(|question| question.step.clone()).filter(|step| step != UNIT);
        let step = step.ok_or_else(|| AppError::Refused("no step is at hand that could be skipped".into()))?;
        let begun = self.transcript.asked.iter().rev().map(|asked| &asked.question);
        let begins = |question: &&Question| question.step == step && matches!(question.ask, Ask::Begin { .. });
        let begin = begun.chain(self.transcript.waits()).find(begins).map(Question::name);
        let begin = begin.ok_or_else(|| AppError::Refused("this step was not begun".into()))?;
        self.record(Kind::Answer, Some(&begin), Some(("skip", "skip")))?;
        self.revisited = None;
        self.rerun()?;
        Ok(step)
    }

    /// Stops here: what is left of the unit is sold or handed on as it is. The session can be taken up again by an undo.
    ///
    /// # Errors
    /// The journal cannot be written.
    pub fn stop(&mut self) -> Result<(), AppError> {
        self.record(Kind::Stop, None, None)?;
        self.revisited = None;
        self.rerun()
    }

    /// Lays the session aside.
    ///
    /// # Errors
    /// The journal cannot be written.
    pub fn pause(&mut self) -> Result<(), AppError> {
        self.record(Kind::Pause, None, None)
    }

    /// Keeps a remark.
    ///
    /// # Errors
    /// It is empty, too long or no plain text; or the journal cannot be written.
    pub fn note(&mut self, text: &str) -> Result<(), AppError> {
        let text = text.trim();
        if text.is_empty() || text.chars().count() > 500 || text.chars().any(char::is_control) {
            return Err(AppError::Refused("a note is one line of 1 to 500 plain characters: note TEXT".into()));
        }
        self.record(Kind::Note, None, Some((text, text)))?;
        self.rerun()
    }

    /// Puts parts together that can no longer be told apart; the yard then treats them as a mixed lot. `list` names them,
    /// between commas; the names are returned.
    ///
    /// # Errors
    /// Fewer than two parts, one that is not at hand, was opened, or is in a container already.
    pub fn mix(&mut self, list: &str) -> Result<Vec<String>, AppError> {
        let free = &self.transcript.state.parts;
        let fits = |name: &str| {
            free.iter().any(|part| part.part == name && part.presence != Presence::Absent && part.opened.is_none())
        };
        let whole: Vec<&str> = free.iter().map(|part| part.part.as_str()).filter(|name| fits(name)).collect();
        let mut parts = part_list::names(list, fits);
        if let Some(stranger) = parts.iter().find(|name| !fits(name)) {
            let hint = suggest(stranger, whole.iter().copied());
            return Err(AppError::Name(format!(
                "no part `{}` is at hand as it came out; {hint}",
                stranger.escape_debug()
            )));
        }
        let taken = self.standing.mixes().iter().flatten().find(|name| parts.contains(name));
        if let Some(taken) = taken {
            return Err(AppError::Refused(format!("`{taken}` is in a container already")));
        }
        let mut seen = BTreeSet::new();
        parts.retain(|name| seen.insert(name.clone()));
        if parts.len() < 2 {
            return Err(AppError::Refused("name at least two parts that went into one container: mix A, B".into()));
        }
        let text = parts.join(MIX_SEPARATOR);
        self.record(Kind::Mix, None, Some((&text, &text)))?;
        self.rerun()?;
        Ok(parts)
    }

    /// Values the session at another yard from here on.
    ///
    /// # Errors
    /// The yard fits none, its script is at fault, or the journal cannot be written.
    pub fn switch_yard(&mut self, word: &str) -> Result<(), AppError> {
        let id = self.world.pick_one(Shelf::Yards, word)?;
        let valuation = Valuation::new(self.world, &id, Some(self.valuation.date))?;
        let unit = self.world.unit(&valuation.yard)?;
        self.record(Kind::Yard, None, Some((word, &id)))?;
        (self.valuation, self.unit) = (valuation, unit);
        self.rerun()
    }

    /// Reads quotes and prices again, after a quote was entered.
    ///
    /// # Errors
    /// As [`Valuation::new`].
    pub fn revalue(&mut self) -> Result<(), AppError> {
        self.valuation = Valuation::new(self.world, self.valuation.yard.id(), Some(self.valuation.date))?;
        Ok(())
    }

    /// Reads the recipe again, after it was edited; the answers stay.
    ///
    /// # Errors
    /// The recipe is at fault; then the session goes on with the text that it had.
    pub fn reread(&mut self) -> Result<bool, AppError> {
        let (script, recipe) = self.world.recipe(&self.header.recipe)?;
        if script.source() == self.script.source() {
            return Ok(false);
        }
        let transcript = self.world.host().run(&script, self.standing.clone())?;
        (self.script, self.recipe, self.transcript, self.revisited) = (script, recipe, transcript, None);
        self.note_recipe()?;
        Ok(true)
    }

    fn note_recipe(&mut self) -> Result<(), AppError> {
        let digest = self.world.home.keep_script(self.script.source())?;
        self.record(Kind::Recipe, None, Some((&self.header.recipe.clone(), &digest)))
    }

    /// The tally of the unit as it stands.
    ///
    /// # Errors
    /// As [`Valuation::tally`].
    pub fn tally(&self) -> Result<Tally, AppError> {
        let division = self.world.scale_division()?;
        let haul = gather(&self.recipe, &self.transcript, &self.standing, division);
        self.valuation.tally(self.world, &haul)
    }

    /// What doing a step next is expected to add.
    ///
    /// # Errors
    /// As [`Valuation::tally`].
    pub fn outlook(&self, step: &Step) -> Result<Outlook, AppError> {
        outlook(self.world, &self.valuation, &self.recipe, &self.transcript, &self.standing, self.learned(), step)
    }

    /// What is best from here on: all that is worth doing, and the bundle that brings most per hour next. Replanned with what
    /// was weighed so far.
    ///
    /// # Errors
    /// The recipe cannot be planned, or a value runs out of bounds.
    pub fn ahead(&self) -> Result<(NextBundle, Option<NextBundle>), AppError> {
        let floor = self.world.config.floor_per_hour.as_deref().and_then(|text| text.parse().ok()).unwrap_or_default();
        let intake = self.transcript.state.intake.map(|reading| reading.net);
        let wishes = PlanWishes { floor, foreseen: self.learned().ranges(intake), ..PlanWishes::default() };
        let depth = Depth::at(self.world, &self.valuation, &self.recipe, &self.transcript, &self.standing, &wishes)?;
        Ok((depth.best()?, depth.next()?))
    }

    /// Answers that stand but that the run up to here has no question for: kept, and used again when asked.
    pub fn set_aside(&self) -> Vec<&str> {
        let asked = |name: &str| self.asked(name).is_some();
        self.standing.names().filter(|name| !asked(name)).collect()
    }

    /// Components of WEEE Annex VII that the recipe says the unit holds and no finished step has taken out.
    pub fn still_inside(&self) -> Vec<&str> {
        let removed = &self.transcript.state.removed;
        self.recipe.unit().holds.iter().filter(|item| !removed.contains(item)).map(String::as_str).collect()
    }

    /// Place of a step among those that the recipe has, from 1, and their number.
    pub fn position(&self, step: &str) -> Option<(usize, usize)> {
        let steps = self.recipe.steps();
        steps.iter().position(|known| known.id == step).map(|place| (place + 1, steps.len()))
    }

    /// The session's name; empty for a rehearsal.
    pub fn id(&self) -> &str {
        &self.header.id
    }

    /// What was fixed when the session began.
    pub fn header(&self) -> &SessionHeader {
        &self.header
    }

    /// The recipe.
    pub fn recipe(&self) -> &Recipe {
        &self.recipe
    }

    /// What the run came to.
    pub fn transcript(&self) -> &Transcript {
        &self.transcript
    }

    /// The answers that stand.
    pub fn standing(&self) -> &Standing {
        &self.standing
    }

    /// Everything that was recorded.
    pub fn entries(&self) -> &[Entry] {
        &self.entries
    }

    /// Yard, day and notation.
    pub fn valuation(&self) -> &Valuation {
        &self.valuation
    }

    /// The unit of a weight typed without one.
    pub fn unit(&self) -> MassUnit {
        self.unit
    }

    /// Whether the session has come to an end of any kind.
    pub fn has_ended(&self) -> bool {
        !matches!(self.transcript.end, End::Waits(_))
    }

    /// Steps that were left out, by title.
    pub fn skipped(&self) -> Vec<&str> {
        let fates = self.recipe.steps().iter().zip(&self.transcript.state.fates);
        fates.filter(|(_, fate)| **fate == Fate::Skipped).map(|(step, _)| step.title.as_str()).collect()
    }
}

impl World {
    /// The session of that name; without a name that is complete, the only one that contains the word, or with an empty
    /// word the latest.
    ///
    /// # Errors
    /// There is none, or there are several.
    pub fn session_id(&self, word: &str) -> Result<Id, AppError> {
        let ids = self.home.sessions()?.ids;
        if let Some(id) = ids.iter().find(|id| id.as_str() == word) {
            return Ok(id.clone());
        }
        if ids.is_empty() {
            return Err(AppError::Name("there is no session yet; `bench RECIPE` begins one".into()));
        }
        if word.is_empty() {
            return self.latest_session(&ids);
        }
        let fitting: Vec<&Id> = ids.iter().filter(|id| id.as_str().contains(word)).collect();
        match fitting.as_slice() {
            [only] => Ok((*only).clone()),
            [] => {
                let hint = suggest(word, ids.iter().map(Id::as_str));
                Err(AppError::Name(format!("there is no session `{}`; {hint}", word.escape_debug())))
            }
            several => {
                let names: Vec<_> = several.iter().take(8).map(|id| id.as_str()).collect();
                Err(AppError::Name(format!("`{}` can mean {}; write which one", word.escape_debug(), names.join(", "))))
            }
        }
    }
}

impl World {
    /// The session that was begun last. Names sort by day, then recipe: among those of the last day the header decides.
    fn latest_session(&self, ids: &[Id]) -> Result<Id, AppError> {
        let day = |id: &Id| id.as_str().get(..10).unwrap_or_default().to_owned();
        let last = ids.iter().map(day).max().unwrap_or_default();
        let of_that_day = ids.iter().filter(|id| day(id) == last);
        // One that cannot be read is no reason not to find the others; named, it says what is wrong with it.
        let begun = |id: &Id| self.home.session(id).map(|reading| reading.header.started).unwrap_or_default();
        let latest = of_that_day.max_by_key(|id| begun(id)).cloned();
        latest.ok_or_else(|| AppError::Name("there is no session yet; `bench RECIPE` begins one".into()))
    }
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
