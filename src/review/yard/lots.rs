//! Tests a yard's mixed-lot rule on sample lots of two grades.

use std::collections::{BTreeMap, BTreeSet};

use rust_decimal::Decimal;

use super::YardPlaces;
use crate::market::{GradeTree, MixVerdict, MixedLot, MixedPart, Offer, Yard};
use crate::quantity::{Basis, Mass, Price};
use crate::review::finding::{Finding, Severity};

/// The result of testing the rule.
#[derive(Debug, Default)]
pub struct Lots {
    /// What was found.
    pub findings: Vec<Finding>,
    /// Sample lots judged.
    pub judged: u64,
    /// Why some sample lots were not judged.
    pub left: Option<String>,
}

/// Parts of a sample lot in grams: half and half, and nearly all of one grade.
const MIXES: [(u32, u32); 3] = [(10_000, 10_000), (19_800, 200), (200, 19_800)];

/// Judges a lot of every two grades that the yard prices, and of each with one it does not, in three mixes. `spent`
/// says why no more lots may be judged, once a limit is reached.
pub fn judge_samples(yard: &Yard, tree: &GradeTree, places: &YardPlaces, spent: &dyn Fn() -> Option<String>) -> Lots {
    let mut lots = Lots::default();
    let Some(rule) = yard.mixed_rule() else { return lots };
    let mut kinds: Vec<(&str, Option<Price>)> =
        yard.offers().map(|offer| (offer.grade(), Some(offer.price()))).collect();
    let unpriced = tree.iter().find(|grade| tree.lineage(&grade.id).all(|wider| yard.offer(&wider.id).is_none()));
    kinds.extend(unpriced.map(|grade| (grade.id.as_str(), None)));
    let mut seen: BTreeMap<String, (Finding, u64)> = BTreeMap::new();
    'lots: for (at, one) in kinds.iter().enumerate() {
        for other in &kinds[at + 1..] {
            for mix in MIXES {
                if let Some(why) = spent() {
                    lots.left = Some(why);
                    break 'lots;
                }
                let Some(lot) = sample([*one, *other], mix) else { continue };
                lots.judged += 1;
                if let Some(finding) = judge(yard, tree, places, &lot, &rule.judge(&lot)) {
                    seen.entry(kind_of(&finding)).or_insert((finding, 0)).1 += 1;
                }
            }
        }
    }
    lots.findings = seen.into_values().map(|(finding, times)| counted(finding, times)).collect();
    lots
}

/// One finding stands for all that differ only in the sample lot.
fn kind_of(finding: &Finding) -> String {
    let what = finding.message.split_once(": ").map_or("", |(_, what)| what);
    // Backquoted text names the sample; only the words around it show the kind.
    what.split('`').step_by(2).collect()
}

fn counted(finding: Finding, times: u64) -> Finding {
    let more = if times > 1 { format!(" (and {} more sample lots)", times - 1) } else { String::new() };
    Finding { message: format!("{}{more}", finding.message), ..finding }
}

fn sample(kinds: [(&str, Option<Price>); 2], mix: (u32, u32)) -> Option<MixedLot> {
    let part = |(grade, price): (&str, Option<Price>), grams: u32| {
        let mass = Mass::from_grams(Decimal::from(grams)).ok()?;
        Some(MixedPart { grade: grade.to_owned(), mass, pieces: 1, price })
    };
    let contents = vec![part(kinds[0], mix.0)?, part(kinds[1], mix.1)?];
    let mass = Mass::sum(contents.iter().map(|part| part.mass)).ok()?;
    Some(MixedLot::new(contents, mass))
}

fn judge(
    yard: &Yard,
    tree: &GradeTree,
    places: &YardPlaces,
    lot: &MixedLot,
    verdict: &Result<MixVerdict, String>,
) -> Option<Finding> {
    let contents = lot.contents();
    let names: Vec<String> = contents.iter().map(|part| format!("{} `{}`", part.mass, part.grade)).collect();
    let found = |severity, what: String, hint: &str| {
        Some(Finding::new(severity, "mixed", places.mixed, format!("a lot of {}: {what}", names.join(" and ")), hint))
    };
    let (grade, off) = match verdict {
        Err(message) => return found(Severity::Error, message.clone(), "a rule must give a verdict for every lot"),
        Ok(MixVerdict::Refused(_)) => return None,
        Ok(MixVerdict::AsGrade(grade)) => (grade, Decimal::ZERO),
        Ok(MixVerdict::AsGradeLess(grade, off)) => (grade, *off),
    };
    let inside: BTreeSet<&str> = contents.iter().map(|part| part.grade.as_str()).collect();
    let Some(offer) = tree.lineage(grade).find_map(|wider| yard.offer(&wider.id)) else {
        if contents.iter().any(|part| part.price.is_none()) {
            return None;
        }
        return found(
            Severity::Warning,
            format!("bought as `{grade}`, which this yard does not price"),
            "then it is unsold: refuse it with lot.refuse(…)",
        );
    };
    let paid =
        per_gram(offer)?.checked_mul(Decimal::ONE_HUNDRED.checked_sub(off)?)?.checked_div(Decimal::ONE_HUNDRED)?;
    let best = inside
        .iter()
        .map(|grade| yard.offer(grade).and_then(per_gram))
        .collect::<Option<Vec<_>>>()?
        .into_iter()
        .max()?;
    if paid <= best {
        return None;
    }
    found(
        Severity::Warning,
        format!("bought as `{grade}`, for more than either grade brings when sorted"),
        "look at what the rule gives for it",
    )
}

/// The price by weight, for comparison; `None` for one by the piece.
fn per_gram(offer: &Offer) -> Option<Decimal> {
    match offer.price().basis() {
        Basis::Weight(unit) => offer.price().amount().checked_div(unit.grams()),
        Basis::Piece => None,
    }
}
