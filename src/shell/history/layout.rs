//! Layout of pages over many sessions.

use crate::quantity::Notation;
use crate::shell::terminal::Terminal;
use crate::store::config::DecimalMark;

/// Layout of a page.
#[derive(Debug, Clone, Copy)]
pub struct PageLayout {
    /// The width in columns.
    pub columns: usize,
    /// One fact per line.
    pub plain: bool,
    /// How numbers are written.
    pub notation: Notation,
}

impl PageLayout {
    /// The layout for pages over many sessions: numbers in the notation set, else with a point, since yards differ.
    pub fn of(terminal: &Terminal) -> PageLayout {
        let notation = match terminal.world.config.decimal {
            Some(DecimalMark::Comma) => Notation::Comma,
            _ => Notation::Point,
        };
        PageLayout { columns: terminal.width(), plain: terminal.look.plain, notation }
    }
}
