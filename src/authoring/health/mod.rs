//! Examines the user's folder and reports every fault with its place and what to do. Repairs nothing.

mod folder;
mod journals;
mod scripts;

use crate::world::World;

/// An item examined, and its state.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HealthFinding {
    /// The item.
    pub what: String,
    /// Its state.
    pub found: Health,
}

/// The state of an item.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Health {
    /// In order.
    Sound,
    /// Worth knowing; nothing needs to be done.
    Note(String),
    /// A script that needs a newer program: nothing is wrong with it.
    Off(String),
    /// At fault; several faults of one thing are a line each.
    Wrong(String),
}

impl From<Option<String>> for Health {
    fn from(wrong: Option<String>) -> Health {
        wrong.map_or(Health::Sound, Health::Wrong)
    }
}

/// The findings, in order of examination.
#[derive(Debug, Default)]
struct Findings(Vec<HealthFinding>);

impl Findings {
    fn add(&mut self, what: impl Into<String>, found: impl Into<Health>) {
        self.0.push(HealthFinding { what: what.into(), found: found.into() });
    }

    /// Records the error of a result, if any.
    fn add_error<T>(&mut self, what: impl Into<String>, result: Result<T, impl std::fmt::Display>) -> Option<T> {
        match result {
            Ok(value) => Some(value),
            Err(error) => {
                self.add(what, Health::Wrong(error.to_string()));
                None
            }
        }
    }
}

/// Looks at everything in the folder.
#[must_use]
pub fn examine(world: &World) -> Vec<HealthFinding> {
    let mut findings = Findings::default();
    folder::examine(world, &mut findings);
    scripts::examine(world, &mut findings);
    journals::examine(world, &mut findings);
    folder::examine_rest(world, &mut findings);
    // Everything in the notices is also among the findings.
    drop(world.notices());
    findings.0
}
