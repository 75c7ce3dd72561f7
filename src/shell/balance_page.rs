//! Whether a session's weights add up, and what to check if they do not.

use super::ink::{Ink, Page};
use crate::bench::Question;
use crate::quantity::{Mass, MassUnit, Notation};
use crate::sessions::{BalanceWithSlips, FoundSlip, Session};
use crate::stats::balance::GapVerdict;

/// How much has come out of the unit, or of an opened part, after a part's weight is entered.
pub fn so_far(session: &Session<'_>, question: &Question) -> Page {
    let mut page = Page::new();
    let Some((name, out, whole)) = session.out_so_far(question) else { return page };
    let show = |mass: Mass| mass.show_friendly(session.unit(), session.valuation().notation);
    let left = match whole.minus(out) {
        Ok(left) if left >= Mass::ZERO => format!("{} is left", show(left)),
        _ => "more than it weighed".to_owned(),
    };
    page.line(&[(Ink::Faint, &format!("  out of {name} so far: {} of {}; {left}", show(out), show(whole)))]);
    page
}

/// The page; empty until the unit or what is left of it is weighed.
pub fn page(balance: Option<&BalanceWithSlips>, unit: MassUnit, notation: Notation) -> Page {
    let mut page = Page::new();
    let Some(balance) = balance else { return page };
    let gap = &balance.gap;
    let grams = |grams: f64| show(mass(grams), unit, notation);
    let seen = match gap.gap {
        0.0 => "nothing is missing".to_owned(),
        gap if gap < 0.0 => format!("{} too much", grams(-gap)),
        gap => format!("{} missing", grams(gap)),
    };
    let facts = format!("{seen}; the scales explain about {}", grams(gap.sd * 3.0));
    let (word, ink) = match gap.verdict {
        GapVerdict::Closes => ("The weights add up: ", Ink::Good),
        GapVerdict::DoesNotClose => ("The weights do not add up: ", Ink::Danger),
        GapVerdict::CannotSay => {
            ("Whether the weights add up cannot be said, the scales are too coarse: ", Ink::Caution)
        }
    };
    page.line(&[(ink, word), (Ink::Plain, &facts)]);
    if let Some((entry, _)) = &balance.suspect {
        page.line(&[
            (Ink::Caution, "Look first at: "),
            (Ink::Name, entry),
            (Ink::Plain, ", which fits the rest worst"),
        ]);
    }
    match &balance.slip {
        Some(slip) => slip_line(slip, unit, notation, &mut page),
        None if gap.verdict == GapVerdict::DoesNotClose => {
            page.say(Ink::Plain, "No single known slip explains it. Weigh again what you can.");
        }
        None => {}
    }
    page
}

/// One line about the typing error that would explain the weights.
fn slip_line(slip: &FoundSlip, unit: MassUnit, notation: Notation, page: &mut Page) {
    let surely = if slip.probability >= 0.9 { "Most likely" } else { "Perhaps" };
    let show = |mass: Option<Mass>| show(mass, unit, notation);
    let entry = slip.entry.as_deref().unwrap_or("something not on the list");
    let seen = match slip.entered {
        Some(_) => format!(" at {}: {}; ", show(slip.entered), slip.what),
        None => format!(": {}; ", slip.what),
    };
    page.line(&[
        (Ink::Caution, &format!("{surely} a slip in ")),
        (Ink::Name, entry),
        (Ink::Plain, &seen),
        (Ink::Figure, &format!("{} would fit", show(slip.corrected))),
    ]);
}

fn mass(grams: f64) -> Option<Mass> {
    rust_decimal::Decimal::try_from(grams).ok().and_then(|grams| Mass::from_grams(grams.round_dp(1)).ok())
}

fn show(mass: Option<Mass>, unit: MassUnit, notation: Notation) -> String {
    mass.map_or_else(|| "?".to_owned(), |mass| mass.show_friendly(unit, notation))
}
