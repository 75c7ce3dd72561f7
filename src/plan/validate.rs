//! Validates a problem before anything is computed from it.

use super::data::{MILLICENTS_PER_CENT, PlanStep, ProblemData};
use super::structure::Structure;

/// Why a problem is rejected.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum ProblemFault {
    /// There are no items.
    #[error("there are no items; item 0 must be the whole unit")]
    NoItems,
    /// Ids must follow the order of the list.
    #[error("{what} at position {position} has id {id}; ids must count up from 0")]
    Numbering {
        /// "item" or "step".
        what: &'static str,
        /// Its position.
        position: usize,
        /// Its id.
        id: usize,
    },
    /// Something names an item that does not exist.
    #[error("{place} names item {item}, but items go from 0 to {last}")]
    UnknownItem {
        /// Who names it.
        place: String,
        /// The item named.
        item: usize,
        /// The last item there is.
        last: usize,
    },
    /// Something names a step that does not exist.
    #[error("{place} names step {step}, but there are {count} steps, counted from 0")]
    UnknownStep {
        /// Who names it.
        place: String,
        /// The step named.
        step: usize,
        /// How many steps there are.
        count: usize,
    },
    /// A grade has no price.
    #[error("{place} has grade \"{grade}\", which has no price; add it to `grades`")]
    UnpricedGrade {
        /// Who has it.
        place: String,
        /// The grade.
        grade: String,
    },
    /// An item's place makes no sense.
    #[error("item {item}: {why}")]
    Item {
        /// The item.
        item: usize,
        /// What is wrong and what to do.
        why: String,
    },
    /// A step makes no sense.
    #[error("step {step}: {why}")]
    Step {
        /// The step.
        step: usize,
        /// What is wrong and what to do.
        why: String,
    },
    /// Steps that no order of work reaches.
    #[error("steps {steps:?} can never run: what they need waits for themselves; look for a circle among them")]
    NeverRuns {
        /// The steps.
        steps: Vec<usize>,
    },
    /// The hourly value of time is not an integer number of millicents per minute.
    #[error(
        "value of time {cents} cents per hour is not a whole number of millicents per minute; use a multiple of 3 (and not below 0)"
    )]
    ValueOfTime {
        /// The value seen.
        cents: i64,
    },
    /// The time cap is negative.
    #[error("time cap of {minutes} minutes is below 0")]
    TimeCap {
        /// The value seen.
        minutes: i64,
    },
    /// Masses, prices, costs or minutes so large that exact sums would overflow.
    #[error(
        "masses, prices, costs and minutes together are too large to add up exactly; check the units (grams, cents per kg, minutes)"
    )]
    TooLarge,
}

/// Checks that everything named exists and makes sense where it is.
pub(super) fn references(data: &ProblemData) -> Result<(), ProblemFault> {
    if data.items.is_empty() {
        return Err(ProblemFault::NoItems);
    }
    if let Some(minutes) = data.time_cap_minutes.filter(|&m| m < 0) {
        return Err(ProblemFault::TimeCap { minutes });
    }
    items(data)?;
    (0..data.steps.len()).try_for_each(|s| step(data, s))?;
    contents(data)?;
    data.rules.iter().enumerate().try_for_each(|(r, rule)| {
        let place = format!("rule {r}");
        known_item(data, &place, rule.item)?;
        rule.all_of.iter().try_for_each(|&s| known_step(data, &place, s))?;
        priced(data, &place, &rule.grade)
    })
}

fn items(data: &ProblemData) -> Result<(), ProblemFault> {
    for (position, item) in data.items.iter().enumerate() {
        let fault = |why: String| Err(ProblemFault::Item { item: position, why });
        if item.id != position {
            return Err(ProblemFault::Numbering { what: "item", position, id: item.id });
        }
        if item.mass_g < 0 {
            return fault(format!("mass of {} g is below 0", item.mass_g));
        }
        match item.host {
            None if position > 0 => return fault("has no host; only item 0, the whole unit, has none".into()),
            Some(host) if position == 0 => return fault(format!("is the whole unit but sits in item {host}")),
            Some(host) if host == position => return fault("sits in itself".into()),
            Some(host) => known_item(data, &format!("item {position}"), host)?,
            None => {}
        }
    }
    let whole = data.items[0].grade.as_deref();
    match whole {
        Some(grade) => priced(data, "item 0", grade)?,
        None => return Err(ProblemFault::Item { item: 0, why: "the whole unit has no grade".into() }),
    }
    rooted(data)
}

/// Every chain of hosts must end at item 0.
fn rooted(data: &ProblemData) -> Result<(), ProblemFault> {
    let mut rooted = vec![false; data.items.len()];
    rooted[0] = true;
    for start in 0..data.items.len() {
        let mut chain = vec![start];
        while let Some(host) = chain.last().filter(|&&i| !rooted[i]).and_then(|&i| data.items[i].host) {
            if chain.len() > data.items.len() {
                let why = "sits in a circle of hosts that never reaches item 0".into();
                return Err(ProblemFault::Item { item: start, why });
            }
            chain.push(host);
        }
        chain.into_iter().for_each(|i| rooted[i] = true);
    }
    Ok(())
}

fn step(data: &ProblemData, position: usize) -> Result<(), ProblemFault> {
    let step = &data.steps[position];
    let place = format!("step {position}");
    let fault = |why: String| Err(ProblemFault::Step { step: position, why });
    if step.id != position {
        return Err(ProblemFault::Numbering { what: "step", position, id: step.id });
    }
    if step.minutes < 1 {
        return fault(format!("takes {} minutes; it must take at least 1", step.minutes));
    }
    known_item(data, &place, step.host)?;
    for group in &step.requires {
        if group.is_empty() {
            return fault("has an empty group of prerequisites, which nothing can satisfy; remove it".into());
        }
        group.iter().try_for_each(|&s| known_step(data, &place, s))?;
    }
    frees(data, step, &place)
}

