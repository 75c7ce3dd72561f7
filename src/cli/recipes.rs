//! `recipes`: lists recipes; with `--by`, ranks them by what a unit is worth at the yard in use.

use clap::{Arg, ArgMatches, Command};
use rust_decimal::Decimal;
use serde_json::{Value, json};

use super::options::{self, Format, date_of, text};
use super::plan::{advice_word, own_floor};
use super::{Code, Outcome};
use crate::pricing::Valuation;
use crate::quantity::{Money, Notation};
use crate::script::Glance;
use crate::sessions::history::{Archive, Learned};
use crate::sessions::{Advice, Depth, DepthPlan, PlanWishes};
use crate::shell::ink::{Ink, Page};
use crate::shell::page::signed;
use crate::shell::terminal::Terminal;
use crate::store::home::Shelf;
use crate::world::{Listed, Origin};

pub(super) fn declare() -> Command {
    Command::new("recipes")
        .about("List recipes; with --by, rank them by what a unit brings at the yard in use")
        .arg(
            Arg::new("by")
                .long("by")
                .value_name("MEASURE")
                .value_parser(["gain", "hour", "net"])
                .help("Rank by gain over selling whole, gain per hour, or net"),
        )
        .arg(options::yard())
        .arg(options::date())
        .arg(options::format(&["text", "json"]))
}

pub(super) fn run(terminal: &mut Terminal, matches: &ArgMatches) -> Outcome {
    if let Some(by) = text(matches, "by") {
        return rank(terminal, matches, by);
    }
    if options::format_of(matches) == Format::Json { document(terminal) } else { names(terminal) }
}

fn document(terminal: &Terminal) -> Outcome {
    let row = |listed: &Listed| {
        let unit = match &listed.glance {
            Ok(Glance::Recipe(unit)) => Some(unit),
            _ => None,
        };
        json!({
            "id": listed.id,
            "name": listed.name(),
            "revision": unit.map(|unit| unit.revision),
            "whole_grade": unit.map(|unit| unit.whole_grade.clone()),
            "usual_weight": unit.map(|unit| unit.weighs.usual().to_string()),
            "own": matches!(listed.origin, Origin::Own(_)),
            "switched_off": listed.switched_off(),
            "error": listed.glance.as_ref().err().map(ToString::to_string),
        })
    };
    let rows: Vec<_> = terminal.world.listed(Shelf::Recipes)?.iter().map(row).collect();
    terminal.put(&options::json(&json!({ "format": "knockdown-recipes", "version": 1, "recipes": rows }))?);
    Ok(Code::Done)
}

/// The recipes by name, a line each.
fn names(terminal: &Terminal) -> Outcome {
    let titles = terminal.world.titles(Shelf::Recipes)?;
    let widest = titles.iter().map(|title| title.id.len()).max().unwrap_or(0);
    let mut page = Page::new();
    for title in &titles {
        let id = format!("{:<widest$}  ", title.id);
        let own = if title.own { "  (yours)" } else { "" };
        match (&title.name, &title.switched_off) {
            (_, Some(why)) => {
                page.line(&[(Ink::Name, &id), (Ink::Plain, title.shown()), (Ink::Caution, &format!("  ({why})"))]);
            }
            (Ok(name), None) => page.line(&[(Ink::Name, &id), (Ink::Plain, name), (Ink::Faint, own)]),
            (Err(error), None) => {
                page.line(&[(Ink::Name, &id), (Ink::Danger, "cannot be read: "), (Ink::Plain, &error.to_string())]);
            }
        }
    }
    terminal.show(&page);
    Ok(Code::Done)
}

