//! The host: compiles scripts, runs their declarations, and runs a recipe over the current answers.

use std::rc::Rc;

use rhai::{AST, Dynamic, Engine, EvalAltResult, NativeCallContext, Scope};

use super::allowance::{RunEffort, Stop};
use super::catalogue::Catalogue;
use super::catch::{DEFECT, catch, settle};
use super::compiled::Script;
use super::desk::HostState;
use super::drive::{drive, finish};
use super::engine;
use super::error::ScriptError;
use super::explain::explain;
use super::library::{Library, Modules};
use super::limits::MAX_SOURCE;
use super::loops::endless_loop;
use super::rule::ScriptedRule;
use super::{memory, source, words};
use crate::bench::{Bench, CurrentAnswers, Halted, RunResult, Work};
use crate::market::Yard;
use crate::recipe::{API_VERSION, Mark, Recipe};
use crate::review::yard::YardPlaces;

/// The outcome of a run.
pub struct Probe {
    /// The run as far as it got; `None` if it never began, in which case there is an error.
    pub run_result: Option<RunResult>,
    /// Errors of the script; empty if there are none.
    pub errors: Vec<ScriptError>,
    /// What each step's work remembers of this run, by the number that the step carries: if a closure remembers the
    /// same in two runs, it behaves the same from there on. `None` if that cannot be determined.
    pub memory: Vec<Option<String>>,
}

/// The script host. One engine serves all scripts, one at a time.
pub struct Host {
    engine: Rc<Engine>,
    pub(super) desk: Rc<HostState>,
    catalogue: Rc<Catalogue>,
}

impl Host {
    /// Builds the engine over a catalogue and a library for imports.
    pub fn new(catalogue: Rc<Catalogue>, library: Library) -> Host {
        let desk = Rc::new(HostState::new(catalogue.clone(), library.clone()));
        let mut engine = engine::build(&desk, library);
        let run_desk = desk.clone();
        engine.register_fn("__run", move |ctx: NativeCallContext| drive(&ctx, &run_desk));
        Host { engine: Rc::new(engine), desk, catalogue }
    }

    /// The grades and hazards that scripts may name.
    pub fn catalogue(&self) -> &Catalogue {
        &self.catalogue
    }

    /// The engine, for reading tokens.
    pub(super) fn engine(&self) -> &Engine {
        &self.engine
    }

    /// Compiles a script.
    ///
    /// # Errors
    /// A script that is too long, does not parse, or defines a function with the name of a language word.
    pub fn open(&self, file: &str, source: &str) -> Result<Script, Box<ScriptError>> {
        let (file, source): (Rc<str>, Rc<str>) = (file.into(), source.into());
        let whole =
            |message: String, hint: &str| Box::new(ScriptError::new(&file, &source, Mark::default(), &message, hint));
        if source.len() > MAX_SOURCE {
            let message = format!("the script has {} bytes; at most {MAX_SOURCE} are read", source.len());
            return Err(whole(message, "split it, or move data out of it"));
        }
        if let Some(version) = self.needs_newer(&source) {
            let message = format!("this script needs script version {version}; this program speaks {API_VERSION}");
            return Err(whole(message, "it is switched off; use a newer Knockdown for it"));
        }
        self.compile(file, source)
    }

    /// Compiles a script, whatever API version it needs.
    pub(super) fn compile(&self, file: Rc<str>, source: Rc<str>) -> Result<Script, Box<ScriptError>> {
        let whole =
            |message: &str, hint: &str| Box::new(ScriptError::new(&file, &source, Mark::default(), message, hint));
        let parse = |error: rhai::ParseError| {
            Box::new(explain(&file, &source, &self.desk.library, &EvalAltResult::from(error)))
        };
        let compile = || self.engine.compile(&*source).map_err(parse);
        let declares = catch(compile).unwrap_or_else(|| Err(whole(DEFECT.0, DEFECT.1)))?;
        if let Some(twin) = declares.iter_functions().find(|f| words::is_taken(f.name)) {
            let message = format!("the function `{}` would hide a word of the script language", twin.name);
            return Err(whole(&message, "give it another name"));
        }
        let runs = declares.merge(&run_statement());
        Ok(Script { file, source, declares, runs, then: Modules::default() })
    }

