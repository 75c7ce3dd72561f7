//! What is in stock now: freed lots and the log, folded.
//!
//! Undo and redo are entries like all others, so nothing is ever erased. The fold keeps two stacks, the standing
//! entries and the undone ones; a new entry empties the second.

use jiff::civil::Date;

use super::entry::{ActKind, StockEntry};
use super::lot::Lot;
use crate::quantity::Mass;

/// What is packed for a trip and not yet settled.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Packed {
    /// The yard.
    pub yard: String,
    /// The lots.
    pub lots: Vec<String>,
}

/// An entry that names a missing lot: its session was changed since.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stray {
    /// The entry.
    pub seq: u64,
    /// What it does.
    pub act: String,
    /// The lot it names.
    pub lot: String,
}

/// The current stock.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Ledger {
    lots: Vec<Lot>,
    packed: Vec<Packed>,
    strays: Vec<Stray>,
    standing: Vec<StockEntry>,
    redoable: Option<StockEntry>,
    next: u64,
}

impl Ledger {
    /// Folds the freed lots and what was done with them since. `freed` is in session order.
    pub fn of(freed: Vec<Lot>, entries: &[StockEntry]) -> Ledger {
        let mut standing: Vec<&StockEntry> = Vec::new();
        let mut taken_back: Vec<&StockEntry> = Vec::new();
        for entry in entries {
            match entry.kind {
                ActKind::Undo => taken_back.extend(standing.pop()),
                ActKind::Redo => standing.extend(taken_back.pop()),
                _ => {
                    standing.push(entry);
                    taken_back.clear();
                }
            }
        }
        let mut ledger = Ledger { lots: freed, next: entries.len() as u64 + 1, ..Ledger::default() };
        ledger.redoable = taken_back.last().map(|entry| (*entry).clone());
        standing.iter().for_each(|entry| ledger.take(entry));
        ledger.standing = standing.into_iter().cloned().collect();
        ledger
    }

    fn take(&mut self, entry: &StockEntry) {
        for lot in &entry.lots {
            if !self.lots.iter().any(|known| known.id == *lot) {
                self.strays.push(Stray { seq: entry.seq, act: entry.words(), lot: lot.clone() });
            }
        }
        match entry.kind {
            ActKind::Add => self.lots.push(self.found(entry)),
            ActKind::Move => self.change(entry, |lot| lot.bin.clone_from(&entry.bin)),
            ActKind::Regrade => self.change(entry, |lot| {
                lot.grade = entry.grade.clone().unwrap_or_default();
                // A new grade for the lot itself means that it was sorted out.
                lot.mixed_in = None;
            }),
            ActKind::Pool => {
                let pool = self.pooled(entry);
                self.remove(entry);
                self.lots.extend(pool);
            }
            ActKind::WriteOff => self.remove(entry),
            ActKind::Pack => {
                let yard = entry.yard.clone().unwrap_or_default();
                self.packed.retain(|packed| packed.yard != yard);
                self.packed.push(Packed { yard, lots: entry.lots.clone() });
            }
            ActKind::Sale => {
                self.sell(entry);
                self.packed.retain(|packed| Some(&packed.yard) != entry.yard.as_ref());
            }
            ActKind::Undo | ActKind::Redo => {}
        }
    }

    fn change(&mut self, entry: &StockEntry, act: impl Fn(&mut Lot)) {
        self.lots.iter_mut().filter(|lot| entry.lots.contains(&lot.id)).for_each(act);
    }

    fn remove(&mut self, entry: &StockEntry) {
        self.lots.retain(|lot| !entry.lots.contains(&lot.id));
    }

    /// Removes sold lots; those sold in part keep their remainder.
    fn sell(&mut self, entry: &StockEntry) {
        for rest in &entry.rest {
            if let Some(lot) = self.lots.iter_mut().find(|lot| lot.id == rest.lot) {
                (lot.mass, lot.pieces) = (rest.mass, rest.pieces);
            }
        }
        let stays = |lot: &Lot| entry.rest.iter().any(|rest| rest.lot == lot.id);
        self.lots.retain(|lot| !entry.lots.contains(&lot.id) || stays(lot));
    }

    fn found(&self, entry: &StockEntry) -> Lot {
        Lot {
            id: format!("find-{}", entry.seq),
            grade: entry.grade.clone().unwrap_or_default(),
            mass: entry.mass,
            division: Mass::ZERO,
            pieces: entry.pieces.unwrap_or(0),
            bin: entry.bin.clone(),
            since: day_of(&entry.at),
            mixed_in: None,
        }
    }

    /// The lot that several become; `None` if none of them exists. Its weight is the one read, else the total of its
    /// parts, if all are known.
    fn pooled(&self, entry: &StockEntry) -> Option<Lot> {
        let parts: Vec<&Lot> = self.lots.iter().filter(|lot| entry.lots.contains(&lot.id)).collect();
        let known = parts.iter().map(|lot| lot.mass).collect::<Option<Vec<Mass>>>();
        Some(Lot {
            id: format!("pool-{}", entry.seq),
            grade: entry.grade.clone().unwrap_or_default(),
            mass: entry.mass.or_else(|| Mass::sum(known?).ok()),
            division: parts.iter().map(|lot| lot.division).max()?,
            pieces: parts.iter().fold(0, |sum: u32, lot| sum.saturating_add(lot.pieces)),
            bin: entry.bin.clone().or_else(|| parts.first()?.bin.clone()),
            since: parts.iter().map(|lot| lot.since).min()?,
            mixed_in: None,
        })
    }

    /// What is in stock: freed lots in session order, then finds and pools.
    pub fn lots(&self) -> &[Lot] {
        &self.lots
    }

    /// What is packed for a yard, as far as it still exists.
    pub fn packed_for(&self, yard: &str) -> Option<Vec<&Lot>> {
        let packed = self.packed.iter().find(|packed| packed.yard == yard)?;
        Some(self.lots.iter().filter(|lot| packed.lots.contains(&lot.id)).collect())
    }

    /// Everything that is packed.
    pub fn packed(&self) -> &[Packed] {
        &self.packed
    }

    /// Entries that name missing lots.
    pub fn strays(&self) -> &[Stray] {
        &self.strays
    }

    /// The entries that stand, in order.
    pub fn standing(&self) -> &[StockEntry] {
        &self.standing
    }

    /// The entry that an undo would affect.
    pub fn undoable(&self) -> Option<&StockEntry> {
        self.standing.last()
    }

    /// The entry that a redo would affect.
    pub fn redoable(&self) -> Option<&StockEntry> {
        self.redoable.as_ref()
    }

    /// The number of the next entry.
    pub fn next_seq(&self) -> u64 {
        self.next
    }
}

/// The day of a validated log time.
fn day_of(at: &str) -> Date {
    at.get(..10).and_then(|day| day.parse().ok()).unwrap_or_default()
}