/// What the best plan of each recipe brings, best first; recipes that cannot be planned stand at the end with the reason.
fn rank(terminal: &Terminal, matches: &ArgMatches, by: &str) -> Outcome {
    let yard = terminal.world.yard_id(text(matches, "yard"))?;
    let valuation = Valuation::new(&terminal.world, &yard, date_of(matches))?;
    let mut ranked: Vec<(String, String, DepthPlan)> = Vec::new();
    let mut failed = Vec::new();
    let (archive, floor) = (Archive::new(&terminal.world)?, own_floor(terminal));
    for id in terminal.world.ids(Shelf::Recipes)? {
        let planned = terminal.world.recipe(&id).and_then(|(_, recipe)| {
            let foreseen = Learned::from(&archive, &recipe, "")?.ranges(None);
            let wishes = PlanWishes { floor, foreseen, ..PlanWishes::default() };
            let plan = Depth::before(&terminal.world, &valuation, &recipe, &wishes)?.plan()?;
            Ok((recipe.unit().name.clone(), plan))
        });
        match planned {
            Ok((name, plan)) => ranked.push((id, name, plan)),
            Err(error) => failed.push((id, error.to_string())),
        }
    }
    // A unit that is best left whole brings what it brings whole, and takes no time.
    let measure = |plan: &DepthPlan| match (by, plan.advice) {
        ("net", Advice::Work) => plan.net.amount(),
        ("net", _) => plan.whole.amount(),
        (_, advice) if advice != Advice::Work => Decimal::ZERO,
        ("hour", _) => plan.per_hour.map_or(Decimal::ZERO, Money::amount),
        _ => plan.gain.amount(),
    };
    ranked.sort_by(|a, b| measure(&b.2).cmp(&measure(&a.2)).then_with(|| a.0.cmp(&b.0)));
    if options::format_of(matches) == Format::Json {
        terminal.put(&options::json(&ranking_document(&valuation, by, &ranked, &failed))?);
    } else {
        terminal.show(&ranking(&valuation, by, &ranked, &failed));
    }
    Ok(Code::Done)
}

fn ranking_document(
    valuation: &Valuation,
    by: &str,
    ranked: &[(String, String, DepthPlan)],
    failed: &[(String, String)],
) -> Value {
    let digits = |money: Money| json!(money.digits(Notation::Point));
    let row = |(id, name, plan): &(String, String, DepthPlan)| {
        json!({
            "id": id, "name": name, "advice": advice_word(plan.advice), "whole": digits(plan.whole), "net": digits(plan.net), "gain": digits(plan.gain),
            "minutes": plan.minutes.get().to_string(), "per_hour": plan.per_hour.map(digits),
        })
    };
    let rows: Vec<Value> = ranked.iter().map(row).collect();
    let failed: Vec<Value> = failed.iter().map(|(id, why)| json!({ "id": id, "error": why })).collect();
    json!({
        "format": "knockdown-ranking", "version": 1, "yard": valuation.yard.id(),
        "currency": valuation.yard.currency().code(), "by": by, "recipes": rows, "failed": failed,
    })
}

fn ranking(
    valuation: &Valuation,
    by: &str,
    ranked: &[(String, String, DepthPlan)],
    failed: &[(String, String)],
) -> Page {
    let notation = valuation.notation;
    let mut page = Page::new();
    let measure = match by {
        "net" => "net",
        "hour" => "gain per hour",
        _ => "gain over selling whole",
    };
    page.line(&[(Ink::Heading, &format!("By {measure} at {}", valuation.yard.name()))]);
    if valuation.yard.is_sample() {
        page.say(Ink::Caution, "Sample prices: invented, not those of a real yard.");
    }
    for (id, name, plan) in ranked {
        let rate = plan.per_hour.map_or_else(String::new, |rate| format!(", {} an hour", signed(rate, notation)));
        let (whole, gain) = (plan.whole.show(notation), signed(plan.gain, notation));
        let opened = format!("{gain} in {} min{rate}", notation.show(plan.minutes.get()));
        let facts = match (plan.advice, &plan.whole_unsold) {
            (Advice::Work, _) => format!("  whole {whole}, net {}, {opened}", plan.net.show(notation)),
            (_, Some(why)) => format!("  hand it on whole, unsold here ({why}); opened, {opened}"),
            (_, None) => format!("  sell it whole, {whole}; opened, {opened}"),
        };
        page.line(&[(Ink::Name, id), (Ink::Plain, &format!("  {name}"))]);
        page.line(&[(Ink::Plain, &facts)]);
    }
    for (id, why) in failed {
        page.line(&[(Ink::Name, id), (Ink::Danger, "  cannot be planned: "), (Ink::Plain, why)]);
    }
    page
}
