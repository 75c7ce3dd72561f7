//! One event in the life of the stock, as in the log.

use crate::quantity::Mass;

/// The kind of an event.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ActKind {
    /// Something was found or given, without a session.
    Add,
    /// Lots were moved to another place.
    Move,
    /// Lots turned out to be of another grade.
    Regrade,
    /// Lots went into one container and can no longer be told apart.
    Pool,
    /// Lots are gone without a sale: given away, thrown out, lost.
    WriteOff,
    /// Lots are packed for a yard.
    Pack,
    /// Lots were sold.
    Sale,
    /// The last standing event is undone.
    Undo,
    /// The event undone last is redone.
    Redo,
}

/// All kinds with their words in files.
const WORDS: [(ActKind, &str); 9] = [
    (ActKind::Add, "add"),
    (ActKind::Move, "move"),
    (ActKind::Regrade, "regrade"),
    (ActKind::Pool, "pool"),
    (ActKind::WriteOff, "write-off"),
    (ActKind::Pack, "pack"),
    (ActKind::Sale, "sale"),
    (ActKind::Undo, "undo"),
    (ActKind::Redo, "redo"),
];

impl ActKind {
    /// Its word in files.
    pub fn word(self) -> &'static str {
        WORDS.iter().find(|(kind, _)| *kind == self).map_or("", |(_, word)| word)
    }

    /// The kind with this word.
    pub fn of_word(word: &str) -> Option<ActKind> {
        WORDS.iter().find(|(_, known)| *known == word).map(|(kind, _)| *kind)
    }
}

/// The remainder of a lot that was sold in part.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Rest {
    /// The lot.
    pub lot: String,
    /// Its remaining weight, if it was weighed.
    pub mass: Option<Mass>,
    /// Its remaining pieces; 0 if not counted.
    pub pieces: u32,
}

/// One event. The kind determines which optional fields are filled.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StockEntry {
    /// Position in the log, from 1 without gaps.
    pub seq: u64,
    /// When it was recorded: RFC 3339, in UTC.
    pub at: String,
    /// What it records.
    pub kind: ActKind,
    /// The lots concerned.
    pub lots: Vec<String>,
    /// The remainders of lots sold in part, which came home again.
    pub rest: Vec<Rest>,
    /// The grade of what was added or pooled, or the new grade.
    pub grade: Option<String>,
    /// The weight of what was added or pooled, if it was weighed.
    pub mass: Option<Mass>,
    /// The number of pieces of what was added.
    pub pieces: Option<u32>,
    /// The place.
    pub bin: Option<String>,
    /// The yard that lots are packed for or were sold to.
    pub yard: Option<String>,
    /// The ticket of a sale, by the name of its file.
    pub ticket: Option<String>,
    /// The user's note.
    pub note: Option<String>,
}

impl StockEntry {
    /// An entry with only number, time and kind.
    pub fn new(seq: u64, at: String, kind: ActKind) -> StockEntry {
        StockEntry {
            seq,
            at,
            kind,
            lots: Vec::new(),
            rest: Vec::new(),
            grade: None,
            mass: None,
            pieces: None,
            bin: None,
            yard: None,
            ticket: None,
            note: None,
        }
    }

    /// What it did, in a few words.
    pub fn words(&self) -> String {
        let lots = match self.lots.as_slice() {
            [only] => only.clone(),
            several => format!("{} lots", several.len()),
        };
        let grade = self.grade.as_deref().unwrap_or_default();
        let yard = self.yard.as_deref().unwrap_or_default();
        match self.kind {
            ActKind::Add => format!("add {grade}"),
            ActKind::Move => format!("move {lots} to {}", self.bin.as_deref().unwrap_or("no bin")),
            ActKind::Regrade => format!("regrade {lots} as {grade}"),
            ActKind::Pool => format!("pool {lots} as {grade}"),
            ActKind::WriteOff => format!("write off {lots}"),
            ActKind::Pack => format!("pack {lots} for {yard}"),
            ActKind::Sale if self.rest.is_empty() => format!("sell {lots} to {yard}"),
            ActKind::Sale => format!("sell {lots} to {yard}, {} of them in part", self.rest.len()),
            ActKind::Undo | ActKind::Redo => self.kind.word().to_owned(),
        }
    }
}
