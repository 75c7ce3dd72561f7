//! The answer to "what does it weigh?", as people write it.
//!
//! ```text
//! answer  = term { ( "+" | "-" | "less" ) term }
//! term    = [ count "x" ] thing | weight "x" count
//! thing   = weight | name of a container     (a container can only be taken off)
//! weight  = number [ unit ] { number unit }  (8 lb 2 oz: units descend)
//! number  = 3.6 | 1/2 | 8 1/2 | ½ | 8½
//! ```
//!
//! Nothing is guessed: what can be read in two ways is rejected with both readings.

mod compound;
mod fault;
mod fraction;
mod slip;
mod term;

#[cfg(test)]
mod tests;

use std::ops::Range;

use super::limits::QuantityError;
use super::mass::Mass;
use super::mass_unit::MassUnit;
use super::quoted::quoted;
use super::token::tokens;
use compound::WeightPart;
use fault::fault;
use term::{Parser, Term, Thing};

pub use fault::{WeighingError, WeighingFault};
pub use term::WeighingRules;

/// The longest accepted answer, in characters.
const MAX_CHARS: usize = 200;

/// A weight answer as it was understood.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Weighed {
    /// The weight of the goods; above zero.
    pub net: Mass,
    /// What was subtracted: containers and other weights, in total.
    pub tare: Mass,
    /// Number of pieces multiplied by a unit weight, over all such terms; 1 if there is none.
    pub pieces: u32,
    /// The unit for echoing: the first one named, else the default.
    pub unit: MassUnit,
    /// One unit in the last typed digit of the coarsest term: 0.1 kg for `3.6 kg`, half a pound for `8 1/2 lb`. The
    /// scale's division was most likely this or a small multiple of it. For a count × unit weight it is that of the
    /// unit weight; a named container has none.
    pub resolution: Mass,
}

/// Reads a weight answer.
///
/// # Errors
/// `WeighingError` with the offending place and what to write instead. It never repeats a control character.
pub fn weigh(text: &str, rules: &WeighingRules<'_>) -> Result<Weighed, WeighingError> {
    refuse_hostile(text)?;
    let tokens = tokens(text);
    if tokens.is_empty() {
        return Err(fault(0..text.len(), WeighingFault::Empty));
    }
    let terms = Parser::new(text, &tokens, rules).terms()?;
    total(text, &terms, rules)
}

/// Rejects an overlong answer, and characters that a terminal would obey.
fn refuse_hostile(text: &str) -> Result<(), WeighingError> {
    if let Some((at, _)) = text.char_indices().nth(MAX_CHARS) {
        return Err(fault(at..text.len(), WeighingFault::TooLong { limit: MAX_CHARS }));
    }
    match text.char_indices().find(|(_, c)| c.is_control() && *c != '\t') {
        Some((at, c)) => {
            let at = at..at + c.len_utf8();
            Err(fault(at.clone(), WeighingFault::Control { seen: quoted(&text[at]) }))
        }
        None => Ok(()),
    }
}

/// The whole answer from its terms.
fn total(text: &str, terms: &[Term], rules: &WeighingRules<'_>) -> Result<Weighed, WeighingError> {
    let unit = first_unit(terms).unwrap_or(rules.unit);
    let bare = unit_for_bare(terms, rules.unit);
    let (mut added, mut tare, mut resolution, mut pieces) = (Mass::ZERO, Mass::ZERO, Mass::ZERO, 0u32);
    for term in terms {
        let wrong = |error: QuantityError| fault(term.at.clone(), WeighingFault::Quantity(error));
        let one = match &term.thing {
            Thing::Container(mass) => *mass,
            Thing::Weight(parts) => {
                let bare = bare.ok_or_else(|| fault(term.at.clone(), no_unit(text, term, terms)));
                let (mass, step) = weight(parts, bare)?;
                resolution = resolution.max(step);
                mass
            }
        };
        let all = one.times(term.count.unwrap_or(1).into()).map_err(wrong)?;
        if term.taken_off {
            tare = tare.plus(all).map_err(wrong)?;
        } else {
            added = added.plus(all).map_err(wrong)?;
            pieces = pieces.saturating_add(term.count.unwrap_or(0));
        }
    }
    let whole = text_span(terms);
    let net = added.minus(tare).map_err(|e| fault(whole.clone(), WeighingFault::Quantity(e)))?;
    if net <= Mass::ZERO {
        return Err(fault(whole, WeighingFault::NotPositive { net: net.show_friendly(unit, rules.notation) }));
    }
    Ok(Weighed { net, tare, pieces: pieces.max(1), unit, resolution })
}

/// The weight of one thing and one unit in its last typed digit.
fn weight(parts: &[WeightPart], bare: Result<MassUnit, WeighingError>) -> Result<(Mass, Mass), WeighingError> {
    let (mut sum, mut step) = (Mass::ZERO, Mass::ZERO);
    for part in parts {
        let wrong = |error: QuantityError| fault(part.at.clone(), WeighingFault::Quantity(error));
        let unit = part.unit.map_or_else(|| bare.clone(), Ok)?;
        sum = Mass::of(part.number, unit).and_then(|mass| sum.plus(mass)).map_err(wrong)?;
        step = Mass::of(part.step, unit).map_err(wrong)?;
    }
    Ok((sum, step))
}

/// Every unit that the answer names, in order.
fn named_units(terms: &[Term]) -> impl Iterator<Item = MassUnit> + '_ {
    terms
        .iter()
        .flat_map(|term| match &term.thing {
            Thing::Weight(parts) => parts.as_slice(),
            Thing::Container(_) => &[],
        })
        .filter_map(|part| part.unit)
}

fn first_unit(terms: &[Term]) -> Option<MassUnit> {
    named_units(terms).next()
}

/// The unit of a number without one: the only unit the answer names, else the default; `None` if it names several.
fn unit_for_bare(terms: &[Term], default: MassUnit) -> Option<MassUnit> {
    let mut units = named_units(terms);
    match units.next() {
        None => Some(default),
        Some(first) => units.all(|unit| unit == first).then_some(first),
    }
}

fn no_unit(text: &str, term: &Term, terms: &[Term]) -> WeighingFault {
    let mut named: Vec<&str> = Vec::new();
    for unit in named_units(terms) {
        if !named.contains(&unit.symbol()) {
            named.push(unit.symbol());
        }
    }
    WeighingFault::NoUnit { term: quoted(&text[term.at.clone()]), named: named.join(" and ") }
}

/// From the first term to the last.
fn text_span(terms: &[Term]) -> Range<usize> {
    let start = terms.first().map_or(0, |term| term.at.start);
    start..terms.last().map_or(start, |term| term.at.end)
}
