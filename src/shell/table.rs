//! Tables of facts: aligned if there is room; with one fact per line if not, or in plain mode.

use super::ink::{Ink, Page, sanitize, width};

/// A table: the column names, the first of which names the row.
#[derive(Debug, Clone, Default)]
pub struct TextTable {
    heads: Vec<String>,
    rows: Vec<Vec<(Ink, String)>>,
}

/// Blanks between two columns.
const GAP: usize = 2;

impl TextTable {
    /// An empty table.
    pub fn new(heads: &[&str]) -> TextTable {
        TextTable { heads: heads.iter().map(|head| (*head).to_owned()).collect(), rows: Vec::new() }
    }

    /// Adds a row; surplus cells are dropped.
    pub fn row(&mut self, mut cells: Vec<(Ink, String)>) {
        cells.truncate(self.heads.len());
        for (_, text) in &mut cells {
            *text = sanitize(text).into_owned();
        }
        self.rows.push(cells);
    }

    /// Whether the table fits into `columns` with its columns side by side.
    pub fn fits(&self, columns: usize) -> bool {
        let widths = self.widths();
        widths.iter().sum::<usize>() + GAP * widths.len().saturating_sub(1) <= columns
    }

    /// The table as a page: the first column left-aligned, all others right-aligned under their heads; stacked if that
    /// does not fit into `columns`, or with `plain`.
    pub fn page(&self, columns: usize, plain: bool) -> Page {
        if plain || !self.fits(columns) { self.stacked() } else { self.aligned(&self.widths()) }
    }

    fn widths(&self) -> Vec<usize> {
        let of_column = |place: usize| {
            let cells = self.rows.iter().filter_map(|row| row.get(place)).map(|(_, text)| width(text));
            cells.chain([width(&self.heads[place])]).max().unwrap_or(0)
        };
        (0..self.heads.len()).map(of_column).collect()
    }

    fn aligned(&self, widths: &[usize]) -> Page {
        let mut page = Page::new();
        let heads: Vec<(Ink, String)> = self.heads.iter().map(|head| (Ink::Faint, head.clone())).collect();
        for row in std::iter::once(&heads).chain(&self.rows) {
            let spans: Vec<(Ink, String)> = row
                .iter()
                .enumerate()
                .map(|(place, (ink, text))| {
                    let room = " ".repeat(widths[place].saturating_sub(width(text)));
                    let gap = if place == 0 { String::new() } else { " ".repeat(GAP) };
                    (*ink, if place == 0 { format!("{text}{room}") } else { format!("{gap}{room}{text}") })
                })
                .collect();
            page.line(&spans.iter().map(|(ink, text)| (*ink, text.as_str())).collect::<Vec<_>>());
        }
        page
    }

    fn stacked(&self) -> Page {
        let mut page = Page::new();
        for row in &self.rows {
            for (place, (ink, text)) in row.iter().enumerate().filter(|(_, (_, text))| !text.is_empty()) {
                match place {
                    0 => page.line(&[(*ink, text)]),
                    _ => page.line(&[(Ink::Faint, &format!("  {}: ", self.heads[place])), (*ink, text)]),
                }
            }
        }
        page
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shell::ink::Painter;

    fn sample() -> TextTable {
        let mut table = TextTable::new(&["session", "net"]);
        table.row(vec![(Ink::Name, "oven".into()), (Ink::Money, "12.40".into())]);
        table.row(vec![(Ink::Name, "a drill".into()), (Ink::Money, "3.1".into())]);
        table
    }

    #[test]
    fn figures_stand_under_each_other_where_there_is_room() {
        let text = Painter::default().paint(&sample().page(40, false));
        assert_eq!(text, "session    net\noven     12.40\na drill    3.1\n");
    }

    #[test]
    fn plain_or_narrow_gives_one_fact_a_line() {
        let stacked = "oven\n  net: 12.40\na drill\n  net: 3.1\n";
        assert_eq!(Painter::default().paint(&sample().page(40, true)), stacked);
        assert_eq!(Painter::default().paint(&sample().page(10, false)), stacked);
    }
}
