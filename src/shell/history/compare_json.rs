//! A comparison as versioned JSON. Statistics are numbers; weights are in grams, times in minutes.

use serde_json::{Value, json};

use super::compare::Named;
use crate::sessions::history::{MinutesReport, PartReport};
use crate::stats::describe::Summary;
use crate::stats::outliers::Method;

/// The document `{"format":"knockdown-compare","version":1,…}`, with one entry for each folder compared.
pub fn json(all: &[Named<'_>]) -> Value {
    let folders = all.iter().map(|(name, comparison)| {
        json!({
            "name": name,
            "sessions": comparison.sessions,
            "unread": comparison.lapses.iter().map(|(id, why)| json!({ "session": id, "why": why })).collect::<Vec<_>>(),
            "intake_g": comparison.intake.as_ref().map(summary),
            "recovery_percent": comparison.recovery.as_ref().map(summary),
            "gain_per_hour": comparison.per_hour.iter()
                .map(|(currency, s)| json!({ "currency": currency, "summary": summary(s) })).collect::<Vec<_>>(),
            "parts": comparison.parts.iter().map(part).collect::<Vec<_>>(),
            "steps": comparison.steps.iter().map(step).collect::<Vec<_>>(),
        })
    });
    let recipe = all.first().map(|(_, comparison)| comparison.recipe.as_str());
    json!({ "format": "knockdown-compare", "version": 1, "recipe": recipe, "folders": folders.collect::<Vec<_>>() })
}

fn summary(summary: &Summary) -> Value {
    json!({
        "n": summary.n(), "mean": summary.mean(), "sd": summary.sd(), "median": summary.median(),
        "min": summary.min(), "max": summary.max(),
        "mean_95": summary.mean_interval(crate::sessions::history::CONFIDENCE).ok().map(|i| [i.low, i.high]),
    })
}

fn part(part: &PartReport) -> Value {
    let mass = |mass: crate::quantity::Mass| mass.grams().normalize().to_string();
    let method = match part.outliers.method {
        Method::PriorPredictive => "prior-predictive",
        Method::ModifiedZ => "modified-z",
        Method::GeneralisedEsd => "generalised-esd",
        Method::NotTested => "not-tested",
    };
    let flagged = part.outliers.flagged.iter().filter_map(|flagged| {
        let (session, _) = part.weights.get(flagged.index)?;
        Some(json!({ "session": session, "g": flagged.value, "statistic": flagged.statistic, "critical": flagged.critical }))
    });
    let expected = &part.expected;
    json!({
        "part": part.part,
        "recipe_g": { "low": mass(expected.low()), "usual": mass(expected.usual()), "high": mass(expected.high()) },
        "weights": part.weights.iter().map(|(session, g)| json!({ "session": session, "g": g })).collect::<Vec<_>>(),
        "absent": part.absent,
        "too_light": part.too_light,
        "summary_g": part.summary.as_ref().map(summary),
        "percent_of_intake": part.share.as_ref().map(summary),
        "outliers": { "method": method, "flagged": flagged.collect::<Vec<_>>() },
        "next_g": part.foreseen.as_ref().map(|f| json!({
            "low": mass(f.weight.low()), "mean": mass(f.weight.usual()), "high": mass(f.weight.high()),
            "sessions": f.sessions, "by_share_of_intake": f.by_share,
        })),
    })
}

fn step(step: &MinutesReport) -> Value {
    json!({
        "step": step.step,
        "title": step.title,
        "recipe": {
            "low": step.expected.low().get().to_string(),
            "usual": step.expected.usual().get().to_string(),
            "high": step.expected.high().get().to_string(),
        },
        "minutes": step.minutes,
        "summary": step.summary.as_ref().map(summary),
        "per_doubling": step.trend.as_ref().map(|trend| trend.per_doubling()),
        "distinct": step.trend.as_ref().and_then(|trend| trend.is_distinct(crate::sessions::history::CONFIDENCE).ok()),
    })
}
