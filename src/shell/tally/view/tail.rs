//! What comes below the table.

use super::weight::weight;
use crate::market::Tally;
use crate::market::tally::{BalanceVerdict, UnsoldItem};
use crate::shell::ink::Ink;

/// A titled list.
pub(in crate::shell::tally) struct TailBlock {
    pub(in crate::shell::tally) title: String,
    pub(in crate::shell::tally) facts: Vec<(Ink, String)>,
}

/// The lists below the table: unsold items, costs in other currencies, weights.
pub(in crate::shell::tally) fn tail(tally: &Tally) -> Vec<TailBlock> {
    let mut blocks = Vec::new();
    if !tally.unsold.is_empty() {
        let facts = tally.unsold.iter().map(|item| (Ink::Caution, unsold(item, tally))).collect();
        blocks.push(TailBlock { title: "Unsold here (in no sum)".into(), facts });
    }
    let foreign = tally.costs.iter().filter(|cost| !cost.counted);
    let foreign: Vec<_> = foreign
        .map(|cost| (Ink::Caution, format!("{}: {}", cost.name, cost.amount.show(tally.yard.notation))))
        .collect();
    if !foreign.is_empty() {
        blocks.push(TailBlock { title: "In another currency (not converted, in no sum)".into(), facts: foreign });
    }
    blocks.push(TailBlock { title: "Weights".into(), facts: weights(tally) });
    blocks
}

fn unsold(item: &UnsoldItem, tally: &Tally) -> String {
    let (unit, notation) = (tally.yard.unit, tally.yard.notation);
    let what = if item.remainder { format!("what is left of {}", item.part) } else { item.part.clone() };
    let grade = item.grade.as_ref().map(|grade| format!(", {grade}")).unwrap_or_default();
    let mass = item.mass.map(|mass| format!(", {}", weight(mass, unit, notation))).unwrap_or_default();
    format!("{what}{grade}{mass}: {}", item.reason.words(notation))
}

fn weights(tally: &Tally) -> Vec<(Ink, String)> {
    let (unit, notation, balance) = (tally.yard.unit, tally.yard.notation, &tally.balance);
    let intake = tally.intake.map_or_else(|| "not weighed".into(), |mass| weight(mass, unit, notation));
    let mut facts = vec![(Ink::Plain, format!("Intake: {intake}"))];
    let mut words = format!("Balance {}", balance.verdict.words());
    if let (Some(gap), Some(z)) = (balance.gap, balance.z) {
        let z = format!("{z:.1}").replace('.', &notation.mark().to_string());
        words.push_str(&format!(" (gap {}, {z} times what the scales explain)", weight(gap, unit, notation)));
    }
    let ink = if balance.verdict == BalanceVerdict::DoesNotClose { Ink::Caution } else { Ink::Plain };
    facts.push((ink, words));
    if let Some(recovery) = &tally.recovery {
        let metal = weight(recovery.metal, unit, notation);
        facts.push((
            Ink::Plain,
            format!("Recovery: {metal} of metal, {} % of the intake", notation.show(recovery.percent)),
        ));
    }
    facts
}
