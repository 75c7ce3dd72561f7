//! A hazard in full as a page and as JSON, and as a line of a list.

use crate::recipe::{Action, Hazard};
use crate::shell::ink::{Ink, Page};

pub(super) fn ink_of(action: Action) -> Ink {
    match action {
        Action::Caution => Ink::Caution,
        Action::Danger | Action::Licensed => Ink::Danger,
    }
}

/// A hazard in full, as JSON.
pub fn hazard_json(hazard: &Hazard) -> serde_json::Value {
    serde_json::json!({
        "hazard": hazard.id, "class": hazard.class.word(), "name": hazard.name, "hurts": hazard.hurts,
        "cautions": hazard.cautions, "protection": hazard.protection, "stop": hazard.stop, "disposal": hazard.disposal,
    })
}

/// A hazard as a line of a list, with a remark on where it applies.
pub fn hazard_named(hazard: &Hazard, remark: &str, page: &mut Page) {
    page.line(&[
        (Ink::Plain, "  "),
        (ink_of(hazard.class), hazard.class.word()),
        (Ink::Plain, ": "),
        (Ink::Plain, &hazard.name),
        (Ink::Faint, &format!(" ({remark})")),
    ]);
}

/// A hazard in full: how it hurts, the cautions in order, what to wear, when to stop. Never shortened.
pub fn hazard(hazard: &Hazard) -> Page {
    let mut page = Page::new();
    page.line(&[(ink_of(hazard.class), hazard.class.word()), (Ink::Plain, "  "), (Ink::Heading, &hazard.name)]);
    page.line(&[(Ink::Name, "How it hurts: "), (Ink::Plain, &hazard.hurts)]);
    for (place, caution) in hazard.cautions.iter().enumerate() {
        page.line(&[(Ink::Figure, &format!("  {}. ", place + 1)), (Ink::Plain, caution)]);
    }
    page.line(&[(Ink::Name, "Wear and use: "), (Ink::Plain, &hazard.protection.join(" "))]);
    page.line(&[(Ink::Name, "Stop: "), (Ink::Plain, &hazard.stop)]);
    page.line(&[(Ink::Name, "Where it goes: "), (Ink::Plain, &hazard.disposal)]);
    page.line(&[(
        Ink::Faint,
        "Usual cautions, reviewed by no qualified person; no substitute for local codes and licensed practice.",
    )]);
    page
}
