//! Pages of a plan: the steps, the places to stop, the parts, and how certain it all is.

use std::collections::BTreeMap;

use rust_decimal::Decimal;
use serde_json::{Value, json};

use super::format::digits;
use super::ink::{Ink, Page};
use super::page::{is_doubtful, signed};
use crate::naming::counted;
use crate::pricing::Valuation;
use crate::quantity::{Minutes, Money, Notation};
use crate::recipe::Recipe;
use crate::sessions::{Advice, Chances, DepthPlan, DepthStop, PlanWishes};

fn time(minutes: Minutes, notation: Notation) -> String {
    format!("{} min", notation.show(minutes.get()))
}

fn hourly(rate: Option<Money>, notation: Notation) -> String {
    rate.map(|rate| format!("{} an hour", signed(rate, notation))).unwrap_or_else(|| "no time".into())
}

/// A plan at one yard, in full.
pub fn whole(recipe: &Recipe, valuation: &Valuation, wishes: &PlanWishes, plan: &DepthPlan) -> Page {
    let notation = valuation.notation;
    let mut page = Page::new();
    page.line(&[(Ink::Heading, &format!("{} at {}", recipe.unit().name, valuation.yard.name()))]);
    head(&mut page, recipe, valuation, wishes);
    if let Some(text) = trust_your_scale(recipe, wishes) {
        page.say(Ink::Caution, &text);
    }
    page.blank();
    verdict(&mut page, plan, notation);
    page.blank();
    steps(&mut page, recipe, plan, notation);
    page.blank();
    page.line(&[(Ink::Heading, "Where to stop")]);
    plan.ladder.iter().for_each(|stop| rung(&mut page, recipe, stop, notation));
    if !plan.parts.is_empty() {
        page.blank();
        page.line(&[(Ink::Heading, "Sell as it is, or open it")]);
        parts(&mut page, plan, notation);
    }
    if let Some(chances) = &plan.chances {
        page.blank();
        page.line(&[(Ink::Heading, "How sure")]);
        sure(&mut page, chances, valuation, wishes);
    }
    page
}

fn head(page: &mut Page, recipe: &Recipe, valuation: &Valuation, wishes: &PlanWishes) {
    if valuation.yard.is_sample() {
        page.say(Ink::Caution, "Sample prices: invented, not those of a real yard.");
    }
    page.say(
        Ink::Plain,
        &format!(
            "Valued on {}, with prices of {}, at usual weights and times.",
            valuation.date,
            valuation.yard.as_of(),
        ),
    );
    if let Some(text) = by_own_sessions(wishes) {
        page.say(Ink::Plain, &text);
    }
    if wishes.slips > 0 {
        let are = if wishes.slips == 1 { "is" } else { "are" };
        let text = format!("{} of yours {are} left out: most likely slips; ", counted(wishes.slips, "weight"));
        page.say(Ink::Caution, &format!("{text}`compare {}` names them.", recipe.unit().id));
    }
    if !wishes.floor.is_zero() {
        let floor = valuation.notation.show(wishes.floor.normalize());
        page.say(Ink::Plain, &format!("An hour has to bring {floor} {}.", valuation.yard.currency()));
    }
    if let Some(minutes) = wishes.minutes {
        page.say(Ink::Plain, &format!("There are {} in all.", time(minutes, valuation.notation)));
    }
    if let Some(intake) = wishes.intake {
        page.say(
            Ink::Plain,
            &format!(
                "The unit weighs {}; expectations are scaled to it.",
                intake.show_friendly(valuation.yard.unit(), valuation.notation)
            ),
        );
    }
    if !wishes.without.is_empty() {
        page.say(Ink::Plain, &format!("Left out: steps guarded by {}.", wishes.without.join(", ")));
    }
}

/// Says whose figures the weights are, if the user's own sessions supply any.
fn by_own_sessions(wishes: &PlanWishes) -> Option<String> {
    let (sessions, parts) = (counted(wishes.sessions, "session"), counted(wishes.foreseen.len(), "part"));
    (!wishes.foreseen.is_empty()).then(|| format!("By your {sessions}: what {parts} weigh. All else by the recipe."))
}

