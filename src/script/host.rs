//! The host: compiles scripts, runs their declarations, runs a recipe over the answers that stand.

use std::cell::OnceCell;
use std::rc::Rc;

use rhai::{AST, Dynamic, Engine, EvalAltResult, FnPtr, NativeCallContext, Position, Scope, Token};

use super::allowance::{Stop, with_stack};
use super::contain::{DEFECT, contained, settle};
use super::desk::{Desk, refuse, suggest_grade, suggest_hazard};
use super::engine::{self, MAX_SOURCE};
use super::error::ScriptError;
use super::explain::explain;
use super::library::Library;
use super::rule::ScriptedRule;
use super::{memory, words};
use crate::bench::{Bench, Halted, Run, Standing, Transcript, UnitState, Work};
use crate::market::{GradeTree, Yard};
use crate::recipe::{API_VERSION, Fault, HazardBook, Mark, Recipe};
use crate::review::yard::YardPlaces;

/// The grades and hazards that scripts may name. Read on first use: listing recipes needs neither.
pub struct Catalogue {
    grades_text: &'static str,
    hazards_text: &'static str,
    grades: OnceCell<GradeTree>,
    hazards: OnceCell<Rc<HazardBook>>,
}

impl Catalogue {
    /// A catalogue from the texts of its two files, which tests have shown to be well formed.
    pub fn new(grades_text: &'static str, hazards_text: &'static str) -> Catalogue {
        Catalogue { grades_text, hazards_text, grades: OnceCell::new(), hazards: OnceCell::new() }
    }

    /// The grade tree. Empty if its text is malformed, which a test rules out for the shipped one.
    pub fn grades(&self) -> &GradeTree {
        self.grades.get_or_init(|| GradeTree::parse(self.grades_text).unwrap_or_default())
    }

    /// The hazards. Empty if the text is malformed, which a test rules out; then every guard counts as licensed only.
    pub fn hazards(&self) -> &Rc<HazardBook> {
        self.hazards.get_or_init(|| Rc::new(HazardBook::parse(self.hazards_text).unwrap_or_default()))
    }
}

/// A compiled script.
#[derive(Clone)]
pub struct Script {
    pub(super) file: Rc<str>,
    pub(super) source: Rc<str>,
    pub(super) declares: AST,
    runs: AST,
}

impl Script {
    /// The file as people know it.
    pub fn file(&self) -> &Rc<str> {
        &self.file
    }

    /// The source.
    pub fn source(&self) -> &Rc<str> {
        &self.source
    }

    pub(super) fn error(&self, mark: Mark, message: impl AsRef<str>, hint: impl AsRef<str>) -> ScriptError {
        ScriptError::new(&self.file, &self.source, mark, message.as_ref(), hint.as_ref())
    }
}

/// What a run came to.
pub struct Probe {
    /// The run as far as it came; `None` when it never began, and then there is an error.
    pub transcript: Option<Transcript>,
    /// What the script did wrong; empty when nothing.
    pub errors: Vec<ScriptError>,
    /// What each step's work remembers of this run, by the number that the step carries: two runs in which a closure
    /// remembers the same cannot differ in what it does next. `None` where that cannot be told.
    pub memory: Vec<Option<String>>,
}

/// What the first statement of a script tells: enough to list it.
#[derive(Debug, Clone, PartialEq)]
pub enum Glance {
    /// A recipe.
    Recipe(Box<crate::recipe::UnitKind>),
    /// A yard: id, name, region, currency code.
    Yard {
        /// The yard's id.
        id: String,
        /// Its name.
        name: String,
    },
}

/// The script host. One engine serves all scripts, one at a time.
pub struct Host {
    engine: Rc<Engine>,
    desk: Rc<Desk>,
    catalogue: Rc<Catalogue>,
}

