//! Where `import` may reach: named texts that the program hands in, and nothing else.

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::rc::Rc;

use rhai::{AST, Dynamic, Engine, EvalAltResult, Module, ModuleResolver, Position, Scope, Shared};

use super::desk::Refusal;
use crate::naming::{nearest, one_line};

/// Scripts that others may import, by name. There is no path from here to a file.
#[derive(Clone, Default)]
pub struct Library {
    texts: Rc<BTreeMap<String, Rc<str>>>,
    /// Those that were imported once, parsed. What they declare is evaluated in every run anew, so that no run finds anything
    /// that another has left.
    parsed: Rc<RefCell<BTreeMap<String, Rc<AST>>>>,
}

impl Library {
    /// A library of named texts.
    pub fn new(texts: impl IntoIterator<Item = (String, Rc<str>)>) -> Library {
        Library { texts: Rc::new(texts.into_iter().collect()), parsed: Rc::default() }
    }

    /// A module, parsed.
    fn parsed(&self, engine: &Engine, name: &str, text: &str) -> Result<Rc<AST>, Box<EvalAltResult>> {
        if let Some(known) = self.parsed.borrow().get(name) {
            return Ok(known.clone());
        }
        let ast = Rc::new(engine.compile(text).map_err(EvalAltResult::from)?);
        self.parsed.borrow_mut().insert(name.to_owned(), ast.clone());
        Ok(ast)
    }

    /// The texts of all modules.
    pub(super) fn sources(&self) -> impl Iterator<Item = &str> {
        self.texts.values().map(|text| &**text)
    }

    /// The names of the functions in it, for hints.
    pub(super) fn functions(&self) -> impl Iterator<Item = &str> {
        let heads =
            self.texts.values().flat_map(|text| text.lines()).filter_map(|line| line.trim_start().strip_prefix("fn "));
        heads.filter_map(|head| head.split('(').next()).map(str::trim)
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
        let Some(text) = self.texts.get(path) else {
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
        let wrap = |error| Box::new(EvalAltResult::ErrorInModule(path.to_owned(), error, position));
        let ast = self.parsed(engine, path, text).map_err(wrap)?;
        let module = Module::eval_ast_as_new(Scope::new(), &ast, engine).map_err(wrap)?;
        Ok(module.into())
    }
}