fn frees(data: &ProblemData, step: &PlanStep, place: &str) -> Result<(), ProblemFault> {
    let fault = |why: String| Err(ProblemFault::Step { step: step.id, why });
    for (n, freed) in step.frees.iter().enumerate() {
        known_item(data, place, freed.item)?;
        priced(data, place, &freed.grade)?;
        let host = data.items[freed.item].host;
        if freed.item == step.host {
            return fault(format!("is done on item {} and frees the same item", freed.item));
        }
        if host != Some(step.host) {
            let seat = host.map_or("nothing".into(), |h| format!("item {h}"));
            return fault(format!("is done on item {} but frees item {}, which sits in {seat}", step.host, freed.item));
        }
        if step.frees[..n].iter().any(|f| f.item == freed.item) {
            return fault(format!("frees item {} twice", freed.item));
        }
    }
    Ok(())
}

/// Parts must not weigh more than what contains them.
fn contents(data: &ProblemData) -> Result<(), ProblemFault> {
    let mut inside = vec![0_i128; data.items.len()];
    let mut freed = vec![false; data.items.len()];
    data.steps.iter().flat_map(|s| &s.frees).for_each(|f| freed[f.item] = true);
    for item in data.items.iter().filter(|i| freed[i.id]) {
        item.host.into_iter().for_each(|h| inside[h] += i128::from(item.mass_g));
    }
    match data.items.iter().find(|i| inside[i.id] > i128::from(i.mass_g)) {
        None => Ok(()),
        Some(item) => Err(ProblemFault::Item {
            item: item.id,
            why: format!("weighs {} g but {} g are taken out of it", item.mass_g, inside[item.id]),
        }),
    }
}

fn known_item(data: &ProblemData, place: &str, item: usize) -> Result<(), ProblemFault> {
    if item < data.items.len() {
        return Ok(());
    }
    Err(ProblemFault::UnknownItem { place: place.into(), item, last: data.items.len() - 1 })
}

fn known_step(data: &ProblemData, place: &str, step: usize) -> Result<(), ProblemFault> {
    if step < data.steps.len() {
        return Ok(());
    }
    Err(ProblemFault::UnknownStep { place: place.into(), step, count: data.steps.len() })
}

fn priced(data: &ProblemData, place: &str, grade: &str) -> Result<(), ProblemFault> {
    if data.grades.contains_key(grade) {
        return Ok(());
    }
    Err(ProblemFault::UnpricedGrade { place: place.into(), grade: grade.into() })
}

/// Millicents per minute for a value of time in cents per hour: cents × 1000 ÷ 60.
pub(super) fn minute_value(cents: i64) -> Result<i64, ProblemFault> {
    let fault = ProblemFault::ValueOfTime { cents };
    if cents < 0 || cents % 3 != 0 {
        return Err(fault);
    }
    (cents / 3).checked_mul(MILLICENTS_PER_CENT / 20).ok_or(fault)
}

/// Every step must be reachable by some order of work, ignoring that two ways to free a part exclude each other.
pub(super) fn runnable(data: &ProblemData, structure: &Structure) -> Result<(), ProblemFault> {
    if let Some(step) = data.steps.iter().find(|s| s.host != 0 && structure.freed_by[s.host].is_none()) {
        let why = format!("is done on item {}, which no step frees", step.host);
        return Err(ProblemFault::Step { step: step.id, why });
    }
    let (reached, _) = super::waiting::reachable(structure, |_| true);
    let steps: Vec<usize> = (0..data.steps.len()).filter(|&s| !reached[s]).collect();
    if steps.is_empty() { Ok(()) } else { Err(ProblemFault::NeverRuns { steps }) }
}

/// Values and their differences must fit an i64, and the solvers' products an i128. Returns a limit on the size of any
/// value.
pub(super) fn magnitudes(data: &ProblemData, structure: &Structure, minute_value: i64) -> Result<i64, ProblemFault> {
    let dearest = structure.rules.iter().map(|r| r.price).chain(structure.freed_prices.iter().flatten().copied());
    let dearest = dearest.chain([structure.whole_price]).map(i64::unsigned_abs).max().unwrap_or(0);
    let mass: u128 = data.items.iter().map(|i| u128::from(i.mass_g.unsigned_abs())).sum();
    let minutes: u128 = data.steps.iter().map(|s| u128::from(s.minutes.unsigned_abs())).sum();
    let cost: u128 = data.steps.iter().map(|s| u128::from(s.cost_cents.unsigned_abs())).sum();
    let fits = || {
        let goods = mass.checked_mul(u128::from(dearest))?.checked_mul(4)?;
        let spent = cost.checked_mul(MILLICENTS_PER_CENT as u128)?;
        let time = minutes.checked_mul(u128::from(minute_value.unsigned_abs()))?;
        let total = goods.checked_add(spent)?.checked_add(time)?;
        let scale = (minutes + 1).checked_mul(minutes + 1)?.checked_mul(data.steps.len() as u128 + 1)?;
        let widest = total.max(1).checked_mul(scale)?.checked_mul(16)?;
        let fits = widest <= i128::MAX as u128 && minutes <= i64::MAX as u128 && total <= i64::MAX as u128 / 2;
        i64::try_from(total).ok().filter(|_| fits)
    };
    fits().ok_or(ProblemFault::TooLarge)
}

#[cfg(test)]
mod tests;
