//! A tool's output: results, verdicts, cautions, and their sources.

use super::figure::Figure;
use crate::market::PriceSource;
use crate::quantity::Price;

/// A yard price that a tool asked for.
#[derive(Debug, Clone, PartialEq)]
pub struct PriceUsed {
    /// The requested grade.
    pub grade: String,
    /// The yard's name for it, the grade that carries the price, the price, its source; or why there is none.
    pub found: Result<(String, String, Price, PriceSource), String>,
}

/// A row of a catalogue table that a tool asked for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RowUsed {
    /// The table.
    pub table: String,
    /// The row.
    pub key: String,
    /// Where it comes from.
    pub source: String,
    /// How far that was checked.
    pub status: String,
}

/// A tool's output.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Sheet {
    /// Results, in the order the script gave them.
    pub figures: Vec<Figure>,
    /// Conclusions, a line each.
    pub verdicts: Vec<String>,
    /// Remarks.
    pub remarks: Vec<String>,
    /// Catalogue hazards whose cautions are shown in full.
    pub cautions: Vec<String>,
    /// An impossible answer: its input and why.
    pub refused: Option<(String, String)>,
    /// Prices used.
    pub prices: Vec<PriceUsed>,
    /// Table rows used.
    pub rows: Vec<RowUsed>,
}

impl Sheet {
    /// The result with that key.
    #[must_use]
    pub fn figure(&self, key: &str) -> Option<&Figure> {
        self.figures.iter().find(|figure| figure.key == key)
    }

    /// The result that an example names: a result by its key; `verdict` and `remark`, among several the one that is
    /// `wanted`; `caution`, all hazards; `refused`, the input with an impossible answer.
    #[must_use]
    pub fn outcome(&self, key: &str, wanted: &str) -> Option<String> {
        let one_of = |lines: &[String]| {
            let meant = lines.iter().find(|line| line.as_str() == wanted);
            meant.cloned().or_else(|| (!lines.is_empty()).then(|| lines.join(" / ")))
        };
        match key {
            "verdict" => one_of(&self.verdicts),
            "remark" => one_of(&self.remarks),
            "caution" => (!self.cautions.is_empty()).then(|| self.cautions.join(", ")),
            "refused" => self.refused.as_ref().map(|(key, _)| key.clone()),
            _ => self.figure(key).map(|figure| figure.amount.exact()),
        }
    }

    /// Records a price once.
    pub fn use_price(&mut self, used: PriceUsed) {
        if !self.prices.contains(&used) {
            self.prices.push(used);
        }
    }

    /// Records a row once.
    pub fn use_row(&mut self, used: RowUsed) {
        if !self.rows.contains(&used) {
            self.rows.push(used);
        }
    }
}
