//! The tally as a versioned document for other programs. Decimals are strings, so that no reader rounds them by
//! accident.

use rust_decimal::RoundingStrategy;
use serde_json::{Value, json};

use crate::market::tally::{Balance, BalanceVerdict, Cost, Line, TallyItem, TallyProblem, UnsoldItem, Whole};
use crate::market::{PriceSource, Quote, Tally};
use crate::quantity::{Basis, Mass, MassUnit, Money, Notation, Price};
use crate::shell::format::{digits, json_text};
use crate::world::AppError;

/// The document `{"format":"knockdown-tally","version":1,…}`. Raise the version if a field changes its meaning or is
/// removed; a new field alone does not raise it.
///
/// # Errors
/// None is known; serde's errors are passed on.
pub fn write(tally: &Tally) -> Result<String, AppError> {
    let unit = tally.yard.unit;
    let problem = |p: &TallyProblem| json!({ "code": p.code(), "words": p.words(unit, Notation::Point) });
    json_text(&json!({
        "format": "knockdown-tally",
        "version": 1,
        "unit": tally.unit_name,
        "recipe": tally.recipe,
        "yard": yard(tally),
        "prices": prices(tally),
        "problems": tally.problems.iter().map(problem).collect::<Vec<_>>(),
        "handed_on": tally.handed_on,
        "intake": tally.intake.map(|mass| weight(mass, unit)),
        "lines": tally.lines.iter().map(|sold| line(sold, unit)).collect::<Vec<_>>(),
        "costs": tally.costs.iter().map(cost).collect::<Vec<_>>(),
        "rounding": digits(tally.rounding),
        "paid": digits(tally.paid),
        "net": digits(tally.net),
        "whole": whole(&tally.whole, unit),
        "gain": tally.gain.map(digits),
        "minutes": tally.minutes.get().to_string(),
        "gain_per_hour": tally.per_hour.map(digits),
        "unsold": tally.unsold.iter().map(|item| unsold(item, unit)).collect::<Vec<_>>(),
        "balance": balance(&tally.balance, unit),
        "recovery": tally.recovery.as_ref().map(|recovery| json!({
            "metal": weight(recovery.metal, unit), "percent": recovery.percent.to_string(),
        })),
    }))
}

fn yard(tally: &Tally) -> Value {
    let yard = &tally.yard;
    json!({
        "id": yard.id,
        "name": yard.name,
        "region": yard.region,
        "currency": yard.currency.code(),
        "unit": yard.unit.symbol(),
        "division": yard.division.map(|division| weight(division, yard.unit)),
        "pays_to": yard.pays_to.map(|step| step.to_string()),
    })
}

fn prices(tally: &Tally) -> Value {
    let prices = &tally.prices;
    let set_aside = prices.set_aside.iter().map(|(quote, why)| {
        let mut row = kept_quote(quote);
        row["reason"] = why.words().into();
        row
    });
    json!({
        "date": prices.date.to_string(),
        "as_of": prices.as_of.to_string(),
        "taken_down_after_date": prices.later,
        "sample": prices.sample,
        "quotes": prices.quotes.iter().map(kept_quote).collect::<Vec<_>>(),
        "set_aside": set_aside.collect::<Vec<_>>(),
    })
}

fn kept_quote(quote: &Quote) -> Value {
    json!({ "grade": quote.grade, "price": price(quote.price), "date": quote.date.to_string(), "origin": quote.origin })
}

fn line(line: &Line, unit: MassUnit) -> Value {
    let priced = &line.priced;
    json!({
        "kind": line.kind(),
        "name": priced.name,
        "priced_as": priced.priced_as,
        "grades": line.grades(),
        "mix": line.mix.as_ref().map(|mix| json!({ "name": mix.name, "percent_off": mix.percent_off.to_string() })),
        "mass": line.mass.map(|mass| weight(mass, unit)),
        "net": line.net.map(|mass| weight(mass, unit)),
        "pieces": line.pieces,
        "price": price(priced.price),
        "tier_from": priced.tier.map(|mass| weight(mass, unit)),
        "source": match &priced.source {
            PriceSource::Module { as_of } => json!({ "kind": "module", "as_of": as_of.to_string() }),
            PriceSource::Index { name, percent, date } => json!({
                "kind": "index", "index": name, "percent": percent.to_string(), "date": date.to_string(),
            }),
            PriceSource::Quote { date, origin } => json!({ "kind": "quote", "date": date.to_string(), "origin": origin }),
        },
        "amount": digits(line.amount),
        "items": line.items.iter().map(|part| item(part, unit)).collect::<Vec<_>>(),
    })
}

fn item(item: &TallyItem, unit: MassUnit) -> Value {
    json!({
        "part": item.part,
        "grade": item.grade,
        "mass": item.mass.map(|mass| weight(mass, unit)),
        "pieces": item.pieces,
        "how": item.how.word(),
        "remainder": item.remainder,
        "regraded_from": item.regraded_from,
    })
}

fn cost(cost: &Cost) -> Value {
    json!({
        "kind": cost.kind.code(),
        "name": cost.name,
        "amount": digits(cost.amount),
        "currency": cost.amount.currency().code(),
        "counted": cost.counted,
    })
}

fn unsold(item: &UnsoldItem, unit: MassUnit) -> Value {
    json!({
        "part": item.part,
        "grade": item.grade,
        "mass": item.mass.map(|mass| weight(mass, unit)),
        "pieces": item.pieces,
        "how": item.how.word(),
        "remainder": item.remainder,
        "reason": item.reason.code(),
        "words": item.reason.words(Notation::Point),
    })
}

fn whole(whole: &Whole, unit: MassUnit) -> Value {
    let unsold = whole.value.as_ref().err();
    json!({
        "line": whole.line.as_ref().map(|sold| line(sold, unit)),
        "visit_fees": digits(whole.visit_fees),
        "rounding": digits(whole.rounding),
        // No unit has a share of a trip: the key stays, since readers of this version expect it.
        "trip_share": digits(Money::zero(whole.visit_fees.currency())),
        "value": whole.value.as_ref().ok().copied().map(digits),
        "unsold": unsold.map(|reason| reason.code()),
        "words": unsold.map(|reason| reason.words(Notation::Point)),
    })
}

fn balance(balance: &Balance, unit: MassUnit) -> Value {
    let verdict = match balance.verdict {
        BalanceVerdict::Closes => "closes",
        BalanceVerdict::DoesNotClose => "does-not-close",
        BalanceVerdict::CannotBeSaid(_) => "cannot-be-said",
    };
    json!({
        "verdict": verdict,
        "words": balance.verdict.words(),
        "gap": balance.gap.map(|gap| weight(gap, unit)),
        "sd_grams": balance.sd_grams.map(|sd| format!("{sd:.3}")),
        "z": balance.z.map(|z| format!("{z:.2}")),
    })
}

/// Exact grams, and the yard's unit to six places for reading.
fn weight(mass: Mass, unit: MassUnit) -> Value {
    let weight = mass.in_unit(unit).round_dp_with_strategy(6, RoundingStrategy::MidpointAwayFromZero).normalize();
    json!({
        "grams": mass.grams().normalize().to_string(), "weight": weight.to_string(), "unit": unit.symbol(),
    })
}

/// The amount and what it is per.
fn price(price: Price) -> Value {
    let per = match price.basis() {
        Basis::Weight(unit) => unit.symbol(),
        Basis::Piece => "piece",
    };
    let amount = Money::new(price.amount(), price.currency()).map(digits);
    let amount = amount.unwrap_or_else(|_| price.amount().to_string());
    json!({ "amount": amount, "currency": price.currency().code(), "per": per })
}
