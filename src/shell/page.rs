//! Pages of a session: the current step, the question, a hazard, what was understood, the end.

mod ahead;
mod ending;
mod figures;
mod hazard;
mod question;
mod step;

pub use ending::{annex_item, ending, unfit};
pub use figures::{range, signed, signed_digits};
pub use hazard::{hazard, hazard_json, hazard_named};
pub use question::{is_doubtful, offers, played, question, trust, understood, why};
pub use step::{instructions, step};

use super::ink::{Ink, Page};
use crate::bench::Fate;
use crate::sessions::Session;
use crate::world::{ListedScript, Origin};

/// Whether a script is the user's own, not one shipped with the program.
pub(super) fn is_own(listed: &ListedScript) -> bool {
    matches!(listed.origin, Origin::Own(_))
}

/// All steps and their states.
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
