//! Column widths, with figures aligned on their decimal mark.

use crate::shell::ink::width;
use crate::shell::tally::view::ViewRow;

/// A label column narrower than this is useless.
const NARROWEST_LABEL: usize = 14;

/// A column of figures: its widths before the decimal mark, and from the mark on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct OnMark {
    before: usize,
    after: usize,
}

impl OnMark {
    fn of<'r>(cells: impl Iterator<Item = &'r str>) -> OnMark {
        let sizes = cells.map(split).map(|(before, after)| (width(before), width(after)));
        let widest = sizes.fold((0, 0), |(b, a), (before, after)| (b.max(before), a.max(after)));
        OnMark { before: widest.0, after: widest.1 }
    }

    fn width(self) -> usize {
        self.before + self.after
    }

    /// Pads the cell on both sides, so that decimal marks line up.
    pub(super) fn pad(self, cell: &str) -> String {
        let (before, after) = split(cell);
        let blanks = |wanted: usize, has: &str| " ".repeat(wanted.saturating_sub(width(has)));
        format!("{}{before}{after}{}", blanks(self.before, before), blanks(self.after, after))
    }
}

/// Splits a cell at its decimal mark or, without one, at the end of its number. Words without a digit count wholly as
/// before the mark.
fn split(cell: &str) -> (&str, &str) {
    let number_ends = cell.find(|c: char| !c.is_ascii_digit() && c != '-' && c != '+');
    match number_ends {
        Some(at) if cell[..at].contains(|c: char| c.is_ascii_digit()) => cell.split_at(at),
        _ => (cell, ""),
    }
}

/// The columns of a wide table.
pub(super) struct Columns {
    pub(super) label: usize,
    pub(super) weight: OnMark,
    pub(super) unit: usize,
    pub(super) price: OnMark,
    pub(super) per: usize,
    pub(super) amount: OnMark,
}

impl Columns {
    /// Fits columns for these rows into `room`; `None` if the figures leave no room for labels.
    pub(super) fn fit(rows: &[ViewRow], room: usize) -> Option<Columns> {
        let weight = OnMark::of(rows.iter().map(|row| row.weight.as_str()));
        let price = OnMark::of(rows.iter().map(|row| row.price.as_str()));
        let amount = OnMark::of(rows.iter().map(|row| row.amount.as_str()));
        let widest = |cell: fn(&ViewRow) -> &str| rows.iter().map(|row| width(cell(row))).max().unwrap_or(0);
        let (unit, per) = (widest(|row| &row.unit), widest(|row| &row.per));
        let bare = Columns { label: 0, weight, unit, price, per, amount };
        let left = room.checked_sub(bare.width()).filter(|left| *left >= NARROWEST_LABEL)?;
        Some(Columns { label: left.min(widest(|row| &row.label)), ..bare })
    }

    /// Width of a whole row.
    pub(super) fn width(&self) -> usize {
        self.label + self.weight.width() + self.unit + self.price.width() + self.per + self.amount.width() + 6
    }
}
