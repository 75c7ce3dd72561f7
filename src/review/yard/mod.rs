//! Reviews a yard: its prices, its dates, its rule for mixed lots.

mod lots;
mod places;

#[cfg(test)]
mod tests;

use std::collections::BTreeSet;

use jiff::civil::Date;

use super::finding::{Finding, Severity};
use crate::market::{GradeTree, Offer, Yard};
use crate::quantity::{Mass, Notation};

pub use lots::judge_samples;
pub use places::YardPlaces;

/// Prices older than this many days get a remark.
const OLD: i32 = 365;

/// The most grades named in one sentence.
const NAMED: usize = 8;

/// All findings from a yard's declarations on the day `today`.
pub fn review(yard: &Yard, places: &YardPlaces, today: Date) -> Vec<Finding> {
    let mut found = Vec::new();
    dates(yard, places, today, &mut found);
    for offer in yard.offers() {
        tiers(yard, offer, places, &mut found);
        minimum(yard, offer, places, &mut found);
        // A zero price is fine for what is bought; a zero charge is a slip.
        if offer.price().amount().is_zero() && places.is_charge(offer.grade()) {
            let message = format!("the charge for `{}` is nothing", offer.grade());
            found.push(warning(
                "charge",
                places.of(offer.grade()),
                message,
                "write the amount, or buys(…, 0) for what is taken for nothing",
            ));
        }
    }
    if yard.author().is_empty() {
        let message = "the yard names no author: nobody can be asked about its prices";
        found.push(Finding::new(Severity::Note, "imprint", places.declared, message, "add .author(\"…\")"));
    }
    found
}

fn warning(rule: &'static str, mark: crate::recipe::Mark, message: String, hint: impl Into<String>) -> Finding {
    Finding::new(Severity::Warning, rule, mark, message, hint)
}

/// There must be one date, before all prices, neither in the future nor long past.
fn dates(yard: &Yard, places: &YardPlaces, today: Date, found: &mut Vec<Finding>) {
    let undated = places.undated();
    if let Some((first, mark)) = undated.first() {
        let others = if undated.len() > 1 { format!(" and {} more", undated.len() - 1) } else { String::new() };
        let message = format!("the price of `{first}`{others} stands before the date");
        found.push(warning("date", *mark, message, "write as_of(\"year-month-day\") before the first price"));
    }
    if let Some(second) = places.dates().get(1) {
        let message = format!("a second date: all prices of a yard count as of one day, here {}", yard.as_of());
        found.push(warning("date", *second, message, "keep one as_of(…); enter later prices with `quote`"));
    }
    let mark = places.dates().last().copied().unwrap_or(places.declared);
    let age = today.since(yard.as_of()).map_or(0, |span| span.get_days());
    if age < 0 {
        let message = format!("the prices are of {}, and today is {today}", yard.as_of());
        found.push(warning("date", mark, message, "write the day on which the prices were taken down"));
    } else if age > OLD {
        let message = format!("the prices are {age} days old");
        found.push(Finding::new(Severity::Note, "date", mark, message, "ask the yard, and enter what it pays today"));
    }
}

/// Tiers that fall, and tiers that change nothing.
fn tiers(yard: &Yard, offer: &Offer, places: &YardPlaces, found: &mut Vec<Finding>) {
    let show = |mass: Mass| mass.show(yard.unit(), 3, yard.notation());
    let below = std::iter::once(offer.price()).chain(offer.tiers().iter().map(|tier| tier.price));
    for (number, (tier, below)) in offer.tiers().iter().zip(below).enumerate() {
        let mark = places.tier_of(offer.grade(), number);
        let (now, before) = (tier.price.show(Notation::Point), below.show(Notation::Point));
        let from = show(tier.from);
        if tier.price.amount() < below.amount() {
            let message = format!("`{}` falls from {before} to {now} for {from} and more", offer.grade());
            found.push(warning(
                "tier",
                mark,
                message,
                "a heavier lot seldom brings less by weight: look at the order and the digits",
            ));
        } else if tier.price.amount() == below.amount() {
            let message = format!("the tier of `{}` from {from} changes nothing: {now} as before", offer.grade());
            found.push(warning("tier", mark, message, "take the tier out, or correct its price"));
        }
    }
}

/// Minimum lots that exclude nothing, or make a price useless.
fn minimum(yard: &Yard, offer: &Offer, places: &YardPlaces, found: &mut Vec<Finding>) {
    let Some(least) = offer.minimum() else { return };
    let show = |mass: Mass| mass.show(yard.unit(), 3, yard.notation());
    let mark = places.minimum_of(offer.grade());
    let grade = offer.grade();
    if offer.is_charge() {
        let message =
            format!("a charge for `{grade}` with a smallest lot: less than {} would be taken by nobody", show(least));
        found.push(warning("minimum", mark, message, "take .at_least(…) out of the charge"));
    } else if let Some(tier) = offer.tiers().iter().find(|tier| tier.from <= least) {
        let message = format!(
            "`{grade}` is bought from {} on, where the tier from {} holds: the price below is never paid",
            show(least),
            show(tier.from)
        );
        found.push(warning(
            "minimum",
            mark,
            message,
            "give the price that holds at the smallest lot, without that tier",
        ));
    } else if yard.division().is_some_and(|division| least <= division) {
        let message =
            format!("the smallest lot of `{grade}`, {}, is no more than one division of the yard's scale", show(least));
        found.push(warning("minimum", mark, message, "take it out, or look at its unit"));
    }
}

/// Grades a yard prices that none of these grades would be sold as there. Ignores names that are not grades.
pub fn unreached(yard: &Yard, tree: &GradeTree, grades: &BTreeSet<String>, places: &YardPlaces) -> Option<Finding> {
    let sold_as = |grade: &String| {
        tree.lineage(grade).find(|wider| yard.offer(&wider.id).is_some()).map(|wider| wider.id.as_str())
    };
    let reached: BTreeSet<&str> = grades.iter().filter_map(sold_as).collect();
    let idle: Vec<&str> = yard.offers().map(Offer::grade).filter(|grade| !reached.contains(grade)).collect();
    if idle.is_empty() {
        return None;
    }
    let named = idle[..idle.len().min(NAMED)].join(", ");
    let more = if idle.len() > NAMED { format!(" and {} more", idle.len() - NAMED) } else { String::new() };
    let message =
        format!("{} of its {} prices serve no recipe that you have: {named}{more}", idle.len(), yard.offers().count());
    Some(Finding::new(Severity::Note, "unreached", places.declared, message, "no fault: they wait for other units"))
}
