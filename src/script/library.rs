//! Where `import` may reach: named texts that the program hands in, and nothing else.

use std::collections::BTreeMap;
use std::rc::Rc;

use rhai::{Engine, EvalAltResult, Module, ModuleResolver, Position, Scope, Shared};

/// Scripts that others may import, by name. There is no path from here to a file.
#[derive(Clone, Default)]
pub struct Library {
    texts: Rc<BTreeMap<String, Rc<str>>>,
}

impl Library {
    /// A library of named texts.
    pub fn new(texts: impl IntoIterator<Item = (String, Rc<str>)>) -> Library {
        Library { texts: Rc::new(texts.into_iter().collect()) }
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
            return Err(EvalAltResult::ErrorModuleNotFound(path.to_owned(), position).into());
        };
        let wrap = |error| Box::new(EvalAltResult::ErrorInModule(path.to_owned(), error, position));
        let ast = engine.compile(text).map_err(|error| wrap(Box::new(EvalAltResult::from(error))))?;
        let module = Module::eval_ast_as_new(Scope::new(), &ast, engine).map_err(wrap)?;
        Ok(module.into())
    }
}
