//! The pages of recipes: all of them by name or by value, each as a page and as JSON; and one in full.

use serde_json::{Value, json};

use super::format::digits;
use super::ink::{Ink, Page};
use super::page::{self, is_own, signed};
use super::plan_page::advice_word;
use crate::authoring::Draft;
use crate::pricing::Valuation;
use crate::quantity::{MassUnit, Notation};
use crate::recipe::Recipe;
use crate::script::{Glance, Script};
use crate::sessions::{Advice, DepthPlan};
use crate::world::{ListedScript, Title, World};

/// The recipes by name, one line each.
pub fn list(titles: &[Title]) -> Page {
    let widest = titles.iter().map(|title| title.id.len()).max().unwrap_or(0);
    let mut page = Page::new();
    for title in titles {
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
    page
}

/// The document `{"format":"knockdown-recipes","version":1,…}`.
pub fn list_json(recipes: &[ListedScript]) -> Value {
    let row = |listed: &ListedScript| {
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
            "own": is_own(listed),
            "switched_off": listed.switched_off(),
            "error": listed.glance.as_ref().err().map(ToString::to_string),
        })
    };
    json!({ "format": "knockdown-recipes", "version": 1, "recipes": recipes.iter().map(row).collect::<Vec<_>>() })
}

/// A planned recipe: its id, its name and the best plan for a unit.
pub type Planned = (String, String, DepthPlan);

/// The recipes by what a unit brings at the yard, best first; then those that could not be planned.
pub fn ranking(valuation: &Valuation, by: &str, ranked: &[Planned], failed: &[(String, String)]) -> Page {
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

/// The document `{"format":"knockdown-ranking","version":1,…}`.
pub fn ranking_json(valuation: &Valuation, by: &str, ranked: &[Planned], failed: &[(String, String)]) -> Value {
    let row = |(id, name, plan): &Planned| {
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

/// A recipe in full: its steps, what they free and their hazards.
pub fn page(world: &World, script: &Script, recipe: &Recipe) -> Page {
    let unit = recipe.unit();
    let (mass_unit, notation) =
        (world.config.unit.as_deref().and_then(|u| u.parse().ok()).unwrap_or(MassUnit::Kilogram), Notation::Point);
    let mut page = Page::new();
    page.line(&[
        (Ink::Heading, &unit.name),
        (Ink::Faint, &format!("  {}, revision {}, by {}", unit.id, unit.revision, unit.author)),
    ]);
    let weight = page::range(&unit.weighs, mass_unit, notation);
    page.line(&[
        (Ink::Plain, "weighs "),
        (Ink::Figure, &weight),
        (Ink::Plain, ", sold whole as "),
        (Ink::Name, &unit.whole_grade),
    ]);
    page.line(&[
        (Ink::Faint, "weights from: "),
        (Ink::Faint, if unit.figures_from.is_empty() { "no source given" } else { &unit.figures_from }),
    ]);
    guards(world, &unit.guards, &mut page);
    by_what_is_found(world, &world.hazards_by_what_is_found(script, recipe), &mut page);
    unit.says.iter().for_each(|text| page.say(Ink::Plain, text));
    for (place, step) in recipe.steps().iter().enumerate() {
        page.blank();
        let minutes = notation.show(step.minutes.usual().get());
        page.line(&[
            (Ink::Figure, &format!("{}. ", place + 1)),
            (Ink::Heading, &step.title),
            (Ink::Faint, &format!("  {}, about {minutes} min", step.id)),
        ]);
        if !step.after.is_empty() {
            let groups: Vec<String> = step.after.iter().map(|group| group.join(" or ")).collect();
            page.line(&[(Ink::Plain, "   after "), (Ink::Plain, &groups.join(" and "))]);
        }
        if let Some(part) = &step.opens {
            page.line(&[(Ink::Plain, "   opens "), (Ink::Name, part)]);
        }
        if !step.tools.is_empty() {
            page.line(&[(Ink::Plain, "   tools: "), (Ink::Plain, &step.tools.join(", "))]);
        }
        guards(world, &step.guards, &mut page);
        step.says.iter().for_each(|text| page.say(Ink::Plain, &format!("   {text}")));
        for freed in &step.frees {
            let weight = page::range(&freed.expected, mass_unit, notation);
            page.line(&[
                (Ink::Plain, "   frees "),
                (Ink::Name, &freed.part),
                (Ink::Plain, ", "),
                (Ink::Figure, &weight),
                (Ink::Plain, " as "),
                (Ink::Name, &freed.grade),
            ]);
            page.line(&[(
                Ink::Faint,
                &format!(
                    "     weights from: {}",
                    if freed.figures_from.is_empty() { "no source given" } else { &freed.figures_from }
                ),
            )]);
        }
    }
    page
}

fn guards(world: &World, guards: &[String], page: &mut Page) {
    for hazard in guards.iter().filter_map(|id| world.host().catalogue().hazards().get(id)) {
        page.line(&[
            (Ink::Plain, "   "),
            (Ink::Danger, hazard.class.word()),
            (Ink::Plain, ": "),
            (Ink::Plain, &hazard.name),
        ]);
    }
}

/// The hazards that a recipe's questions can lead to, besides those declared by its steps.
fn by_what_is_found(world: &World, found: &[String], page: &mut Page) {
    let known = found.iter().filter_map(|id| world.host().catalogue().hazards().get(id));
    let names: Vec<String> = known.map(|hazard| format!("{}: {}", hazard.class.word(), hazard.name)).collect();
    if !names.is_empty() {
        page.say(Ink::Caution, &format!("   By what is found, also: {}.", names.join("; ")));
    }
}

/// What is still missing in a recipe made from a session.
pub fn to_fill_in(draft: &Draft) -> Page {
    let mut page = Page::new();
    page.say(Ink::Heading, "To fill in:");
    draft.to_fill_in.iter().for_each(|line| page.say(Ink::Plain, &format!("  {line}")));
    page.say(Ink::Plain, &format!("Next: edit it; then check {0}, test {0}, and bench {0}", draft.id));
    page
}
