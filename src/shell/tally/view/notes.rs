//! Notes below a line.

use super::weight::weight;
use crate::market::tally::{Line, TallyItem};
use crate::market::{PriceSource, Tally};
use crate::quantity::Basis;

/// The notes of a line: its contents, then how its price was computed.
pub(super) fn notes(line: &Line, tally: &Tally) -> Vec<String> {
    let mut notes = vec![contents(line, tally)];
    notes.extend(line.items.iter().filter_map(regraded));
    notes.extend(price_notes(line, tally));
    notes
}

/// How the price and the weight of a line were computed, unless that is obvious.
pub(super) fn price_notes(line: &Line, tally: &Tally) -> Vec<String> {
    let (unit, notation) = (tally.yard.unit, tally.yard.notation);
    let mut notes = Vec::new();
    if let Some(mix) = &line.mix {
        let off = mix.percent_off.normalize();
        let less = if off.is_zero() { String::new() } else { format!(", {} % off", notation.show(off)) };
        notes.push(format!("mixed lot \"{}\" taken as {}{less}", mix.name, line.priced.priced_as));
    }
    if line.is_wider() {
        let own: Vec<&str> = line.grades().into_iter().filter(|grade| *grade != line.priced.priced_as).collect();
        notes.push(format!("priced as {}: no price of its own for {}", line.priced.priced_as, own.join(", ")));
    }
    if let Some(tier) = line.priced.tier {
        notes.push(format!("price from {} on", weight(tier, unit, notation)));
    }
    match &line.priced.source {
        PriceSource::Quote { date, .. } => notes.push(format!("quote of {date}")),
        PriceSource::Index { name, percent, date } => {
            notes.push(format!("{} % of {name} of {date}", notation.show(*percent)));
        }
        PriceSource::Module { .. } => {}
    }
    if let (Some(mass), Some(net)) = (line.mass, line.net)
        && mass != net
    {
        let (mass, net) = (weight(mass, unit, notation), weight(net, unit, notation));
        notes.push(format!("weighs {mass}; the yard's scale shows {net}"));
    }
    notes
}

/// The parts; with what each adds if there are several.
fn contents(line: &Line, tally: &Tally) -> String {
    let items: Vec<String> = line.items.iter().map(|item| content(item, line, tally)).collect();
    items.join(", ")
}

fn content(item: &TallyItem, line: &Line, tally: &Tally) -> String {
    let name =
        if item.remainder { format!("what is left of {} ({})", item.part, item.how.word()) } else { item.part.clone() };
    let several = line.items.len() > 1;
    if line.priced.price.basis() == Basis::Piece {
        return match item.pieces {
            0 => format!("{name} (not counted)"),
            pieces if several => format!("{name} {pieces} pc"),
            _ => name,
        };
    }
    match item.mass {
        Some(mass) if several => format!("{name} {}", weight(mass, tally.yard.unit, tally.yard.notation)),
        None if !item.remainder => format!("{name} (not weighed)"),
        _ => name,
    }
}

fn regraded(item: &TallyItem) -> Option<String> {
    let from = item.regraded_from.as_ref()?;
    Some(format!("{} turned out as {}, not {from}", item.part, item.grade))
}
