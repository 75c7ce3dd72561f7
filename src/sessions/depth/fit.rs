//! The contents of a thing cannot weigh more than the thing.
//!
//! A recipe whose usual weights break this cannot be planned: the remainder would have negative weight, and every
//! figure would be fiction. At the bench the readings stand, and the parts still inside share the room they leave.

use std::collections::BTreeMap;

use rust_decimal::Decimal;

use crate::bench::{Presence, UnitState};
use crate::pricing::Valuation;
use crate::quantity::Mass;
use crate::recipe::{Freed, Recipe, Step};
use crate::world::AppError;

/// The smallest weight distinguished, in grams.
const ROUNDING: Decimal = Decimal::from_parts(1, 0, 0, false, 2);

/// The factor by which the expected weights of parts still inside are scaled to fit what holds them.
#[derive(Debug, Clone, Default)]
pub(super) struct Fit {
    shares: BTreeMap<String, Decimal>,
}

/// What a thing yields, each part once even if there are several ways to it; `None` is the unit.
fn contents(recipe: &Recipe) -> Vec<(Option<&str>, Vec<&Freed>)> {
    let mut hosts: Vec<(Option<&str>, Vec<&Freed>)> = Vec::new();
    for step in recipe.steps() {
        let host = step.opens.as_deref();
        if !hosts.iter().any(|(known, _)| *known == host) {
            hosts.push((host, Vec::new()));
        }
        let Some((_, parts)) = hosts.iter_mut().find(|(known, _)| *known == host) else { continue };
        for freed in &step.frees {
            if !parts.iter().any(|known| known.part == freed.part) {
                parts.push(freed);
            }
        }
    }
    hosts
}

impl Fit {
    /// Compares what has been weighed with what is expected of the rest.
    pub fn new(recipe: &Recipe, state: &UnitState, expected: impl Fn(&Freed) -> Mass) -> Fit {
        let mut fit = Fit::default();
        // A part's scaled weight limits what is inside it, so go from the outside in.
        let mut hosts = contents(recipe);
        let known = recipe.steps().iter().flat_map(|step| &step.frees);
        let known: Vec<&Freed> = known.collect();
        hosts.sort_by_key(|(host, _)| depth(recipe, *host));
        for (host, parts) in hosts {
            let holds = match host {
                None => state.intake.map(|reading| reading.net),
                Some(part) => weighed(state, part).or_else(|| {
                    let freed = known.iter().find(|freed| freed.part == part)?;
                    Mass::from_grams((expected(freed).grams() * fit.share(part)).round_dp(2)).ok()
                }),
            };
            let Some(holds) = holds else { continue };
            let out: Decimal = parts.iter().filter_map(|freed| weighed(state, &freed.part)).map(Mass::grams).sum();
            let inside: Vec<&&Freed> = parts.iter().filter(|freed| weighed(state, &freed.part).is_none()).collect();
            let wanted: Decimal = inside.iter().map(|freed| expected(freed).grams()).sum();
            let room = (holds.grams() - out).max(Decimal::ZERO);
            if wanted > room {
                // Each share is rounded to a hundredth of a gram; together they must not exceed the room.
                let room = (room - ROUNDING * Decimal::from(inside.len())).max(Decimal::ZERO);
                let share = room.checked_div(wanted).unwrap_or(Decimal::ZERO);
                fit.shares.extend(inside.iter().map(|freed| (freed.part.clone(), share)));
            }
        }
        fit
    }

    /// The factor for a part: 1 if there is room.
    pub fn share(&self, part: &str) -> Decimal {
        self.shares.get(part).copied().unwrap_or(Decimal::ONE)
    }
}

/// The weight found for a part; zero if it is out and had no weight.
fn weighed(state: &UnitState, part: &str) -> Option<Mass> {
    state.part(part).map(|free| match free.presence {
        Presence::Weighed(reading) => reading.net,
        Presence::TooLight | Presence::Absent => Mass::ZERO,
    })
}

/// Nesting depth inside the unit. It ends because recipes name a part before they open it.
fn depth(recipe: &Recipe, host: Option<&str>) -> usize {
    let mut depth = 0;
    let mut at = host;
    while let Some(part) = at {
        depth += 1;
        let frees = |step: &&Step| step.frees.iter().any(|freed| freed.part == part);
        at = recipe.steps().iter().find(frees).and_then(|step| step.opens.as_deref());
        if depth > recipe.steps().len() {
            break;
        }
    }
    depth
}

/// Rejects a recipe that takes more out of something than it usually weighs.
pub(super) fn usual_weights(recipe: &Recipe, valuation: &Valuation) -> Result<(), AppError> {
    let notation = valuation.notation;
    let show = |mass: Mass| mass.show_friendly(valuation.yard.unit(), notation);
    let usual = |part: &str| {
        let mut known = recipe.steps().iter().flat_map(|step| &step.frees);
        known.find(|freed| freed.part == part).map(|freed| freed.expected.usual())
    };
    for (host, parts) in contents(recipe) {
        let holds = host.map_or(Some(recipe.unit().weighs.usual()), usual);
        let sum = Mass::sum(parts.iter().map(|freed| freed.expected.usual()));
        let (Some(holds), Ok(sum)) = (holds, sum) else { continue };
        if sum <= holds {
            continue;
        }
        let steps = recipe.steps().iter().filter(|step| step.opens.as_deref() == host);
        let step_of = |part: &str| {
            let mut steps = steps.clone();
            steps.find(|step| step.frees.iter().any(|freed| freed.part == part)).map_or("", |step| step.id.as_str())
        };
        let list = parts
            .iter()
            .map(|freed| format!("{} {} by step `{}`", freed.part, show(freed.expected.usual()), step_of(&freed.part)));
        let what = host.map_or("the unit".to_owned(), |part| format!("`{part}`"));
        return Err(AppError::Refused(format!(
            "this recipe cannot be planned: {what} usually weighs {}, but {} are taken out of it: {}; correct the usual \
             weights, and `check` the recipe",
            show(holds),
            show(sum),
            list.collect::<Vec<_>>().join(", "),
        )));
    }
    Ok(())
}
