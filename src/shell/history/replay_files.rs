//! Replayed sessions as JSON and CSV. Decimals are strings, so that no reader rounds them by accident.

use serde_json::{Value, json};

use crate::market::Effects;
use crate::quantity::Money;
use crate::sessions::history::{EarlierStop, ReplayTotals, Replayed, Valued};
use crate::shell::csv_rows::{Unwritten, write_csv};
use crate::shell::format::digits;

/// The document `{"format":"knockdown-replay","version":1,…}`. `lapses` are sessions that could not be read.
pub fn json(sessions: &[Replayed], totals: &ReplayTotals, lapses: &[(String, String)]) -> Value {
    json!({
        "format": "knockdown-replay",
        "version": 1,
        "sessions": sessions.iter().map(session).collect::<Vec<_>>(),
        "totals": {
            "by_recipe": sums(&totals.by_recipe),
            "by_month": sums(&totals.by_month),
            "all": sums(&totals.all),
        },
        "unread": lapses.iter().map(|(id, why)| json!({ "session": id, "why": why })).collect::<Vec<_>>(),
    })
}

fn session(session: &Replayed) -> Value {
    json!({
        "session": session.id,
        "recipe": session.recipe,
        "day": session.day.map(|day| day.to_string()),
        "ended": session.ended,
        "minutes": session.minutes.get().to_string(),
        "was": valued(&session.was),
        "now": session.now.iter().map(valued).collect::<Vec<_>>(),
        "unfit": session.unfit.iter().map(|u| json!({ "question": u.name, "answer": u.exact, "why": u.why })).collect::<Vec<_>>(),
        "remarks": session.remarks,
    })
}

fn valued(valued: &Valued) -> Value {
    json!({
        "yard": valued.yard,
        "date": valued.date.to_string(),
        "currency": valued.net.currency().code(),
        "net": digits(valued.net),
        "gain": valued.gain.map(digits),
        "gain_per_hour": valued.per_hour.map(digits),
        "unsold": valued.unsold,
        "sample_prices": valued.sample,
        "effects": valued.effects.as_ref().map(effects),
        "better_stopped": valued.earlier.as_ref().map(earlier),
    })
}

fn effects(effects: &Effects) -> Value {
    json!({ "price": digits(effects.price), "mix": digits(effects.mix), "yield": digits(effects.yielded) })
}

fn earlier(stop: &EarlierStop) -> Value {
    json!({
        "after": stop.after,
        "net": digits(stop.net),
        "minutes": stop.minutes.get().to_string(),
        "better_by": digits(stop.better_by),
    })
}

fn sums(
    sums: &std::collections::BTreeMap<(String, String, &'static str), crate::sessions::history::Total>,
) -> Vec<Value> {
    sums.iter()
        .map(|((key, yard, currency), total)| {
            json!({
                "key": key,
                "yard": yard,
                "currency": currency,
                "sessions": total.sessions,
                "comparable": total.comparable,
                "minutes": total.minutes.to_string(),
                "net": digits(total.net),
                "was": (total.comparable > 0).then(|| digits(total.was)),
                "effects": (total.comparable > 0).then(|| effects(&total.effects)),
            })
        })
        .collect()
}

const COLUMNS: [&str; 17] = [
    "session",
    "recipe",
    "day",
    "minutes",
    "was_yard",
    "was_date",
    "was_net",
    "was_currency",
    "yard",
    "date",
    "net",
    "currency",
    "gain",
    "price_effect",
    "mix_effect",
    "yield_effect",
    "ended",
];

/// One row per session and yard, with a header row.
///
/// # Errors
/// None is known; errors of the CSV writer are passed on.
pub fn csv(sessions: &[Replayed]) -> Result<String, Unwritten> {
    let rows = sessions.iter().flat_map(|session| session.now.iter().map(move |valued| cells(session, valued)));
    write_csv(&COLUMNS, rows)
}

fn cells(session: &Replayed, valued: &Valued) -> Vec<String> {
    let effect = |pick: fn(&Effects) -> Money| valued.effects.as_ref().map(|e| digits(pick(e))).unwrap_or_default();
    vec![
        session.id.clone(),
        session.recipe.clone(),
        session.day.map(|day| day.to_string()).unwrap_or_default(),
        session.minutes.get().to_string(),
        session.was.yard.clone(),
        session.was.date.to_string(),
        digits(session.was.net),
        session.was.net.currency().code().to_owned(),
        valued.yard.clone(),
        valued.date.to_string(),
        digits(valued.net),
        valued.net.currency().code().to_owned(),
        valued.gain.map(digits).unwrap_or_default(),
        effect(|e| e.price),
        effect(|e| e.mix),
        effect(|e| e.yielded),
        session.ended.to_string(),
    ]
}
