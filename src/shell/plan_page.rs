//! Pages of a plan: the steps, the places to stop, the parts, and how sure it all is.

use super::ink::{Ink, Page};
use super::page::signed;
use crate::app::{Chances, DepthPlan, PlanWishes, Stop, Valuation};
use crate::quantity::{Minutes, Money, Notation};
use crate::recipe::Recipe;

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
    head(&mut page, valuation, wishes);
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
        sure(&mut page, chances, valuation);
    }
    page
}

fn head(page: &mut Page, valuation: &Valuation, wishes: &PlanWishes) {
    if valuation.yard.is_sample() {
        page.say(Ink::Caution, "Sample prices: invented, not those of a real yard.");
    }
    page.say(
        Ink::Plain,
        &format!(
            "Valued on {}, with prices of {}, at usual weights and times.",
            valuation.date,
            valuation.yard.as_of()
        ),
    );
    if let Some(text) = by_own_sessions(wishes) {
        page.say(Ink::Plain, &text);
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

/// Whose figures the weights are, once the person's own sessions speak of any.
fn by_own_sessions(wishes: &PlanWishes) -> Option<String> {
    let sessions = if wishes.sessions == 1 { "session" } else { "sessions" };
    let parts = if wishes.foreseen.len() == 1 { "part" } else { "parts" };
    (!wishes.foreseen.is_empty()).then(|| {
        let count = wishes.foreseen.len();
        format!("By your {} {sessions}: what {count} {parts} weigh. All else by the recipe.", wishes.sessions)
    })
}

fn verdict(page: &mut Page, plan: &DepthPlan, notation: Notation) {
    match &plan.whole_unsold {
        None => page.line(&[(Ink::Plain, "Sold whole: "), (Ink::Money, &plan.whole.show(notation))]),
        Some(why) => page
            .line(&[(Ink::Plain, "Sold whole: "), (Ink::Caution, &format!("unsold here, {why}; counted as nothing"))]),
    }
    if plan.steps.is_empty() {
        page.line(&[(Ink::Heading, "Sell it whole: "), (Ink::Plain, "no work on it brings more.")]);
        return;
    }
    let gain = signed(plan.gain, notation);
    let better = plan.gain.amount() > rust_decimal::Decimal::ZERO;
    let advice = if better { "Take it apart: " } else { "Selling it whole brings more: " };
    let rate = hourly(plan.per_hour, notation);
    let facts =
        format!("net {}, {gain} over whole, {} of work, {rate}", plan.net.show(notation), time(plan.minutes, notation));
    page.line(&[(Ink::Heading, advice), (Ink::Plain, &facts)]);
    if !better {
        page.say(
            Ink::Plain,
            "The steps below are what opening it needs at the least, with what the law wants out first.",
        );
    }
    if let Some(gap) = plan.gap {
        page.line(&[
            (Ink::Caution, "Not proven best: "),
            (Ink::Plain, &format!("another plan may bring up to {} more.", gap.show(notation))),
        ]);
    }
}

fn steps(page: &mut Page, recipe: &Recipe, plan: &DepthPlan, notation: Notation) {
    if plan.steps.is_empty() {
        return;
    }
    page.line(&[(Ink::Heading, "Steps, in the order that brings most soonest")]);
    for (number, step) in plan.steps.iter().enumerate() {
        let title = recipe.steps().get(step.place).map_or("", |step| step.title.as_str());
        let demanded = if step.demanded { "  (the law wants this out)" } else { "" };
        page.line(&[(Ink::Figure, &format!("{:>3}. ", number + 1)), (Ink::Name, title), (Ink::Faint, demanded)]);
        let facts = format!(
            "     adds {}, net {} after {}",
            signed(step.adds, notation),
            step.net.show(notation),
            time(step.minutes, notation)
        );
        page.line(&[(Ink::Plain, &facts)]);
    }
}

fn rung(page: &mut Page, recipe: &Recipe, stop: &Stop, notation: Notation) {
    let Some(last) = stop.last_hour.or(stop.per_hour) else {
        page.line(&[(Ink::Name, "  Sell it whole: "), (Ink::Money, &stop.net.show(notation))]);
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
        let advice = if part.open { "open it" } else { "sell it as it is" };
        let facts = format!(
            "as it is it brings {}; opening adds {}, {}",
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

fn sure(page: &mut Page, chances: &Chances, valuation: &Valuation) {
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
            "  Over whole: {} {code} as often as not; one time in ten under {}, one in ten over {}.",
            show(gain.p50),
            show(gain.p10),
            show(gain.p90)
        ),
    );
    page.say(
        Ink::Plain,
        &format!(
            "  An hour: {} {code}; one time in ten under {}, one in ten over {}.",
            show(rate.p50),
            show(rate.p10),
            show(rate.p90)
        ),
    );
    page.say(
        Ink::Plain,
        &format!(
            "  Opening it beats selling it whole in {:.0} of 100 units, time not counted.",
            chances.worth_it * 100.0
        ),
    );
    page.say(
        Ink::Faint,
        "  Assumes that weights and times vary independently between the recipe's low and high, and that prices hold.",
    );
}

/// Several yards beside each other: the verdict at each.
pub fn side_by_side(recipe: &Recipe, planned: &[(Valuation, PlanWishes, DepthPlan)]) -> Page {
    let mut page = Page::new();
    page.line(&[(Ink::Heading, &recipe.unit().name)]);
    for (valuation, wishes, plan) in planned {
        page.blank();
        page.line(&[(Ink::Name, valuation.yard.name())]);
        head(&mut page, valuation, wishes);
        verdict(&mut page, plan, valuation.notation);
        let titles: Vec<&str> = plan
            .steps
            .iter()
            .filter_map(|step| recipe.steps().get(step.place))
            .map(|step| step.title.as_str())
            .collect();
        if !titles.is_empty() {
            page.line(&[(Ink::Plain, "Steps: "), (Ink::Plain, &titles.join("; "))]);
        }
    }
    page
}
