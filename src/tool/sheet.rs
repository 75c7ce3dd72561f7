//! What a tool came to: results, verdicts, cautions, and what they rest on.

use super::figure::Figure;
use crate::market::PriceSource;
use crate::quantity::Price;

/// A price of the yard that a tool asked for.
#[derive(Debug, Clone, PartialEq)]
pub struct PriceUsed {
    /// The grade that was asked for.
    pub grade: String,
    /// What came of it: what the yard calls it, the grade that carries the price, the price, where it comes from; or
    /// why there is none.
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

/// What a tool came to.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Sheet {
    /// Results, in the order in which the script gave them.
    pub figures: Vec<Figure>,
    /// What follows from them, a line each.
    pub verdicts: Vec<String>,
    /// Remarks.
    pub remarks: Vec<String>,
    /// Hazards of the catalogue whose cautions are to be shown in full.
    pub cautions: Vec<String>,
    /// An answer that cannot be: its input and why.
    pub refused: Option<(String, String)>,
    /// Prices that it rests on.
    pub prices: Vec<PriceUsed>,
    /// Rows of tables that it rests on.
    pub rows: Vec<RowUsed>,
}

impl Sheet {
    /// The result of that key.
    #[must_use]
    pub fn figure(&self, key: &str) -> Option<&Figure> {
        self.figures.iter().find(|figure| figure.key == key)
    }

    /// What an example calls it: a result by its key; `verdict` and `remark`, of several the one that is `wanted`;
    /// `caution`, all hazards; `refused`, the input that cannot be.
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

    /// Notes a price once.
    pub fn use_price(&mut self, used: PriceUsed) {
        if !self.prices.contains(&used) {
            self.prices.push(used);
        }
    }

    /// Notes a row once.
    pub fn use_row(&mut self, used: RowUsed) {
        if !self.rows.contains(&used) {
            self.rows.push(used);
        }
    }
}