/// How many of the recipe's weights have low confidence by its own statement. Weights predicted from the user's own
/// sessions do not count.
fn trust_your_scale(recipe: &Recipe, wishes: &PlanWishes) -> Option<String> {
    let parts: BTreeMap<&str, &str> = recipe
        .steps()
        .iter()
        .flat_map(|step| &step.frees)
        .map(|freed| (freed.part.as_str(), freed.figures_from.as_str()))
        .collect();
    let doubtful = |(part, figures): &(&&str, &&str)| !wishes.foreseen.contains_key(**part) && is_doubtful(figures);
    let count = parts.iter().filter(doubtful).count();
    (count > 0).then(|| {
        let all = parts.len();
        format!("Low confidence: the recipe's weights of {count} of its {all} parts are guesses. Trust your scale.")
    })
}

/// Whether to open the unit at all, before anything else.
fn verdict(page: &mut Page, plan: &DepthPlan, notation: Notation) {
    let facts = format!(
        "net {}, {} over whole, {} of work, {}",
        plan.net.show(notation),
        signed(plan.gain, notation),
        time(plan.minutes, notation),
        hourly(plan.per_hour, notation)
    );
    match plan.advice {
        Advice::Work => page.line(&[(Ink::Heading, "Take it apart: "), (Ink::Plain, &facts)]),
        Advice::NoTime(least) => {
            let text = format!("opening it, with what the law wants out, takes {} at least", time(least, notation));
            page.line(&[(Ink::Heading, leave(plan)), (Ink::Plain, &text)]);
        }
        _ if plan.steps.is_empty() => {
            page.line(&[(Ink::Heading, leave(plan)), (Ink::Plain, "no work on it brings more than it takes")])
        }
        _ => {
            let why = match plan.gain.amount() > Decimal::ZERO {
                true => "opening it brings less than your hours have to bring",
                false => "opening it brings less than it takes",
            };
            page.line(&[(Ink::Heading, leave(plan)), (Ink::Plain, why)]);
            page.line(&[(Ink::Plain, "If it is opened all the same: "), (Ink::Plain, &facts)]);
        }
    }
    match &plan.whole_unsold {
        None => page.line(&[(Ink::Plain, "Sold whole: "), (Ink::Money, &plan.whole.show(notation))]),
        Some(why) => page
            .line(&[(Ink::Plain, "Sold whole: "), (Ink::Caution, &format!("unsold here, {why}; counted as nothing"))]),
    }
    if let Some(gap) = plan.gap {
        page.line(&[
            (Ink::Caution, "Not proven best: "),
            (Ink::Plain, &format!("another plan may bring up to {} more.", gap.show(notation))),
        ]);
    }
}

/// What to do with a unit that is not worth opening.
fn leave(plan: &DepthPlan) -> &'static str {
    if plan.whole_unsold.is_some() { "Hand it on whole: " } else { "Sell it whole: " }
}

fn steps(page: &mut Page, recipe: &Recipe, plan: &DepthPlan, notation: Notation) {
    if plan.steps.is_empty() {
        return;
    }
    let order = match plan.steps.iter().any(|step| step.demanded) {
        true => "Steps: what the law wants out first, then what brings most soonest",
        false => "Steps, in the order that brings most soonest",
    };
    page.line(&[(Ink::Heading, order)]);
    if plan.advice != Advice::Work {
        page.say(Ink::Caution, "  Only if it is opened all the same.");
    }
    for (number, step) in plan.steps.iter().enumerate() {
        let title = recipe.steps().get(step.place).map_or("", |step| step.title.as_str());
        let demanded = if step.demanded { "  (the law wants this out)" } else { "" };
        page.line(&[(Ink::Figure, &format!("{:>3}. ", number + 1)), (Ink::Name, title), (Ink::Faint, demanded)]);
        let adds = match step.adds.amount().is_zero() {
            true => "nothing by itself".to_owned(),
            false => signed(step.adds, notation),
        };
        let facts = format!("     adds {adds}, net {} after {}", step.net.show(notation), time(step.minutes, notation));
        page.line(&[(Ink::Plain, &facts)]);
    }
}

