//! State shared between the host and the functions that a script calls: the current script's declarations, and the run.

use std::cell::{Cell, RefCell};
use std::rc::Rc;

use rhai::{Dynamic, EvalAltResult, FnPtr, NativeCallContext, Position};

use super::allowance::{Allowance, Stop};
use super::catalogue::Catalogue;
use super::job::Job;
use super::library::Library;
use super::refusal::{ScriptResult, refuse};
use crate::bench::{Bench, CurrentAnswers, Halted};
use crate::market::{GradeTree, YardDraft};
use crate::naming::{Listing, nearest};
use crate::recipe::{HazardBook, Mark, RecipeDraft, RecipeFault};
use crate::review::yard::YardPlaces;
use crate::tool::ToolDraft;

/// State shared between the host and the engine's functions. No borrow is ever held across a call into a script.
pub(super) struct HostState {
    /// The grades and hazards that scripts may name.
    pub catalogue: Rc<Catalogue>,
    /// What scripts may import.
    pub library: Library,
    /// The recipe being declared.
    pub recipe: RefCell<RecipeDraft>,
    /// The yard being declared.
    pub yard: RefCell<Option<YardDraft>>,
    /// Where the yard is declared.
    pub declared_at: Cell<Mark>,
    /// Where each of its offers is declared, in declaration order.
    pub offers_at: RefCell<Vec<Mark>>,
    /// Source places of the yard's words.
    pub yard_places: RefCell<YardPlaces>,
    /// The closures of the steps, by step number.
    pub works: RefCell<Vec<FnPtr>>,
    /// The tool being declared.
    pub tool: RefCell<ToolDraft>,
    /// The closure that does the tool's work.
    pub tool_work: RefCell<Option<FnPtr>>,
    /// The input for running a tool; `None` while a script only declares.
    pub order: RefCell<Option<Rc<Job>>>,
    /// The running tool.
    pub job: RefCell<Option<Rc<Job>>>,
    /// The closure with which a yard judges a mixed lot.
    pub mixed: RefCell<Option<FnPtr>>,
    /// The answers to run over; `None` while a script only declares.
    pub standing: RefCell<Option<Rc<CurrentAnswers>>>,
    /// The running recipe.
    pub bench: RefCell<Option<Rc<Bench>>>,
    /// The remaining allowance of the current evaluation; ended once a question is waiting, so that the script cannot
    /// go on.
    pub allowance: Allowance,
    /// Number of questions that the script itself has asked in this run.
    pub questions: Cell<usize>,
    /// Source place of the step work that failed, if the error has no place of its own.
    pub work_at: Cell<Option<Mark>>,
    /// Faults of a recipe that was about to run.
    pub faults: RefCell<Vec<RecipeFault>>,
}

impl HostState {
    /// An empty desk over a catalogue.
    pub fn new(catalogue: Rc<Catalogue>, library: Library) -> HostState {
        HostState {
            catalogue,
            library,
            recipe: RefCell::default(),
            yard: RefCell::default(),
            declared_at: Cell::default(),
            offers_at: RefCell::default(),
            yard_places: RefCell::default(),
            works: RefCell::default(),
            tool: RefCell::default(),
            tool_work: RefCell::default(),
            order: RefCell::default(),
            job: RefCell::default(),
            mixed: RefCell::default(),
            standing: RefCell::default(),
            bench: RefCell::default(),
            allowance: Allowance::default(),
            questions: Cell::default(),
            work_at: Cell::default(),
            faults: RefCell::default(),
        }
    }

    /// Clears the state of the last evaluation. Needs a deep stack: closures can hold each other in long chains.
    pub fn clear(&self) {
        self.recipe.take();
        self.yard.take();
        self.declared_at.take();
        self.offers_at.take();
        self.yard_places.take();
        self.works.take();
        self.tool.take();
        self.tool_work.take();
        self.job.take();
        self.mixed.take();
        self.bench.take();
        self.faults.take();
        self.questions.set(0);
        self.work_at.take();
    }

    /// Turns a halt into the engine's uncatchable abort, and makes sure that nothing runs on.
    pub fn halt(&self, _: Halted) -> Box<EvalAltResult> {
        self.allowance.end(Stop::Halted);
        EvalAltResult::ErrorTerminated(Dynamic::UNIT, Position::NONE).into()
    }

    /// Refuses a grade that the catalogue does not have.
    pub fn known_grade(&self, ctx: &NativeCallContext, grade: &str) -> ScriptResult<()> {
        let tree = self.catalogue.grades();
        if tree.get(grade).is_some() {
            return Ok(());
        }
        Err(refuse(ctx, format!("there is no grade `{grade}`"), suggest_grade(tree, grade)))
    }

    /// Refuses a hazard that the catalogue does not have.
    pub fn known_hazard(&self, ctx: &NativeCallContext, hazard: &str) -> ScriptResult<()> {
        let book = self.catalogue.hazards();
        if book.get(hazard).is_some() {
            return Ok(());
        }
        Err(refuse(ctx, format!("there is no hazard `{hazard}`"), suggest_hazard(book, hazard)))
    }

    /// The running recipe.
    pub fn bench(&self, ctx: &NativeCallContext) -> ScriptResult<Rc<Bench>> {
        if self.allowance.stopped().is_some() {
            return Err(EvalAltResult::ErrorTerminated(Dynamic::UNIT, ctx.call_position()).into());
        }
        let bench = self.bench.borrow().clone();
        bench.ok_or_else(|| {
            refuse(ctx, "questions can only be asked in a step's work", "move this into .work(|bench| { … })")
        })
    }
}

/// Refuses declarations while a recipe is running: they are final by then.
pub(super) fn declaring(ctx: &NativeCallContext, desk: &HostState) -> ScriptResult<()> {
    if desk.job.borrow().is_some() {
        return Err(refuse(ctx, "a tool's work can declare nothing", "declare inputs outside of works_out(…)"));
    }
    match desk.bench.borrow().as_ref() {
        None => Ok(()),
        Some(_) => {
            Err(refuse(ctx, "a step's work can declare nothing", "declare units, steps and parts outside of .work(…)"))
        }
    }
}

/// Hint for an unknown grade.
pub(super) fn suggest_grade(tree: &GradeTree, grade: &str) -> String {
    suggest_listed(tree.nearest(grade), tree.listing(), grade)
}

/// Hint for an unknown hazard.
pub(super) fn suggest_hazard(book: &HazardBook, hazard: &str) -> String {
    suggest_listed(nearest(hazard, book.ids()), book.listing(), hazard)
}

/// The id that `word` is a likely misspelling of, else the entries that match all of its words.
fn suggest_listed(near: Option<&str>, listing: &Listing, word: &str) -> String {
    let words = word.replace('-', " ");
    let fitting = || listing.with_all(&words).into_iter().map(|entry| entry.id.as_str()).take(3).collect::<Vec<_>>();
    let meant = near.map_or_else(fitting, |known| vec![known]);
    match meant.as_slice() {
        [] => format!("`show {0}s` lists all {0}s", listing.what()),
        [only] => format!("did you mean `{only}`?"),
        [all @ .., last] => format!("did you mean `{}` or `{last}`?", all.join("`, `")),
    }
}
