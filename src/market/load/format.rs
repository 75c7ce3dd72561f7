//! The open exchange format: kilograms, cents, cents per kilogram.

use std::collections::{BTreeMap, BTreeSet};

use serde::{Deserialize, Serialize};

use super::problem::{LoadFault, LoadLine, LoadPile, LoadProblem, Outlet, PriceStep, Rate, check_line};

/// A pile in exchange format.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct FilePile {
    /// Its grade: piles of one grade at one yard are paid together.
    pub grade: String,
    /// The number of lots, which are indivisible.
    pub lots: i64,
    /// The weight of one.
    pub lot_kg: i64,
    /// What keeping a kilogram is worth.
    #[serde(default)]
    pub hold_cents_per_kg: i64,
}

/// A yard in exchange format.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct FileYard {
    /// What one trip costs.
    pub trip_cost_cents: i64,
    /// By grade: from how many kilograms the whole lot is paid at how many cents per kilogram.
    pub prices: BTreeMap<String, Vec<(i64, i64)>>,
    /// The minimum load it takes; 0 for none.
    #[serde(default)]
    pub min_delivery_kg: i64,
}

/// A problem in exchange format, not yet checked. Other keys of the file (an id, a known answer) are ignored.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct LoadFile {
    /// The stock.
    pub piles: Vec<FilePile>,
    /// Where it can go.
    pub yards: Vec<FileYard>,
    /// What one trip carries.
    pub payload_kg: i64,
    /// The most trips to all yards together, if limited.
    #[serde(default)]
    pub max_trips: Option<i64>,
}

impl LoadFile {
    /// The problem, checked.
    ///
    /// # Errors
    /// The first fault, with pile or yard and grade, and the offending value.
    pub fn problem(&self) -> Result<LoadProblem, LoadFault> {
        if let Some((at, pile)) = self.piles.iter().enumerate().find(|(_, pile)| pile.lot_kg < 1) {
            let place = format!("pile {at} ({})", pile.grade);
            return Err(LoadFault::Number { place, what: "lot_kg", value: pile.lot_kg, wanted: "write 1 or more" });
        }
        let piles = self.piles.iter().map(|pile| {
            let hold = pile.lot_kg.checked_mul(pile.hold_cents_per_kg).ok_or(LoadFault::TooLarge)?;
            Ok(LoadPile { lots: pile.lots, mass: pile.lot_kg, pieces: 0, hold })
        });
        let outlets = self.yards.iter().enumerate().map(|(at, yard)| self.outlet(at, yard));
        LoadProblem::new(
            piles.collect::<Result<_, LoadFault>>()?,
            outlets.collect::<Result<_, LoadFault>>()?,
            Some(self.payload_kg),
            self.max_trips,
        )
    }

    /// A yard with a line for each grade in stock that it prices.
    fn outlet(&self, at: usize, yard: &FileYard) -> Result<Outlet, LoadFault> {
        let there: BTreeSet<&str> = self.piles.iter().map(|pile| pile.grade.as_str()).collect();
        let mut lines = Vec::new();
        let mut places = BTreeMap::new();
        for (grade, prices) in &yard.prices {
            let steps =
                prices.iter().map(|(from, cents)| PriceStep { from: *from, rate: Rate { num: *cents, den: 1 } });
            let line = LoadLine { steps: steps.collect(), by_piece: false, division: 0 };
            check_line(&format!("yard {at}, grade {grade}"), &line)?;
            if there.contains(grade.as_str()) {
                places.insert(grade.as_str(), lines.len());
                lines.push(line);
            }
        }
        let line_of = self.piles.iter().map(|pile| places.get(pile.grade.as_str()).copied()).collect();
        Ok(Outlet { trip_cost: yard.trip_cost_cents, least: yard.min_delivery_kg, lines, line_of })
    }
}
