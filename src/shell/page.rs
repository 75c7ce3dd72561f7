//! Pages of a session: the step at hand, the question, a hazard, what was understood, the end.

mod ahead;
mod ending;
mod question;
mod step;

pub use ending::{annex_item, ending, unfit};
pub use question::{is_doubtful, offers, question, trust, understood, why};
pub use step::{instructions, step};

use super::ink::{Ink, Page};
use crate::bench::Fate;
use crate::naming::counted;
use crate::quantity::{Estimate, Mass, MassUnit, Money, Notation};
use crate::recipe::{Action, Hazard};
use crate::sessions::Session;
use crate::world::{Listed, Origin};

/// Money with its sign in front, so that a gain and a loss differ by more than colour.
pub fn signed(money: Money, notation: Notation) -> String {
    let sign = if money.amount().is_sign_negative() { "" } else { "+" };
    format!("{sign}{}", money.show(notation))
}

/// The same without the currency, where a heading names that.
pub fn signed_digits(money: Money, notation: Notation) -> String {
    let sign = if money.amount().is_sign_negative() { "" } else { "+" };
    format!("{sign}{}", money.digits(notation))
}

/// `8.2 lb (6.6 lb to 10.1 lb)` to three digits, or the one value where there is no range.
pub fn range(expected: &Estimate<Mass>, unit: MassUnit, notation: Notation) -> String {
    let show = |mass: Mass| mass.show_rough(unit, notation);
    if expected.low() == expected.high() {
        return show(expected.usual());
    }
    format!("{} ({} to {})", show(expected.usual()), show(expected.low()), show(expected.high()))
}

/// Whether a script is the person's own, not one that comes with the program.
pub(super) fn is_own(listed: &Listed) -> bool {
    matches!(listed.origin, Origin::Own(_))
}

/// `your 6 sessions`.
fn own_sessions(count: usize) -> String {
    format!("your {}", counted(count, "session"))
}

fn ink_of(action: Action) -> Ink {
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

/// A hazard in a line of a list, with a remark on where it comes up.
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

/// All steps and what became of them.
pub fn steps(session: &Session<'_>) -> Page {
    let mut page = Page::new();
    let run_result = session.run_result();
    for (place, (step, fate)) in session.recipe().steps().iter().zip(&run_result.state.fates).enumerate() {
        let (word, ink) = match fate {
            _ if run_result.state.current == Some(place) => ("now", Ink::Heading),
            Fate::Done => ("done", Ink::Good),
            Fate::Skipped => ("left out", Ink::Faint),
            Fate::Later(_) => ("later", Ink::Plain),
            Fate::Begun | Fate::Open => ("open", Ink::Plain),
        };
        page.line(&[
            (Ink::Figure, &format!("{:>3}  ", place + 1)),
            (ink, &format!("{word:<9} ")),
            (Ink::Plain, &step.title),
        ]);
    }
    page
}
