//! The tally as text for a terminal: one aligned row per line if there is room, stacked if not.

mod columns;

use super::view::{self, ViewRow};
use crate::market::Tally;
use crate::shell::ink::{Ink, Page, width};
use columns::Columns;

/// The minimum width for rows on one line.
const WIDE: usize = 72;
/// Beyond this width, rows become no easier to read.
const WIDEST: usize = 100;

/// The tally as a page no wider than `columns`. `plain` leaves out rules, for screen readers and logs; the words are
/// the same.
pub fn page(tally: &Tally, columns: usize, plain: bool) -> Page {
    let mut page = Page::new();
    page.line(&[(Ink::Heading, &view::title(tally))]);
    view::head(tally).iter().for_each(|(ink, text)| page.line(&[(*ink, text)]));
    page.blank();
    let room = columns.min(WIDEST);
    let rows = view::rows(tally);
    let layout = Columns::fit(&rows, room).filter(|_| columns >= WIDE);
    page.append(table(&rows, layout.as_ref(), tally.currency().code(), room, plain));
    for block in view::tail(tally) {
        page.blank();
        page.line(&[(Ink::Heading, &block.title)]);
        block.facts.iter().for_each(|(ink, text)| page.line(&[(Ink::Plain, "  "), (*ink, text)]));
    }
    page.wrapped(columns)
}

fn table(rows: &[ViewRow], layout: Option<&Columns>, currency: &str, room: usize, plain: bool) -> Page {
    let mut page = Page::new();
    let end = layout.map_or(room, Columns::width);
    page.line(&[(Ink::Faint, &format!("{:>end$}", currency))]);
    let mut summed = false;
    for row in rows {
        if row.strong && !summed && !plain {
            page.line(&[(Ink::Faint, &"─".repeat(end))]);
        }
        summed = row.strong;
        match layout {
            Some(columns) => wide(&mut page, row, columns),
            None => stacked(&mut page, row, room),
        }
        row.notes
            .iter()
            .filter(|note| !note.is_empty())
            .for_each(|note| page.line(&[(Ink::Faint, &format!("    {note}"))]));
    }
    page
}

/// The inks of label and amount.
fn inks(row: &ViewRow) -> (Ink, Ink) {
    let label = if row.strong { Ink::Heading } else { Ink::Name };
    (label, row.ink.unwrap_or(Ink::Plain))
}

fn wide(page: &mut Page, row: &ViewRow, columns: &Columns) {
    let (label_ink, amount_ink) = inks(row);
    let mut label = row.label.as_str();
    if width(label) > columns.label {
        page.line(&[(label_ink, label)]);
        label = "";
    }
    let gap = " ".repeat(columns.label - width(label) + 2);
    page.line(&[
        (label_ink, label),
        (Ink::Plain, &gap),
        (Ink::Figure, &columns.weight.pad(&row.weight)),
        (Ink::Figure, &format!("{:<wide$}", row.unit, wide = columns.unit)),
        (Ink::Plain, "  "),
        (Ink::Figure, &columns.price.pad(&row.price)),
        (Ink::Figure, &format!("{:<wide$}", row.per, wide = columns.per)),
        (Ink::Plain, "  "),
        (amount_ink, &columns.amount.pad(&row.amount)),
    ]);
}

/// Label on its own line; below it the multiplication, with the amount at the right edge.
fn stacked(page: &mut Page, row: &ViewRow, room: usize) {
    let (label_ink, amount_ink) = inks(row);
    let figures = match (row.weight.as_str(), row.price.as_str()) {
        ("", "") => String::new(),
        (weight, price) => format!("  {weight}{} at {price}{}", row.unit, row.per),
    };
    let before = if figures.is_empty() { row.label.clone() } else { figures.clone() };
    if !figures.is_empty() {
        page.line(&[(label_ink, &row.label)]);
    }
    let ink = if figures.is_empty() { label_ink } else { Ink::Figure };
    match room.checked_sub(width(&before) + width(&row.amount)).filter(|gap| *gap > 0) {
        Some(gap) => page.line(&[(ink, &before), (Ink::Plain, &" ".repeat(gap)), (amount_ink, &row.amount)]),
        None => {
            page.line(&[(ink, &before)]);
            page.line(&[(Ink::Plain, &" ".repeat(room.saturating_sub(width(&row.amount)))), (amount_ink, &row.amount)]);
        }
    }
}