fn rung(page: &mut Page, recipe: &Recipe, stop: &DepthStop, notation: Notation) {
    let Some(last) = stop.last_hour.or(stop.per_hour) else {
        let whole = if stop.net.amount().is_zero() { "Sold or handed on whole: " } else { "Sold whole: " };
        page.line(&[(Ink::Name, &format!("  {whole}")), (Ink::Money, &stop.net.show(notation))]);
        return;
    };
    let titles: Vec<&str> =
        stop.further.iter().filter_map(|place| recipe.steps().get(*place)).map(|step| step.title.as_str()).collect();
    page.line(&[
        (Ink::Name, &format!("  If an hour is worth less than {}: ", last.show(notation))),
        (Ink::Plain, &titles.join("; ")),
    ]);
    let facts = format!(
        "    {} in all, net {}, {} over whole, {}",
        time(stop.minutes, notation),
        stop.net.show(notation),
        signed(stop.gain, notation),
        hourly(stop.per_hour, notation)
    );
    page.line(&[(Ink::Plain, &facts)]);
}

fn parts(page: &mut Page, plan: &DepthPlan, notation: Notation) {
    for part in &plan.parts {
        let advice = match (part.out, part.open) {
            (_, true) => "open it",
            (true, false) => "sell it as it is",
            (false, false) => "leave it where it is",
        };
        let facts = format!(
            "as it comes out it brings {}; opening it then adds {}, {}",
            part.as_it_is.show(notation),
            signed(part.opening_adds, notation),
            hourly(part.per_hour, notation)
        );
        page.line(&[
            (Ink::Name, &format!("  {}: ", part.part)),
            (Ink::Heading, advice),
            (Ink::Plain, &format!("; {facts}")),
        ]);
    }
}

fn sure(page: &mut Page, chances: &Chances, valuation: &Valuation, wishes: &PlanWishes) {
    let digits = valuation.yard.currency().minor_digits() as usize;
    let show = |value: f64| {
        let text = format!("{value:+.digits$}");
        if valuation.notation == Notation::Comma { text.replace('.', ",") } else { text }
    };
    let (gain, rate) = (&chances.gain, &chances.per_hour);
    let code = valuation.yard.currency();
    page.say(
        Ink::Plain,
        &format!(
            "  Over whole: half the time over {} {code}, one time in ten under {}, one in ten over {}.",
            show(gain.p50),
            show(gain.p10),
            show(gain.p90)
        ),
    );
    page.say(
        Ink::Plain,
        &format!(
            "  An hour: half the time over {} {code}, one time in ten under {}, one in ten over {}.",
            show(rate.p50),
            show(rate.p10),
            show(rate.p90)
        ),
    );
    let mut beats =
        format!("  It brings more than the unit whole in {}, your time counted as free", of_units(chances.worth_it));
    if let Some(share) = chances.worth_the_time {
        let floor = valuation.notation.show(wishes.floor.normalize());
        beats.push_str(&format!("; in {} with an hour at {floor} {code}", of_units(share)));
    }
    page.say(Ink::Plain, &format!("{beats}."));
    page.say(
        Ink::Faint,
        "  Assumes that weights and times vary independently between the recipe's low and high, and that prices hold.",
    );
}

/// A probability as units out of a hundred; never none or all, since the ranges behind it are estimates.
fn of_units(share: f64) -> String {
    match (share * 100.0).round() {
        ..1.0 => "fewer than 1 of 100 units".to_owned(),
        100.0.. => "more than 99 of 100 units".to_owned(),
        percent => format!("about {percent:.0} of 100 units"),
    }
}

