//! The stock: what ended sessions yielded, loose finds, and what became of both.

use std::rc::Rc;

use super::freed;
use crate::market::haul::{Fraction, Haul, Mix};
use crate::naming::suggest;
use crate::sessions::history::{Archive, RecipeChoice, SessionOutcome, Told};
use crate::stock::{ActKind, Ledger, Lot, StockEntry, Stray};
use crate::store::Id;
use crate::store::journal::SessionHeader;
use crate::store::stock::StockLog;
use crate::world::{AppError, World};

/// The current stock, and what could not be read of it.
#[derive(Debug, Clone, Default)]
pub struct Stock {
    /// The lots in stock.
    pub ledger: Ledger,
    /// What was left out, and why.
    pub warnings: Vec<String>,
}

/// An action on the stock: an entry without number and time.
pub type Act = StockEntry;

impl World {
    /// The stock. Open and discarded sessions are ignored; unreadable ones are named in the warnings.
    ///
    /// # Errors
    /// The folder or the log cannot be read.
    pub fn stock(&self) -> Result<Stock, AppError> {
        let mut stock = Stock::default();
        let mut lots = Vec::new();
        let archive = Archive::new(self)?;
        let ids = self.home.sessions()?.ids;
        archive.each_told(&ids, |id, told| {
            match told.and_then(|told| ended(&archive, id, told)) {
                Ok(Some(ended)) => {
                    lots.extend(freed::lots(&ended.header, &ended.haul));
                    stock.warnings.extend(ended.remarks.into_iter().map(|remark| format!("{id}: {remark}")));
                }
                Ok(None) => {}
                Err(error) => stock.warnings.push(format!("{id} is left out of the stock: {error}")),
            }
            Ok(())
        })?;
        let reading = self.log::<StockLog>()?;
        stock.ledger = Ledger::of(lots, &reading.map(|reading| reading.records).unwrap_or_default());
        // What was done with lots of a discarded session was reported when it was discarded.
        let is_known = |stray: &&Stray| {
            let session = stray.lot.split_once('/').and_then(|(session, _)| Id::new(session).ok());
            session.is_some_and(|id| self.is_discarded(&id).unwrap_or(false))
        };
        let strays = stock.ledger.strays().iter().filter(|stray| !is_known(stray));
        let warn = |stray: &Stray| {
            format!(
                "entry {} ({}) names {}, which is not there: its session has changed",
                stray.seq, stray.act, stray.lot
            )
        };
        stock.warnings.extend(strays.map(warn).collect::<Vec<_>>());
        Ok(stock)
    }

    /// Carries out an action on the stock: it is on disk when this returns. `fill` completes the entry.
    ///
    /// # Errors
    /// The log cannot be written, or someone else has changed the stock since it was read.
    pub fn act_on_stock(
        &self,
        stock: &Stock,
        kind: ActKind,
        fill: impl FnOnce(&mut Act),
    ) -> Result<StockEntry, AppError> {
        let mut entry = StockEntry::new(stock.ledger.next_seq(), self.clock.stamp(), kind);
        fill(&mut entry);
        self.home.add_stock_entry(&entry)?;
        Ok(entry)
    }

    /// Undoes the last action on the stock; `None` if there is none.
    ///
    /// # Errors
    /// As [`World::act_on_stock`].
    pub fn undo_stock(&self) -> Result<Option<StockEntry>, AppError> {
        let stock = self.stock()?;
        let Some(last) = stock.ledger.undoable().cloned() else { return Ok(None) };
        self.act_on_stock(&stock, ActKind::Undo, |_| {})?;
        Ok(Some(last))
    }

    /// Redoes the last undone action on the stock; `None` if there is none.
    ///
    /// # Errors
    /// As [`World::act_on_stock`].
    pub fn redo_stock(&self) -> Result<Option<StockEntry>, AppError> {
        let stock = self.stock()?;
        let Some(last) = stock.ledger.redoable().cloned() else { return Ok(None) };
        self.act_on_stock(&stock, ActKind::Redo, |_| {})?;
        Ok(Some(last))
    }
}

impl Stock {
    /// The lots that words name: `all`, a grade, a bin, a lot, or part of a lot's name. Each lot once, in order.
    ///
    /// # Errors
    /// [`AppError::Name`] for a word that matches nothing.
    pub fn select<'s>(&'s self, words: &[&str]) -> Result<Vec<&'s Lot>, AppError> {
        let lots = self.ledger.lots();
        let mut chosen = vec![false; lots.len()];
        for word in words.iter().map(|word| word.trim()) {
            let exact = |lot: &Lot| lot.id == word || lot.grade == word || lot.bin.as_deref() == Some(word);
            let mut any = false;
            for (place, lot) in chosen.iter_mut().zip(lots) {
                let named = word == "all" || exact(lot);
                *place |= named;
                any |= named;
            }
            if !any && !word.is_empty() {
                for (place, _) in chosen.iter_mut().zip(lots).filter(|(_, lot)| lot.id.contains(word)) {
                    *place = true;
                    any = true;
                }
            }
            if !any {
                let known = lots.iter().flat_map(|lot| [lot.grade.as_str(), lot.id.as_str()]);
                let hint = suggest(word, known);
                return Err(AppError::Name(format!("nothing in stock goes by `{}`; {hint}", word.escape_debug())));
            }
        }
        Ok(lots.iter().zip(chosen).filter(|(_, chosen)| *chosen).map(|(lot, _)| lot).collect())
    }
}

/// What the stock needs of an ended session.
struct Ended {
    header: Rc<SessionHeader>,
    haul: Haul,
    remarks: Vec<String>,
}

/// What a session came to: as its journal keeps it with its end, else what its recipe of then makes of it; `None`
/// where it goes on.
fn ended(archive: &Archive<'_>, id: &Id, told: Told) -> Result<Option<Ended>, AppError> {
    if let Some(SessionOutcome { header, haul, .. }) = told.outcome {
        return Ok(Some(Ended { header: Rc::new(header), haul, remarks: Vec::new() }));
    }
    let record = told.record(&archive.world().home, id)?;
    if let Some(damage) = record.damage() {
        return Err(AppError::Refused(damage.to_owned()));
    }
    if let Some(haul) = record.result() {
        let remarks = archive.missing_texts(&record).into_iter().collect();
        return Ok(Some(Ended { header: Rc::new(record.into_header()), haul, remarks }));
    }
    let past = archive.play(record, &RecipeChoice::AsRan)?;
    let haul = past.haul();
    Ok(past.has_ended().then_some(Ended { header: past.header, haul, remarks: past.remarks }))
}

/// Lots as a haul, so that a yard values them like goods from the bench.
pub fn haul_of<'a>(lots: impl IntoIterator<Item = &'a Lot>) -> Haul {
    let mut haul = Haul { unit_name: "stock".to_owned(), ..Haul::default() };
    for lot in lots {
        let in_mix = lot.mixed_in.as_ref().map(|name| {
            let known = haul.mixes.iter().position(|mix| mix.name == *name);
            known.unwrap_or_else(|| {
                haul.mixes.push(Mix { name: name.clone(), net: None });
                haul.mixes.len() - 1
            })
        });
        haul.fractions.push(Fraction {
            part: lot.id.clone(),
            grade: lot.grade.clone(),
            net: lot.mass,
            pieces: lot.pieces,
            regraded_from: None,
            in_mix,
            division: lot.division,
        });
    }
    haul
}