impl Host {
    /// Builds the engine over a catalogue and a library for imports.
    pub fn new(catalogue: Rc<Catalogue>, library: Library) -> Host {
        let desk = Rc::new(Desk::new(catalogue.clone()));
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
    /// A script that is too long, does not parse, or defines a function that goes by a word of the language.
    pub fn open(&self, file: &str, source: &str) -> Result<Script, Box<ScriptError>> {
        let (file, source): (Rc<str>, Rc<str>) = (file.into(), source.into());
        let whole =
            |message: String, hint: &str| Box::new(ScriptError::new(&file, &source, Mark::default(), &message, hint));
        if source.len() > MAX_SOURCE {
            let message = format!("the script has {} bytes; at most {MAX_SOURCE} are read", source.len());
            return Err(whole(message, "split it, or move data out of it"));
        }
        let parse = |error: rhai::ParseError| Box::new(explain(&file, &source, &EvalAltResult::from(error)));
        let compile = || self.engine.compile(&*source).map_err(parse);
        let declares = contained(compile).unwrap_or_else(|| Err(whole(DEFECT.0.into(), DEFECT.1)))?;
        if let Some(twin) = declares.iter_functions().find(|f| words::is_taken(f.name)) {
            let message = format!("the function `{}` would hide a word of the script language", twin.name);
            return Err(whole(message, "give it another name"));
        }
        let runs = declares.merge(&run_statement());
        Ok(Script { file, source, declares, runs })
    }

    /// Reads only the first statement of a script.
    ///
    /// # Errors
    /// A first statement that declares neither a unit nor a yard, or fails.
    pub fn glance(&self, file: &str, source: &str) -> Result<Glance, Box<ScriptError>> {
        let end = self.first_statement(source);
        let script = self.open(file, &source[..end])?;
        self.clear();
        self.evaluate(&script, &script.declares)?;
        let unit = self.desk.recipe.borrow_mut().unit_mut().ok().cloned();
        let yard = self.desk.yard.borrow().as_ref().map(|draft| (draft.id().to_owned(), draft.name().to_owned()));
        match (unit, yard) {
            (Some(unit), _) => Ok(Glance::Recipe(Box::new(unit))),
            (None, Some((id, name))) => Ok(Glance::Yard { id, name }),
            (None, None) => {
                let start = Mark { line: 1, column: 1 };
                Err(Box::new(script.error(
                    start,
                    "the first statement declares no unit and no yard",
                    "start with unit(…) or yard(…)",
                )))
            }
        }
    }

    /// The tokens of a source as the engine's own reader sees them, up to the first that is none.
    pub(super) fn tokens(&self, source: &str) -> Vec<Token> {
        let texts = [source];
        let tokens = self.engine.lex(&texts).0.map(|(token, _)| token);
        // The reader never stops by itself: at its end it gives the same for ever.
        tokens.take_while(|token| !matches!(token, Token::LexError(_) | Token::EOF)).collect()
    }

    /// Where the first statement ends: at the first `;` outside all brackets, as the engine's own reader sees it.
    fn first_statement(&self, source: &str) -> usize {
        let source = &source[..source.floor_char_boundary(MAX_SOURCE)];
        let mut depth = 0_i32;
        let texts = [source];
        let (tokens, _) = self.engine.lex(&texts);
        for (token, position) in tokens {
            match token {
                Token::LeftParen | Token::LeftBrace | Token::LeftBracket | Token::MapStart => depth += 1,
                Token::RightParen | Token::RightBrace | Token::RightBracket => depth -= 1,
                Token::EOF => return source.len(),
                Token::SemiColon if depth <= 0 => return offset(source, position).map_or(source.len(), |at| at + 1),
                // The reader never stops by itself: at its end it gives this for ever.
                Token::LexError(_) => return source.len(),
                _ => {}
            }
        }
        source.len()
    }

    /// Runs the declarations of a recipe.
    ///
    /// # Errors
    /// Every fault found: of the script itself, or of what it declares.
    pub fn recipe(&self, script: &Script) -> Result<Rc<Recipe>, Vec<ScriptError>> {
        self.clear();
        self.evaluate(script, &script.declares).map_err(|error| vec![*error])?;
        let recipe = finish(&self.desk).map_err(|faults| in_script(script, faults));
        self.clear();
        recipe
    }

    /// Frees what the last evaluation left on the desk.
    fn clear(&self) {
        with_stack(|| self.desk.clear());
    }

    /// Runs a recipe over the answers that stand, to the first question without one or to its end.
    ///
    /// # Errors
    /// What the script did wrong on the way.
    pub fn run(&self, script: &Script, standing: Rc<Standing>) -> Result<Transcript, Vec<ScriptError>> {
        let probe = self.probe(script, standing);
        match probe.transcript {
            Some(transcript) if probe.errors.is_empty() => Ok(transcript),
            _ => Err(probe.errors),
        }
    }

    /// Runs a recipe over answers, and tells all that is known of the run: also how far one came that failed.
    pub fn probe(&self, script: &Script, standing: Rc<Standing>) -> Probe {
        self.clear();
        *self.desk.standing.borrow_mut() = Some(standing);
        let result = self.evaluate(script, &script.runs);
        self.desk.standing.take();
        let transcript = self.desk.bench.take().map(|bench| bench.run.borrow_mut().close());
        let faults = self.desk.faults.take();
        let memory = self.desk.works.borrow().iter().map(memory::remembered).collect();
        self.clear();
        let errors = match result {
            // A halt ends the evaluation by force; whatever the engine says of it, the run knows why.
            Err(_) if self.desk.allowance.stopped() == Some(Stop::Halted) && transcript.is_some() => Vec::new(),
            Err(error) if faults.is_empty() => vec![*error],
            Err(_) => in_script(script, faults),
            Ok(()) if transcript.is_some() => Vec::new(),
            Ok(()) => vec![script.error(Mark::default(), "the script ended before it ran", "")],
        };
        Probe { transcript, errors, memory }
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

    /// Runs the declarations of a yard, and tells where its words stand.
    ///
    /// # Errors
    /// As [`Host::yard`].
    pub fn survey(&self, script: &Script) -> Result<(Yard, YardPlaces), Vec<ScriptError>> {
        let yard = self.yard(script)?;
        let mut places = self.desk.yard_places.take();
        places.declared = self.desk.declared_at.get();
        Ok((yard, places))
    }

    /// Evaluates within an allowance, and turns every way to fail into an error of the script.
    fn evaluate(&self, script: &Script, ast: &AST) -> Result<(), Box<ScriptError>> {
        self.desk.allowance.begin();
        let run = || self.engine.eval_ast_with_scope::<Dynamic>(&mut Scope::new(), ast).map(drop);
        settle(&self.desk, script, run)
    }
}

/// The statement that the host appends to a recipe. Scripts cannot write it: the name is refused to them.
fn run_statement() -> AST {
    let mut plain = Engine::new_raw();
    plain.set_max_expr_depths(8, 8);
    // A constant text that parses, as every test that runs a recipe shows.
    plain.compile("__run();").unwrap_or_default()
}

/// The recipe that a script declared, if all that it names exists.
fn finish(desk: &Desk) -> Result<Rc<Recipe>, Vec<Fault>> {
    let recipe = desk.recipe.take().finish()?;
    let mut faults = Vec::new();
    let (grades, hazards) = (desk.catalogue.grades(), desk.catalogue.hazards());
    for (grade, mark) in recipe.grades().filter(|(grade, _)| grades.get(grade).is_none()) {
        let message = format!("there is no grade `{grade}`");
        faults.push(Fault { mark, message, hint: suggest_grade(grades, grade) });
    }
    for (hazard, mark) in recipe.hazards().filter(|(hazard, _)| hazards.get(hazard).is_none()) {
        let message = format!("there is no hazard `{hazard}`");
        faults.push(Fault { mark, message, hint: suggest_hazard(hazards, hazard) });
    }
    if faults.is_empty() { Ok(Rc::new(recipe)) } else { Err(faults) }
}

fn in_script(script: &Script, faults: Vec<Fault>) -> Vec<ScriptError> {
    faults.into_iter().map(|fault| ScriptError::from_fault(&script.file, &script.source, fault)).collect()
}

/// What `__run()` does: puts the declared recipe on the bench and drives it. Nothing is borrowed while a closure runs.
fn drive(ctx: &NativeCallContext, desk: &Rc<Desk>) -> Result<(), Box<EvalAltResult>> {
    // The engine makes functions of texts in places: a script that reached this one that way gets nowhere.
    let standing =
        desk.standing.take().ok_or_else(|| refuse(ctx, "only the program runs a recipe", "only declare its steps"))?;
    let recipe = finish(desk).map_err(|faults| {
        *desk.faults.borrow_mut() = faults;
        Box::new(EvalAltResult::ErrorTerminated(Dynamic::UNIT, Position::NONE))
    })?;
    let state = UnitState::untouched(&recipe);
    let hazards = desk.catalogue.hazards().clone();
    let bench = Rc::new(Bench { recipe, hazards, run: std::cell::RefCell::new(Run::new(standing, state)) });
    *desk.bench.borrow_mut() = Some(bench.clone());
    let closures = Closures { ctx, desk, failure: std::cell::RefCell::default() };
    bench.drive(&closures);
    match closures.failure.take() {
        Some(error) => Err(error),
        None => Ok(()),
    }
}

/// Calls the closures of steps inside the evaluation that made them, so that they still see what they captured.
struct Closures<'a> {
    ctx: &'a NativeCallContext<'a>,
    desk: &'a Desk,
    failure: std::cell::RefCell<Option<Box<EvalAltResult>>>,
}

impl Closures<'_> {
    /// The engine forgets where a closure was ended by force: then the step that it belongs to is the place.
    fn placed(&self, mut error: Box<EvalAltResult>) -> Box<EvalAltResult> {
        let bench = self.desk.bench.borrow();
        let step = bench.as_ref().and_then(|bench| bench.current().ok().map(|step| step.mark));
        if let Some(mark) = step.filter(|_| error.position().is_none()) {
            let number = |place: usize| u16::try_from(place).unwrap_or(u16::MAX);
            error.set_position(Position::new(number(mark.line), number(mark.column)));
        }
        error
    }
}

impl Work for Closures<'_> {
    fn perform(&self, work: usize) -> Result<(), Halted> {
        let closure: Option<FnPtr> = self.desk.works.borrow().get(work).cloned();
        let Some(closure) = closure else { return Ok(()) };
        let result = closure.call_within_context::<Dynamic>(self.ctx, (super::bench_words::BenchHandle,));
        let result = result.map_err(|error| self.placed(error));
        match result {
            Ok(_) if self.desk.allowance.stopped().is_none() => Ok(()),
            Ok(_) => Err(Halted),
            Err(error) => {
                *self.failure.borrow_mut() = Some(error);
                Err(Halted)
            }
        }
    }
}

/// The byte offset of a position of the engine.
pub(super) fn offset(source: &str, position: Position) -> Option<usize> {
    let line = position.line()?;
    let column = position.position()?;
    let start: usize = source.split_inclusive('\n').take(line - 1).map(str::len).sum();
    let within = source[start..].char_indices().nth(column.checked_sub(1)?)?.0;
    Some(start + within)
}
