//! What went to the yard and came home again: a pile sold in part.

use super::{Interview, Prompt, ask};
use crate::market::Tally;
use crate::market::tally::Line;
use crate::market::ticket::{Ticket, TicketLine, key};
use crate::market::tolerance::tolerance;
use crate::pricing::Valuation;
use crate::quantity::{Basis, Mass, WeighingRules, read_count, weigh};
use crate::stock::{Lot, Rest};
use crate::world::AppError;

use rust_decimal::Decimal;

/// The word for nothing.
const NONE: &str = "none";

/// What came home of one expected line.
pub(super) enum Back {
    /// A weight.
    Mass(Mass),
    /// Pieces.
    Pieces(u32),
}

/// Asks what is still there, for each line where the ticket falls short of what was taken by more than both scales
/// allow. `own` is the tolerance of the user's own scale for each expected line. Returns the lines by key.
pub(super) fn ask_rest(
    valuation: &Valuation,
    expected: &Tally,
    ticket: &Ticket,
    own: &[Mass],
    who: &mut dyn Interview,
) -> Result<Vec<(String, Back)>, AppError> {
    let mut found = Vec::new();
    for (line, own) in expected.lines.iter().zip(own).filter(|(line, _)| line.mix.is_none()) {
        let key = key(line);
        let paid: Vec<&TicketLine> =
            ticket.lines.iter().filter(|paid| paid.pays_for.as_deref() == Some(&key)).collect();
        let back = match line.priced.price.basis() {
            _ if paid.is_empty() => None,
            Basis::Piece => pieces(line, &key, &paid, who)?,
            Basis::Weight(_) => mass(valuation, line, &key, &paid, *own, who)?,
        };
        found.extend(back.map(|back| (key, back)));
    }
    Ok(found)
}

fn mass(
    valuation: &Valuation,
    line: &Line,
    key: &str,
    paid: &[&TicketLine],
    own: Mass,
    who: &mut dyn Interview,
) -> Result<Option<Back>, AppError> {
    let (yard, notation) = (&valuation.yard, valuation.notation);
    let weighed = paid.iter().map(|paid| paid.mass).collect::<Option<Vec<Mass>>>();
    let (Some(ours), Some(weighed)) = (line.mass, weighed) else { return Ok(None) };
    let division = yard.division().unwrap_or_default();
    let allowed = Mass::sum(weighed.iter().map(|mass| tolerance(*mass, division)).chain([own]));
    let theirs = Mass::sum(weighed);
    let (Ok(theirs), Ok(allowed)) = (theirs, allowed) else { return Ok(None) };
    if theirs.plus(allowed).is_ok_and(|most| most >= ours) {
        return Ok(None);
    }
    let show = |mass: Mass| mass.show(yard.unit(), 3, notation);
    let text = format!(
        "{}: you took {}, the ticket has {}. How much of it is still yours? A weight, or {NONE} if all is gone",
        line.priced.name,
        show(ours),
        show(theirs)
    );
    let rules = WeighingRules { notation, unit: yard.unit(), tare: &|_| None };
    ask(who, &question(key, text), |text| {
        if text.eq_ignore_ascii_case(NONE) {
            return Ok(None);
        }
        let read = weigh(text, &rules).map_err(|error| error.to_string())?;
        match read.net {
            back if back < ours && back > Mass::ZERO => Ok(Some(Back::Mass(back))),
            _ => Err(format!("it is above zero and below {}; or write {NONE}", show(ours))),
        }
    })
}

fn pieces(line: &Line, key: &str, paid: &[&TicketLine], who: &mut dyn Interview) -> Result<Option<Back>, AppError> {
    let counted = paid.iter().fold(0_u32, |sum, paid| sum.saturating_add(paid.pieces));
    if counted == 0 || counted >= line.pieces {
        return Ok(None);
    }
    let text = format!(
        "{}: you took {} pieces, the ticket has {counted}. How many are still yours? A number, or {NONE}",
        line.priced.name, line.pieces
    );
    ask(who, &question(key, text), |text| {
        if text.eq_ignore_ascii_case(NONE) {
            return Ok(None);
        }
        match read_count(text).map_err(|error| error.to_string())? {
            back if back > 0 && back < line.pieces => Ok(Some(Back::Pieces(back))),
            _ => Err(format!("it is above zero and below {}; or write {NONE}", line.pieces)),
        }
    })
}

/// No default: nobody may guess whether goods are sold.
fn question(key: &str, text: String) -> Prompt {
    Prompt { key: format!("rest/{key}"), text, default: None, words: vec![(NONE.to_owned(), String::new())] }
}

/// The lots without what came home, and the remainders of those sold in part. The oldest count as sold first, so a lot
/// that came home whole is the youngest of its line.
pub(super) fn without(taken: Vec<Lot>, expected: &Tally, brought: &[(String, Back)]) -> (Vec<Lot>, Vec<Rest>) {
    let mut sold = taken;
    let mut rest = Vec::new();
    for (name, back) in brought {
        let Some(line) = expected.lines.iter().find(|line| key(line) == *name) else { continue };
        let of_line = |lot: &Lot| line.items.iter().any(|item| item.part == lot.id);
        let mut places: Vec<usize> = (0..sold.len()).filter(|at| of_line(&sold[*at])).collect();
        places.sort_by_key(|at| std::cmp::Reverse((sold[*at].since, *at)));
        let mut home = Vec::new();
        match back {
            Back::Mass(mass) => keep_mass(&mut sold, &places, *mass, &mut rest, &mut home),
            Back::Pieces(pieces) => keep_pieces(&mut sold, &places, *pieces, &mut rest, &mut home),
        }
        sold.retain(|lot| !home.contains(&lot.id));
    }
    (sold, rest)
}

fn keep_mass(sold: &mut [Lot], places: &[usize], mass: Mass, rest: &mut Vec<Rest>, home: &mut Vec<String>) {
    let mut left = mass;
    for at in places {
        let lot = &mut sold[*at];
        let Some(weight) = lot.mass.filter(|_| left > Mass::ZERO) else { continue };
        if weight <= left {
            left = left.minus(weight).unwrap_or_default();
            home.push(lot.id.clone());
            continue;
        }
        // Nobody counted the pieces taken out by weight.
        rest.push(Rest { lot: lot.id.clone(), mass: Some(left), pieces: 0 });
        lot.mass = weight.minus(left).ok();
        left = Mass::ZERO;
    }
}

fn keep_pieces(sold: &mut [Lot], places: &[usize], pieces: u32, rest: &mut Vec<Rest>, home: &mut Vec<String>) {
    let mut left = pieces;
    for at in places {
        let lot = &mut sold[*at];
        if left == 0 || lot.pieces == 0 {
            continue;
        }
        if lot.pieces <= left {
            left -= lot.pieces;
            home.push(lot.id.clone());
            continue;
        }
        // The pieces of a lot are assumed alike, so its weight is split by their number.
        let share = Decimal::from(left) / Decimal::from(lot.pieces);
        let stays = lot.mass.and_then(|mass| Mass::from_grams((mass.grams() * share).round_dp(3)).ok());
        rest.push(Rest { lot: lot.id.clone(), mass: stays, pieces: left });
        lot.mass = lot.mass.zip(stays).and_then(|(mass, stays)| mass.minus(stays).ok());
        lot.pieces -= left;
        left = 0;
    }
}