    /// Definitions of the script language for editors.
    pub fn definitions(&self) -> String {
        super::definitions::definitions(&self.engine)
    }

    /// The names of all functions that the program has registered.
    #[cfg(test)]
    pub(super) fn registered(&self) -> std::collections::BTreeSet<String> {
        super::definitions::registered(&self.engine)
    }

    /// The names of the modules that a script or module imports: empty if it does not parse. Computed names are not
    /// included.
    pub fn imports(&self, source: &str) -> Vec<String> {
        if source.len() > MAX_SOURCE {
            return Vec::new();
        }
        let ast = catch(|| self.engine.compile(source)).and_then(Result::ok);
        ast.map(|ast| source::imports(&ast)).unwrap_or_default()
    }

    /// The current text of a library.
    pub fn library(&self, name: &str) -> Option<&str> {
        self.desk.library.today(name).map(|text| &**text)
    }

    /// The API version that a text asks for, if it is newer than [`API_VERSION`]: then the script is switched off.
    /// Nothing of it runs.
    pub fn needs_newer(&self, source: &str) -> Option<u32> {
        source::needs_newer(&self.engine, source)
    }

    /// Runs the declarations of a recipe.
    ///
    /// # Errors
    /// Every fault found: of the script itself, or of what it declares.
    pub fn recipe(&self, script: &Script) -> Result<Rc<Recipe>, Vec<ScriptError>> {
        self.clear();
        self.evaluate(script, &script.declares).map_err(|error| vec![*error])?;
        let recipe = finish(&self.desk).map_err(|faults| script.in_script(faults));
        self.clear();
        recipe
    }

    /// Totals over all evaluations so far.
    pub(super) fn effort(&self) -> RunEffort {
        self.desk.allowance.effort()
    }

    /// Frees what the last evaluation left on the desk.
    pub(super) fn clear(&self) {
        self.desk.clear();
    }

    /// Runs a recipe over the current answers, up to the first unanswered question or to its end.
    ///
    /// # Errors
    /// Errors that the script caused on the way.
    pub fn run(&self, script: &Script, standing: Rc<CurrentAnswers>) -> Result<RunResult, Vec<ScriptError>> {
        let probe = self.probe(script, standing);
        match probe.run_result {
            Some(run_result) if probe.errors.is_empty() => Ok(run_result),
            _ => Err(probe.errors),
        }
    }

    /// Like [`Host::run`], for a recipe that the script is known to declare.
    ///
    /// A script declares the same in every run. So if no step has work of its own, the script has nothing left to do,
    /// and the steps are walked without it.
    ///
    /// # Errors
    /// As [`Host::run`].
    pub fn run_declared(
        &self,
        script: &Script,
        recipe: &Rc<Recipe>,
        standing: Rc<CurrentAnswers>,
    ) -> Result<RunResult, Vec<ScriptError>> {
        if recipe.steps().iter().any(|step| step.work.is_some()) {
            return self.run(script, standing);
        }
        let (hazards, grades) = (self.catalogue.hazards().clone(), self.catalogue.grades().clone());
        let bench = Bench::new(recipe.clone(), hazards, grades, standing);
        bench.drive(&NoWork);
        Ok(bench.close())
    }

    /// Exempts `bytes` of retained results from the script memory limit.
    pub fn exempt_from_memory_limit(&self, bytes: isize) {
        self.desk.allowance.keep(bytes);
    }