/// Several yards side by side: the verdict at each.
pub fn side_by_side(recipe: &Recipe, planned: &[(Valuation, PlanWishes, DepthPlan)]) -> Page {
    let mut page = Page::new();
    page.line(&[(Ink::Heading, &recipe.unit().name)]);
    if let Some(text) = planned.first().and_then(|(_, wishes, _)| trust_your_scale(recipe, wishes)) {
        page.say(Ink::Caution, &text);
    }
    for (valuation, wishes, plan) in planned {
        page.blank();
        page.line(&[(Ink::Name, valuation.yard.name())]);
        head(&mut page, recipe, valuation, wishes);
        verdict(&mut page, plan, valuation.notation);
        let titles: Vec<&str> = plan
            .steps
            .iter()
            .filter_map(|step| recipe.steps().get(step.place))
            .map(|step| step.title.as_str())
            .collect();
        if !titles.is_empty() && plan.advice == Advice::Work {
            page.line(&[(Ink::Plain, "Steps: "), (Ink::Plain, &titles.join("; "))]);
        }
    }
    page
}

/// The document `{"format":"knockdown-plan","version":1,…}`: one plan per yard.
pub fn json(recipe: &Recipe, planned: &[(Valuation, PlanWishes, DepthPlan)]) -> Value {
    let plan = |(valuation, wishes, plan): &_| plan_json(recipe, valuation, wishes, plan);
    json!({ "format": "knockdown-plan", "version": 1, "plans": planned.iter().map(plan).collect::<Vec<_>>() })
}

fn plan_json(recipe: &Recipe, valuation: &Valuation, wishes: &PlanWishes, plan: &DepthPlan) -> Value {
    let id = |place: &usize| recipe.steps()[*place].id.clone();
    let steps: Vec<Value> = plan
        .steps
        .iter()
        .map(|step| {
            json!({
                "step": id(&step.place), "adds": digits(step.adds), "net": digits(step.net),
                "minutes": step.minutes.get().to_string(), "demanded": step.demanded,
            })
        })
        .collect();
    let stop = |stop: &DepthStop| {
        json!({
            "steps": stop.steps.iter().map(id).collect::<Vec<_>>(), "minutes": stop.minutes.get().to_string(),
            "net": digits(stop.net), "gain": digits(stop.gain), "per_hour": stop.per_hour.map(digits),
            "last_hour": stop.last_hour.map(digits),
        })
    };
    let parts: Vec<Value> = plan
        .parts
        .iter()
        .map(|part| {
            json!({
                "part": part.part, "as_it_is": digits(part.as_it_is), "opening_adds": digits(part.opening_adds),
                "per_hour": part.per_hour.map(digits), "out": part.out, "open": part.open,
            })
        })
        .collect();
    json!({
        "recipe": recipe.unit().id, "advice": advice_word(plan.advice), "yard": valuation.yard.id(), "currency": valuation.yard.currency().code(),
        "date": valuation.date.to_string(), "prices_of": valuation.yard.as_of().to_string(), "sample": valuation.yard.is_sample(),
        "learned_parts": wishes.foreseen.len(), "learned_sessions": wishes.sessions, "floor_per_hour": wishes.floor.to_string(), "whole": digits(plan.whole), "whole_unsold": plan.whole_unsold, "net": digits(plan.net), "gain": digits(plan.gain),
        "minutes": plan.minutes.get().to_string(), "per_hour": plan.per_hour.map(digits), "proven": plan.proven,
        "gap": plan.gap.map(digits), "steps": steps, "ladder": plan.ladder.iter().map(stop).collect::<Vec<_>>(), "parts": parts,
        "chances": plan.chances.map(|chances| json!({
            "assumes": "masses and times independent, PERT over low, usual, high",
            "mean": chances.mean, "sd": chances.sd, "p10": chances.gain.p10, "p50": chances.gain.p50, "p90": chances.gain.p90,
            "per_hour_p10": chances.per_hour.p10, "per_hour_p50": chances.per_hour.p50, "per_hour_p90": chances.per_hour.p90,
            "worth_it": chances.worth_it, "worth_the_time": chances.worth_the_time,
        })),
    })
}

/// The advice as one word, for other programs.
pub(super) fn advice_word(advice: Advice) -> &'static str {
    match advice {
        Advice::Work => "open",
        Advice::Leave | Advice::Stop | Advice::Demanded => "leave",
        Advice::NoTime(_) => "no-time",
    }
}
