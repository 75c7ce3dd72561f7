//! A recipe's weights before and after they were learned from sessions.

use std::path::Path;

use super::layout::PageLayout;
use crate::quantity::MassUnit;
use crate::sessions::history::Rewritten;
use crate::shell::ink::{Ink, Page};
use crate::shell::page::range;
use crate::shell::table::TextTable;

/// Part by part, then where the recipe is written and which weights were left out as typing errors.
pub fn page(rewritten: &Rewritten, path: &Path, unit: MassUnit, layout: PageLayout) -> Page {
    let notation = layout.notation;
    let mut table = TextTable::new(&["part", "was", "now", "sessions"]);
    for (part, before, after) in &rewritten.parts {
        table.row(vec![
            (Ink::Name, part.clone()),
            (Ink::Plain, range(before, unit, notation)),
            (Ink::Figure, range(&after.weight, unit, notation)),
            (Ink::Plain, after.sessions.to_string()),
        ]);
    }
    let mut page = table.page(layout.columns, layout.plain);
    if !layout.plain {
        page.blank();
    }
    page.say(Ink::Plain, &format!("Written to {}", path.display()));
    page.say(Ink::Plain, "Low and high are set so that the range has the mean and spread that your sessions predict.");
    for slip in &rewritten.slips {
        let weight = slip.mass.show_friendly(unit, notation);
        page.say(Ink::Caution, &format!("Left out: {}, {weight} in {}, is {slip}.", slip.part, slip.session));
    }
    page
}
