//! A recipe compared with sessions, as text.

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

use super::layout::PageLayout;
use super::strip::{Strip, against};
use crate::naming::counted;
use crate::quantity::{Estimate, Mass, MassUnit, Notation};
use crate::sessions::history::{Comparison, MinutesReport, PartReport};
use crate::shell::ink::{Ink, Page};
use crate::shell::page::range;
use crate::stats::outliers::Method;

/// One user's comparison, with its name.
pub type Named<'c> = (&'c str, &'c Comparison);

/// The page: every part and every step, for one folder or several side by side.
pub fn page(all: &[Named<'_>], unit: MassUnit, layout: PageLayout) -> Page {
    let mut page = Page::new();
    let Some((_, first)) = all.first() else { return page };
    page.line(&[(Ink::Heading, &first.name), (Ink::Plain, &format!(", {} over sessions", first.recipe))]);
    for (name, comparison) in all {
        head(name, comparison, unit, layout.notation, &mut page);
    }
    for (place, part) in first.parts.iter().enumerate() {
        let reports: Vec<(&str, &PartReport)> =
            all.iter().filter_map(|(name, c)| Some((*name, c.parts.get(place)?))).collect();
        if reports.iter().any(|(_, part)| part.summary.is_some() || part.absent + part.too_light > 0) {
            page.blank();
            head_of_part(part, unit, layout.notation, &mut page);
            reports.iter().for_each(|(name, part)| part_page(name, part, unit, layout, &mut page));
        }
    }
    page.blank();
    page.line(&[(Ink::Heading, "Minutes")]);
    for (place, step) in first.steps.iter().enumerate() {
        for (name, comparison) in all {
            if let Some(report) = comparison.steps.get(place).filter(|report| report.summary.is_some()) {
                step_line(name, step, report, layout, &mut page);
            }
        }
    }
    page.blank();
    page.say(Ink::Faint, "Ranges: the t interval at 95 % for the mean. Strip: a digit counts sessions (+ more than 9), - lies within the recipe's range, . outside it.");
    page.say(Ink::Faint, "An outlier is a question to whoever weighed. Only what a slip explains is left out of what is to be expected next time.");
    page
}

fn head(name: &str, comparison: &Comparison, unit: MassUnit, notation: Notation, page: &mut Page) {
    let sessions = comparison.sessions.len();
    let span = match (comparison.sessions.first(), comparison.sessions.last()) {
        (Some(first), Some(last)) if sessions > 1 => format!(", {first} to {last}"),
        (Some(only), _) => format!(", {only}"),
        _ => String::new(),
    };
    page.line(&[(Ink::Name, name), (Ink::Plain, &format!(": {}{span}", counted(sessions, "session")))]);
    if let Some(intake) = &comparison.intake {
        let over = counted(intake.n(), "session");
        let text = format!("  intake: mean {} over {over}", grams(intake.mean(), unit, notation));
        page.say(Ink::Plain, &text);
    }
    for (currency, summary) in &comparison.per_hour {
        let sd = summary.sd().map(|sd| format!(", sd {}", number(sd, 2, notation))).unwrap_or_default();
        page.line(&[
            (Ink::Plain, "  gain per hour as it was: mean "),
            (Ink::Money, &format!("{} {currency}", number(summary.mean(), 2, notation))),
            (Ink::Plain, &format!(" over {}{sd}", summary.n())),
        ]);
    }
    if let Some(summary) = &comparison.recovery {
        let mean = format!("{} %", number(summary.mean(), 1, notation));
        let sd = summary.sd().map(|sd| format!(", sd {}", number(sd, 1, notation))).unwrap_or_default();
        page.line(&[
            (Ink::Plain, "  recovery: mean "),
            (Ink::Figure, &mean),
            (Ink::Plain, &format!(" of the intake over {}{sd}: metal that the yard pays for", summary.n())),
        ]);
    }
}

fn head_of_part(part: &PartReport, unit: MassUnit, notation: Notation, page: &mut Page) {
    page.line(&[
        (Ink::Heading, &part.part),
        (Ink::Plain, "  recipe: "),
        (Ink::Figure, &range(&part.expected, unit, notation)),
    ]);
}

fn part_page(name: &str, part: &PartReport, unit: MassUnit, layout: PageLayout, page: &mut Page) {
    let notation = layout.notation;
    let show = |value: f64| grams(value, unit, notation);
    let lead = format!("  {name}: ");
    let Some(summary) = &part.summary else {
        let text = format!("never weighed; not there in {}, too light in {}", part.absent, part.too_light);
        return page.line(&[(Ink::Name, &lead), (Ink::Plain, &text)]);
    };
    let sd = summary.sd().map(|sd| format!(", sd {}", show(sd))).unwrap_or_default();
    let mean = part.interval.map(|i| format!(" ({} to {})", show(i.low), show(i.high))).unwrap_or_default();
    let text = format!("n {}, mean {}{mean}{sd}, median {}", summary.n(), show(summary.mean()), show(summary.median()));
    page.line(&[(Ink::Name, &lead), (Ink::Figure, &text)]);
    page.say(Ink::Plain, &format!("    from {} to {}", show(summary.min()), show(summary.max())));
    if let Some(share) = &part.share {
        let text =
            format!("    {} % of the intake on average ({} units)", number(share.mean(), 1, notation), share.n());
        page.say(Ink::Plain, &text);
    }
    if part.absent + part.too_light > 0 {
        page.say(
            Ink::Plain,
            &format!("    not there in {}, too light for the scale in {}", part.absent, part.too_light),
        );
    }
    chart(part, &show, layout, page);
    for flagged in &part.outliers.flagged {
        let session = part.weights.get(flagged.index).map_or("", |(session, _)| session.as_str());
        let method = match part.outliers.method {
            Method::PriorPredictive => "against the recipe's range",
            Method::ModifiedZ => "by its distance from the median",
            Method::GeneralisedEsd => "by the generalised ESD test",
            Method::NotTested => "",
        };
        let text = format!("{} in {session} stands apart, {method}", show(flagged.value));
        page.line(&[(Ink::Caution, "    Outlier: "), (Ink::Plain, &text)]);
    }
    for slip in &part.slips {
        let text = format!("{} in {} is {slip}", slip.mass.show_friendly(unit, notation), slip.session);
        page.line(&[(Ink::Caution, "    Left out: "), (Ink::Plain, &text)]);
    }
    if let Some(foreseen) = &part.foreseen {
        let by = if foreseen.by_share { ", by share of intake" } else { "" };
        let text = format!("    next time: {}{by}, 9 of 10 units", range(&foreseen.weight, unit, notation));
        page.say(Ink::Plain, &text);
    }
}

fn chart(part: &PartReport, show: &impl Fn(f64) -> String, layout: PageLayout, page: &mut Page) {
    let values: Vec<f64> = part.weights.iter().map(|(_, grams)| *grams).collect();
    let Some(ends) = ends(&part.expected) else { return };
    let (below, within, above) = against(&values, ends);
    page.say(Ink::Plain, &format!("    {within} within the recipe's range, {below} below, {above} above"));
    if let Some(strip) = Strip::new(&values, ends).filter(|_| !layout.plain) {
        let text = format!("    {} [{}] {}", show(strip.low), strip.draw(ends), show(strip.high));
        page.line(&[(Ink::Figure, &text)]);
    }
}

fn ends(expected: &Estimate<Mass>) -> Option<(f64, f64)> {
    Some((expected.low().grams().to_f64()?, expected.high().grams().to_f64()?))
}

fn step_line(name: &str, step: &MinutesReport, report: &MinutesReport, layout: PageLayout, page: &mut Page) {
    let Some(summary) = &report.summary else { return };
    let notation = layout.notation;
    let min = |value: f64| number(value, 1, notation);
    let sd = summary.sd().map(|sd| format!(", sd {}", min(sd))).unwrap_or_default();
    let text = format!(
        ", {name}: n {}, mean {} min{sd}, median {}; recipe {} ({} to {})",
        summary.n(),
        min(summary.mean()),
        min(summary.median()),
        notation.show(step.expected.usual().get()),
        notation.show(step.expected.low().get()),
        notation.show(step.expected.high().get()),
    );
    page.line(&[(Ink::Plain, "  "), (Ink::Name, &step.title), (Ink::Figure, &text)]);
    if let Some(trend) = &report.trend {
        let change = (trend.per_doubling() - 1.0) * 100.0;
        let sure = trend.is_distinct(crate::sessions::history::CONFIDENCE).unwrap_or(false);
        let word = if sure { "" } else { " (could be chance)" };
        let side = if change < 0.0 { "less" } else { "more" };
        page.say(
            Ink::Plain,
            &match number(change.abs(), 0, notation).as_str() {
                "0" => "    no change with practice".to_owned(),
                percent => format!("    {percent} % {side} each time practice doubles{word}"),
            },
        );
    }
}

/// A mass in grams from statistics, to three significant digits.
fn grams(value: f64, unit: MassUnit, notation: Notation) -> String {
    let mass = Decimal::try_from(value).ok().and_then(|grams| Mass::from_grams(grams.round_dp(3)).ok());
    mass.map_or_else(|| "?".to_owned(), |mass| mass.show_rough(unit, notation))
}

fn number(value: f64, places: u32, notation: Notation) -> String {
    Decimal::try_from(value).map_or_else(|_| "?".to_owned(), |value| notation.show(value.round_dp(places)))
}
