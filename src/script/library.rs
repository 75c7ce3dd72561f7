//! What `import` can reach: named texts that the program passes in, and nothing else.

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::rc::Rc;

use rhai::{AST, Dynamic, Engine, EvalAltResult, Module, ModuleResolver, Position, Scope, Shared};

use super::refusal::Refusal;
use crate::naming::{nearest, one_line};

/// Scripts that others may import, by name. None of this gives access to a file.
#[derive(Clone, Default)]
pub struct Library {
    texts: Rc<BTreeMap<String, Rc<str>>>,
    /// Replacements for the script that runs now: an old session imports the texts that it imported then.
    then: Rc<RefCell<Modules>>,
    /// Parsed module texts. Their declarations are evaluated anew in every run, so that no run sees what another has
    /// left.
    parsed: Rc<RefCell<BTreeMap<Rc<str>, Rc<AST>>>>,
    /// The modules that are being read now, each imported by the one before it.
    open: Rc<RefCell<Vec<String>>>,
}

/// How deep libraries may import each other. Each is read on the stack of the one that imports it.
const MAX_DEPTH: usize = 8;

/// Module texts by name.
pub type Modules = Rc<BTreeMap<String, Rc<str>>>;

impl Library {
    /// A library of named texts.
    pub fn new(texts: impl IntoIterator<Item = (String, Rc<str>)>) -> Library {
        Library { texts: Rc::new(texts.into_iter().collect()), ..Library::default() }
    }

    /// Lets these texts replace the modules of the same names until the next script runs.
    pub(super) fn stand_in(&self, modules: &Modules) {
        *self.then.borrow_mut() = modules.clone();
    }

    fn text(&self, name: &str) -> Option<Rc<str>> {
        self.then.borrow().get(name).or_else(|| self.texts.get(name)).cloned()
    }

    /// The current text of a library.
    pub fn today(&self, name: &str) -> Option<&Rc<str>> {
        self.texts.get(name)
    }

    /// A parsed module.
    fn parsed(&self, engine: &Engine, text: &Rc<str>) -> Result<Rc<AST>, Box<EvalAltResult>> {
        if let Some(known) = self.parsed.borrow().get(text) {
            return Ok(known.clone());
        }
        let ast = Rc::new(engine.compile(&**text).map_err(EvalAltResult::from)?);
        self.parsed.borrow_mut().insert(text.clone(), ast.clone());
        Ok(ast)
    }

    /// The texts of all modules.
    pub(super) fn sources(&self) -> impl Iterator<Item = &str> {
        self.texts.values().map(|text| &**text)
    }

    /// The names of its functions, for hints.
    pub(super) fn functions(&self) -> impl Iterator<Item = &str> {
        let heads =
            self.texts.values().flat_map(|text| text.lines()).filter_map(|line| line.trim_start().strip_prefix("fn "));
        heads.filter_map(|head| head.split('(').next()).map(str::trim)
    }
}

/// A module that is being read, until this is dropped.
struct Opened<'l>(&'l Library);

impl Drop for Opened<'_> {
    fn drop(&mut self) {
        self.0.open.borrow_mut().pop();
    }
}

impl Library {
    /// Begins to read a module.
    ///
    /// # Errors
    /// It is being read already, so that it imports itself, or libraries import each other too deep.
    fn open(&self, name: &str) -> Result<Opened<'_>, Refusal> {
        let mut open = self.open.borrow_mut();
        let shown = |names: &[String]| names.iter().map(|name| one_line(name, 40)).collect::<Vec<_>>().join("` → `");
        let refused = |message, hint: &str| Err(Refusal { message, hint: hint.to_owned() });
        if let Some(place) = open.iter().position(|known| known == name) {
            let way = [&open[place..], &[name.to_owned()]].concat();
            return refused(
                format!("libraries import each other in a circle: `{}`", shown(&way)),
                "take one of these imports out; what both need belongs in a third library",
            );
        }
        if open.len() == MAX_DEPTH {
            return refused(
                format!("libraries import each other more than {MAX_DEPTH} deep: `{}`", shown(&open)),
                "import what is needed directly",
            );
        }
        open.push(name.to_owned());
        Ok(Opened(self))
    }
}

impl ModuleResolver for Library {
    fn resolve(
        &self,
        engine: &Engine,
        _source: Option<&str>,
        path: &str,
        position: Position,
    ) -> Result<Shared<Module>, Box<EvalAltResult>> {
        let Some(text) = self.text(path) else {
            let hint = match nearest(path, self.texts.keys().map(String::as_str)) {
                Some(known) => format!("did you mean `{known}`?"),
                None => {
                    "libraries come with the program or lie in your folder `library`; a script reaches no other file"
                        .to_owned()
                }
            };
            let refusal = Refusal { message: format!("there is no library `{}`", one_line(path, 60)), hint };
            return Err(EvalAltResult::ErrorRuntime(Dynamic::from(refusal), position).into());
        };
        let refused = |refusal| EvalAltResult::ErrorRuntime(Dynamic::from::<Refusal>(refusal), position);
        let _until_read = self.open(path).map_err(refused)?;
        let wrap = |error| Box::new(EvalAltResult::ErrorInModule(path.to_owned(), error, position));
        let ast = self.parsed(engine, &text).map_err(wrap)?;
        let module = Module::eval_ast_as_new(Scope::new(), &ast, engine).map_err(wrap)?;
        Ok(module.into())
    }
}
