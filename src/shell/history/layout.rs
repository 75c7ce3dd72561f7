//! How a page over many sessions is laid out.

use crate::quantity::Notation;
use crate::shell::terminal::Terminal;
use crate::store::config::DecimalMark;

/// How a page is laid out.
#[derive(Debug, Clone, Copy)]
pub struct PageLayout {
    /// The width.
    pub columns: usize,
    /// One fact a line.
    pub plain: bool,
    /// How numbers are written.
    pub notation: Notation,
}

impl PageLayout {
    /// How pages over many sessions are laid out: numbers as set, else with a point, since yards differ.
    pub fn of(terminal: &Terminal) -> PageLayout {
        let notation = match terminal.world.config.decimal {
            Some(DecimalMark::Comma) => Notation::Comma,
            _ => Notation::Point,
        };
        PageLayout { columns: terminal.width(), plain: terminal.look.plain, notation }
    }
}
