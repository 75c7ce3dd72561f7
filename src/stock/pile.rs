//! Piles: lots that lie together.

use std::collections::BTreeMap;

use jiff::civil::Date;

use super::lot::Lot;
use crate::quantity::Mass;

/// What makes lots a pile.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Pooling {
    /// The same grade, wherever it is.
    Grade,
    /// The same grade in the same place: what is loaded together.
    Bin,
    /// Each lot by itself.
    Lot,
}

/// Lots that lie together.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Pile<'a> {
    /// The grade; for a mixed container that of its first lot.
    pub grade: &'a str,
    /// The container, if several grades are mixed in it.
    pub mixed_in: Option<&'a str>,
    /// The lots.
    pub lots: Vec<&'a Lot>,
}

impl Pile<'_> {
    /// The total of the weighed lots; `None` if none was weighed, or the total exceeds its limit.
    pub fn mass(&self) -> Option<Mass> {
        let known: Vec<Mass> = self.lots.iter().filter_map(|lot| lot.mass).collect();
        if known.is_empty() { None } else { Mass::sum(known).ok() }
    }

    /// How many lots were never weighed.
    pub fn unweighed(&self) -> usize {
        self.lots.iter().filter(|lot| lot.mass.is_none()).count()
    }

    /// The number of pieces.
    pub fn pieces(&self) -> u32 {
        self.lots.iter().fold(0, |sum: u32, lot| sum.saturating_add(lot.pieces))
    }

    /// The date of the oldest lot.
    pub fn since(&self) -> Option<Date> {
        self.lots.iter().map(|lot| lot.since).min()
    }

    /// Its places, each once.
    pub fn bins(&self) -> Vec<&str> {
        let mut bins: Vec<&str> = self.lots.iter().filter_map(|lot| lot.bin.as_deref()).collect();
        bins.sort_unstable();
        bins.dedup();
        bins
    }
}

/// Sorts lots into piles, by grade, then place. The contents of a mixed container are a pile by themselves.
pub fn piles<'a>(lots: impl IntoIterator<Item = &'a Lot>, pooling: Pooling) -> Vec<Pile<'a>> {
    let mut piles: BTreeMap<(Option<&str>, &str, &str, &str), Pile<'a>> = BTreeMap::new();
    for lot in lots {
        let mixed_in = lot.mixed_in.as_deref();
        let grade = if mixed_in.is_some() { "" } else { lot.grade.as_str() };
        let bin = lot.bin.as_deref().unwrap_or_default();
        let key = match pooling {
            Pooling::Grade => (mixed_in, grade, "", ""),
            Pooling::Bin => (mixed_in, grade, bin, ""),
            Pooling::Lot => (mixed_in, grade, bin, lot.id.as_str()),
        };
        let empty = || Pile { grade: &lot.grade, mixed_in, lots: Vec::new() };
        piles.entry(key).or_insert_with(empty).lots.push(lot);
    }
    piles.into_values().collect()
}