    /// Runs a recipe over answers and returns everything known about the run, including how far a failed run got.
    pub fn probe(&self, script: &Script, standing: Rc<CurrentAnswers>) -> Probe {
        self.clear();
        *self.desk.standing.borrow_mut() = Some(standing);
        let result = self.evaluate(script, &script.runs);
        self.desk.standing.take();
        let run_result = self.desk.bench.take().map(|bench| bench.close());
        let faults = self.desk.faults.take();
        let memory = self.desk.works.borrow().iter().map(memory::remembered).collect();
        let work_at = self.desk.work_at.take();
        self.clear();
        let errors = match result {
            // A halt aborts the evaluation; whatever error the engine reports, the run holds the real reason.
            Err(_) if self.desk.allowance.stopped() == Some(Stop::Halted) && run_result.is_some() => Vec::new(),
            Err(error) if faults.is_empty() => vec![self.at_its_loop(*error, work_at)],
            Err(_) => script.in_script(faults),
            Ok(()) if run_result.is_some() => Vec::new(),
            Ok(()) => vec![script.error(Mark::default(), "the script ended before it ran", "")],
        };
        Probe { run_result, errors, memory }
    }

    /// Moves the error to the loop in the aborted closure, if there is one.
    fn at_its_loop(&self, mut error: ScriptError, work_at: Option<Mark>) -> ScriptError {
        if let Some(work) = work_at.filter(|work| *work == error.mark)
            && self.desk.allowance.stopped().is_some_and(|stop| stop != Stop::Halted)
            && let Some(mark) = endless_loop(&self.engine, &error.source, work)
        {
            error.mark = mark;
        }
        error
    }

    /// Runs the declarations of a yard.
    ///
    /// # Errors
    /// Every fault found.
    pub fn yard(&self, script: &Script) -> Result<Yard, Vec<ScriptError>> {
        self.clear();
        self.evaluate(script, &script.declares).map_err(|error| vec![*error])?;
        let start = Mark { line: 1, column: 1 };
        let Some(mut draft) = self.desk.yard.take() else {
            return Err(vec![script.error(start, "this script declares no yard", "start with yard(\"id\", \"Name\")")]);
        };
        if draft.api() > API_VERSION {
            let message = format!("this yard needs script version {}; this program speaks {API_VERSION}", draft.api());
            return Err(vec![script.error(self.desk.declared_at.get(), message, "use a newer Knockdown for it")]);
        }
        if self.desk.mixed.take().is_some() {
            draft.mixed(Rc::new(ScriptedRule {
                engine: self.engine.clone(),
                desk: self.desk.clone(),
                script: script.clone(),
            }));
        }
        let offers_at = self.desk.offers_at.take();
        draft.build(self.catalogue.grades()).map_err(|errors| {
            let place = |error: &crate::market::YardError| {
                let offer = error.offer.as_ref().and_then(|offer| offers_at.get(offer.index));
                offer.copied().unwrap_or(self.desk.declared_at.get())
            };
            errors.iter().map(|error| script.error(place(error), error.to_string(), "")).collect()
        })
    }

    /// Runs the declarations of a yard and returns it with the source places of its words.
    ///
    /// # Errors
    /// As [`Host::yard`].
    pub fn survey(&self, script: &Script) -> Result<(Yard, YardPlaces), Vec<ScriptError>> {
        let yard = self.yard(script)?;
        let mut places = self.desk.yard_places.take();
        places.declared = self.desk.declared_at.get();
        Ok((yard, places))
    }

    /// Evaluates within an allowance and turns every failure into an error of the script.
    pub(super) fn evaluate(&self, script: &Script, ast: &AST) -> Result<(), Box<ScriptError>> {
        self.desk.allowance.begin();
        self.desk.library.stand_in(&script.then);
        let run = || self.engine.eval_ast_with_scope::<Dynamic>(&mut Scope::new(), ast).map(drop);
        settle(&self.desk, script, run)
    }
}

/// Steps without work of their own.
struct NoWork;

impl Work for NoWork {
    fn perform(&self, _: usize) -> Result<(), Halted> {
        Ok(())
    }
}

/// The statement that the host appends to a recipe. Scripts cannot write it: the name is reserved.
fn run_statement() -> AST {
    let mut plain = Engine::new_raw();
    plain.set_max_expr_depths(8, 8);
    // A constant text that parses, as every test that runs a recipe shows.
    plain.compile("__run();").unwrap_or_default()
}
