//! What a session freed, as lots of the stock.

use jiff::civil::Date;

use super::gather::gather;
use super::session::Session;
use crate::bench::Presence;
use crate::market::haul::{Haul, Host, How};
use crate::quantity::Mass;
use crate::stock::Lot;

/// What the remainder of a unit goes by, behind its session's name.
const REMAINDER: &str = "remainder of the unit";

/// The lots of a session: fractions that are out, and what is left of the unit and of opened parts, unless somebody
/// licensed took it. `division` is that of the person's scale, where they said what it is.
pub(super) fn lots(session: &Session<'_>, division: Option<Mass>) -> Vec<Lot> {
    let haul = gather(session.recipe(), session.run_result(), session.standing(), division);
    let mut lots = fractions(session, &haul, division);
    for remainder in &haul.remainders {
        let (name, taken) = match &remainder.of {
            Host::Unit => (REMAINDER, haul.handed_on.is_some()),
            Host::Part(part) => (part.as_str(), false),
        };
        let nothing = remainder.mass.is_some_and(|mass| mass <= Mass::ZERO);
        if let (Some(grade), false, false) = (&remainder.grade, taken, nothing) {
            let division = if remainder.how == How::Unknown { Mass::ZERO } else { haul.intake_division };
            lots.push(lot(session, name, grade, remainder.mass, division, remainder.pieces));
        }
    }
    lots
}

fn fractions(session: &Session<'_>, haul: &Haul, division: Option<Mass>) -> Vec<Lot> {
    let finest = |part: &str| match session.run_result().state.part(part).map(|part| part.presence) {
        Some(Presence::Weighed(reading)) => division.unwrap_or(reading.finest),
        _ => Mass::ZERO,
    };
    let fractions = haul.fractions.iter().map(|fraction| Lot {
        mixed_in: fraction.in_mix.map(|at| format!("{}: {}", session.id(), haul.mixes[at].name)),
        ..lot(session, &fraction.part, &fraction.grade, fraction.net, finest(&fraction.part), fraction.pieces)
    });
    fractions.collect()
}

fn lot(session: &Session<'_>, name: &str, grade: &str, mass: Option<Mass>, division: Mass, pieces: u32) -> Lot {
    Lot {
        id: format!("{}/{name}", session.id()),
        grade: grade.to_owned(),
        mass,
        division,
        pieces,
        bin: None,
        since: day(session),
        mixed_in: None,
    }
}

/// The person's own day on which the session began: its name begins with it.
fn day(session: &Session<'_>) -> Date {
    let day = |text: &str| text.get(..10).and_then(|day| day.parse().ok());
    day(session.id()).or_else(|| day(&session.header().started)).unwrap_or_default()
}
