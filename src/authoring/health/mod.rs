//! Examining the person's folder: everything in it is looked at, and every fault is named with its place and what to do.
//! Nothing is repaired.

mod folder;
mod journals;
mod scripts;

use crate::world::World;

/// Something that was looked at, and how it was found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Finding {
    /// What was looked at.
    pub what: String,
    /// How it was found.
    pub found: Found,
}

/// How something was found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Found {
    /// In order.
    Sound,
    /// Worth knowing; nothing has to be done.
    Note(String),
    /// A script that needs a newer program: nothing is wrong with it.
    Off(String),
    /// At fault; several faults of one thing come a line each.
    Wrong(String),
}

impl From<Option<String>> for Found {
    fn from(wrong: Option<String>) -> Found {
        wrong.map_or(Found::Sound, Found::Wrong)
    }
}

/// What is found, in the order in which it is looked at.
#[derive(Debug, Default)]
struct Findings(Vec<Finding>);

impl Findings {
    fn add(&mut self, what: impl Into<String>, found: impl Into<Found>) {
        self.0.push(Finding { what: what.into(), found: found.into() });
    }

    /// What went wrong with something; nothing where it went well.
    fn add_error<T>(&mut self, what: impl Into<String>, result: Result<T, impl std::fmt::Display>) -> Option<T> {
        match result {
            Ok(value) => Some(value),
            Err(error) => {
                self.add(what, Found::Wrong(error.to_string()));
                None
            }
        }
    }
}

/// Looks at everything in the folder.
#[must_use]
pub fn examine(world: &World) -> Vec<Finding> {
    let mut findings = Findings::default();
    folder::examine(world, &mut findings);
    scripts::examine(world, &mut findings);
    journals::examine(world, &mut findings);
    folder::examine_rest(world, &mut findings);
    // All that notices say stands among the findings.
    drop(world.notices());
    findings.0
}
