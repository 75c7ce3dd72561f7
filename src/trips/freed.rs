//! The lots that a session adds to the stock.

use jiff::civil::Date;

use crate::market::haul::{Haul, RemainderOf, WeightSource};
use crate::quantity::Mass;
use crate::stock::Lot;
use crate::store::journal::SessionHeader;

/// Suffix of a unit's remainder, after its session's name.
const REMAINDER: &str = "remainder of the unit";

/// The lots of a session: fractions that are out, and what is left of the unit and of opened parts, unless a licensed
/// person took it.
pub(crate) fn lots(header: &SessionHeader, haul: &Haul) -> Vec<Lot> {
    let lot = |name: &str, grade: &str, mass: Option<Mass>, division: Mass, pieces: u32| Lot {
        id: format!("{}/{name}", header.id),
        grade: grade.to_owned(),
        mass,
        division,
        pieces,
        bin: None,
        since: day(header),
        mixed_in: None,
    };
    let fractions = haul.fractions.iter().map(|fraction| Lot {
        mixed_in: fraction.in_mix.map(|at| format!("{}: {}", header.id, haul.mixes[at].name)),
        ..lot(&fraction.part, &fraction.grade, fraction.net, fraction.division, fraction.pieces)
    });
    let remainders = haul.remainders.iter().filter_map(|remainder| {
        let (name, taken) = match &remainder.of {
            RemainderOf::Unit => (REMAINDER, haul.handed_on.is_some()),
            RemainderOf::Part(part) => (part.as_str(), false),
        };
        let nothing = remainder.mass.is_some_and(|mass| mass <= Mass::ZERO);
        let grade = remainder.grade.as_deref().filter(|_| !taken && !nothing)?;
        let division = if remainder.how == WeightSource::Unknown { Mass::ZERO } else { haul.intake_division };
        Some(lot(name, grade, remainder.mass, division, remainder.pieces))
    });
    fractions.chain(remainders).collect()
}

/// The local day on which the session began: its name starts with it.
fn day(header: &SessionHeader) -> Date {
    let day = |text: &str| text.get(..10).and_then(|day| day.parse().ok());
    day(&header.id).or_else(|| day(&header.started)).unwrap_or_default()
}
