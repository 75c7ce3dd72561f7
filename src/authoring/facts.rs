//! What a script declares, which its bundle must state too.

use std::rc::Rc;

use crate::market::Yard;
use crate::recipe::Recipe;
use crate::script::Script;
use crate::store::bundle::BundleKind;
use crate::tool::Tool;
use crate::world::{AppError, World};

/// What a script declares.
pub enum Declared {
    /// A recipe.
    Recipe(Rc<Recipe>),
    /// A yard.
    Yard(Box<Yard>),
    /// A tool or a report.
    Tool(Box<Tool>),
}

/// A script's description of itself.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Facts {
    pub id: String,
    pub name: String,
    pub author: String,
    pub licence: String,
    pub revision: u32,
    pub needs_api: u32,
}

impl Declared {
    /// Runs the declarations of a script.
    pub(super) fn by(world: &World, kind: BundleKind, script: &Script) -> Result<Declared, AppError> {
        Ok(match kind {
            BundleKind::Recipe => Declared::Recipe(world.host().recipe(script)?),
            BundleKind::Yard => Declared::Yard(Box::new(world.host().yard(script)?)),
            BundleKind::Tool | BundleKind::Report => Declared::Tool(Box::new(world.host().tool(script)?)),
        })
    }

    pub(super) fn facts(&self) -> Facts {
        match self {
            Declared::Recipe(recipe) => {
                let unit = recipe.unit();
                Facts {
                    id: unit.id.clone(),
                    name: unit.name.clone(),
                    author: unit.author.clone(),
                    licence: unit.licence.clone(),
                    revision: unit.revision,
                    needs_api: unit.needs_api,
                }
            }
            Declared::Yard(yard) => Facts {
                id: yard.id().to_owned(),
                name: yard.name().to_owned(),
                author: yard.author().to_owned(),
                licence: yard.licence().to_owned(),
                revision: yard.revision(),
                needs_api: yard.needs_api(),
            },
            Declared::Tool(tool) => Facts {
                id: tool.id.clone(),
                name: tool.title.clone(),
                author: tool.author.clone(),
                licence: tool.licence.clone(),
                revision: tool.revision,
                needs_api: tool.needs_api,
            },
        }
    }
}
