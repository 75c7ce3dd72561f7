//! A script's text, and where it comes from.

use std::path::PathBuf;

use crate::store::home::Shelf;

/// Where a script comes from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Origin {
    /// It comes with the program.
    Shipped,
    /// It lies in the person's folder.
    Own(PathBuf),
    /// It is looked at before it is taken in.
    Offered,
}

/// A script that is looked at before it is taken in, with what travels with it.
pub(crate) struct OfferedScript {
    pub shelf: Shelf,
    pub id: String,
    pub text: String,
    pub session: Option<String>,
    pub modules: Vec<(String, String)>,
}

/// A script's text and where it comes from.
#[derive(Debug, Clone)]
pub(crate) struct FoundScript {
    pub shelf: Shelf,
    pub id: String,
    pub text: String,
    pub origin: Origin,
}

impl FoundScript {
    /// The file as people know it: the path of their own, the name of a shipped one.
    pub fn file(&self) -> String {
        match &self.origin {
            Origin::Shipped | Origin::Offered => format!("{}.rhai", self.id),
            Origin::Own(path) => path.display().to_string(),
        }
    }
}

/// Words for a kind of script.
pub(crate) fn noun(shelf: Shelf) -> &'static str {
    match shelf {
        Shelf::Recipes => "recipe",
        Shelf::Yards => "yard",
        Shelf::Tools => "tool",
        Shelf::Reports => "report",
        Shelf::Library => "library",
    }
}
