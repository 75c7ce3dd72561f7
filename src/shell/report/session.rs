//! Sessions and their sums as HTML.

use super::chart::{amount_bar, mass_bar};
use super::html::Html;
use super::{BOOKED, ESTIMATED, GOES_ON, NO_INCOME, NOTHING_BOOKED, Report, TO_SELL, hours, kilograms};
use crate::market::tally::TallyItem;
use crate::quantity::{Money, Notation};
use crate::sessions::history::SessionReport;
use crate::shell::balance_page;
use crate::shell::page::{annex_item, range, signed_digits};

/// The body of a report.
pub(super) fn page(report: &Report, html: &mut Html) {
    let count = report.sessions.len() + report.more;
    html.element("h1", &if count == 1 { "One session".to_owned() } else { format!("{count} sessions") });
    html.element("p class=\"faint\"", &format!("Made on {}. {ESTIMATED}", report.made));
    html.element("p class=\"faint\"", TO_SELL);
    if report.sessions.iter().any(|session| session.tally.prices.sample) {
        html.element(
            "p class=\"warn\"",
            "Some prices are invented samples of an invented yard. Enter your own yard's.",
        );
    }
    for (id, why) in &report.lapses {
        html.element("p class=\"warn\"", &format!("{id} could not be read: {why}"));
    }
    if report.all {
        booked(report, html);
    }
    if !report.books.estimates.is_empty() && count > 1 {
        estimates(report, html);
    }
    if report.more > 0 {
        html.element("p", &format!("The {} latest sessions follow, of {count}.", report.sessions.len()));
    }
    report.sessions.iter().for_each(|one| session(one, html));
}

fn booked(report: &Report, html: &mut Html) {
    let none = report.books.booked.is_empty();
    html.element("h2", "For your books").element("p", if none { NOTHING_BOOKED } else { BOOKED });
    for lacking in &report.lacking {
        html.element("p class=\"warn\"", &format!("Not in it: {lacking}"));
    }
    if none {
        return;
    }
    html.raw("<div class=\"books\">").table(&["period", "paid", "tickets", "lines", "sold by weight"]);
    for ((key, _), sum) in &report.books.booked {
        let (paid, lines) = (sum.paid.show(Notation::Point), sum.lines.show(Notation::Point));
        html.row("", &[key, &paid, &sum.tickets.to_string(), &lines, &kilograms(sum.sold)]);
    }
    html.end_table().raw("</div>\n");
}

fn estimates(report: &Report, html: &mut Html) {
    html.element("h2", "Estimates").element("p", NO_INCOME);
    html.raw("<div class=\"books\">").table(&["period", "estimated net", "sessions", "hours", "weighed to sell"]);
    for ((key, _), sum) in &report.books.estimates {
        let (net, sessions) = (sum.net.show(Notation::Point), sum.sessions.to_string());
        html.row("", &[key, &net, &sessions, &hours(sum.minutes), &kilograms(sum.weighed)]);
    }
    html.end_table().raw("</div>\n");
}

fn session(session: &SessionReport, html: &mut Html) {
    let tally = &session.tally;
    let (unit, notation) = (tally.yard.unit, session.notation);
    html.element("h2", &format!("{}, {}", tally.unit_name, session.day));
    let person = session.person.as_ref().map(|person| format!(", {person}")).unwrap_or_default();
    let tags: String = session.tags.iter().map(|tag| format!(" #{tag}")).collect();
    html.element("p class=\"faint\"", &format!("{}{person}. At {}.{tags}", session.id, tally.yard.name));
    let intake = tally.intake.map(|mass| format!("Weighed {} as it came. ", mass.show_friendly(unit, notation)));
    let weighed = session.weighed_to_sell().show_friendly(unit, notation);
    html.element("p", &format!("{}Weighed to sell: {weighed}.", intake.unwrap_or_default()));
    if !session.ended {
        html.element("p class=\"warn\"", GOES_ON);
    }
    for problem in &tally.problems {
        html.element("p class=\"warn\"", &problem.words(unit, notation));
    }
    if !session.still_inside.is_empty() {
        let items: Vec<String> = session.still_inside.iter().map(|item| annex_item(item)).collect();
        html.element(
            "p class=\"warn\"",
            &format!("Still inside: {}. Tell whoever takes the remainder.", items.join("; ")),
        );
    }
    tally_table(session, html);
    html.element("h3", "What it was made of");
    mass_bar(&session.masses, unit, notation, html);
    steps(session, html);
    yields(session, html);
    for line in balance_page::page(session.balance.as_ref(), unit, notation).lines() {
        let text: String = line.iter().map(|span| span.text()).collect();
        html.element("p", &text);
    }
    for unfit in &session.unfit {
        html.element("p class=\"warn\"", &format!("Answer not used: {} = {}: {}", unfit.name, unfit.exact, unfit.why));
    }
    for remark in &session.remarks {
        html.element("p class=\"warn\"", remark);
    }
}

fn tally_table(session: &SessionReport, html: &mut Html) {
    let (tally, notation) = (&session.tally, session.notation);
    let unit = tally.yard.unit;
    let digits = |money: Money| money.digits(notation);
    html.element("h3", "Tally, an estimate").table(&["what", "net weight", "price", tally.currency().code()]);
    for line in &tally.lines {
        let part = |item: &TallyItem| match item.remainder {
            true => format!("what is left of {}", item.part),
            false => item.part.clone(),
        };
        let parts: Vec<String> = line.items.iter().map(part).collect();
        let net = line.net.map(|net| net.show(unit, 3, notation)).unwrap_or_default();
        let name = format!("{}: {}", line.priced.name, parts.join(", "));
        html.row("", &[&name, &net, &line.priced.price.show(notation), &digits(line.amount)]);
    }
    for cost in tally.costs.iter().filter(|cost| cost.counted) {
        html.row("", &[&cost.name, "", "", &digits(cost.amount.negated())]);
    }
    if !tally.rounding.amount().is_zero() {
        html.row("", &["Cash rounding", "", "", &digits(tally.rounding)]);
    }
    html.row("sum", &["Net", "", "", &digits(tally.net)]);
    if let Ok(whole) = &tally.whole.value {
        html.row("", &["Sold whole instead", "", "", &digits(*whole)]);
    }
    if let Some(gain) = tally.gain {
        html.row("sum", &["Gain by taking it apart", "", "", &digits(gain)]);
    }
    if let Some(hourly) = tally.per_hour {
        let minutes = notation.show(tally.minutes.get().round_dp(1));
        html.row("", &[&format!("Gain per hour ({minutes} min)"), "", "", &digits(hourly)]);
    }
    for item in &tally.unsold {
        let net = item.mass.map(|mass| mass.show(unit, 3, notation)).unwrap_or_default();
        html.row("", &[&format!("{}: {}", item.part, item.reason.words(notation)), &net, "", "unsold"]);
    }
    html.end_table();
}

fn steps(session: &SessionReport, html: &mut Html) {
    if session.steps.is_empty() {
        return;
    }
    let all: Vec<Option<Money>> = session.steps.iter().map(|step| step.per_hour).collect();
    html.element("h3", "What each step adds, by estimate");
    let code = session.tally.currency().code();
    html.raw("<div class=\"steps\">").table(&["step", "min", &format!("adds {code}"), "per hour", "|"]);
    for step in &session.steps {
        let minutes = session.notation.show(step.minutes.get().round_dp(1));
        html.raw("<tr>").element("td", &step.title).element("td class=\"figure\"", &minutes);
        html.element("td class=\"figure\"", &signed_digits(step.adds, session.notation));
        let hourly = step.per_hour.map(|money| signed_digits(money, session.notation)).unwrap_or_default();
        html.element("td class=\"figure\"", &hourly).raw("<td class=\"wide\">");
        amount_bar(step.per_hour, &all, html);
        html.raw("</td></tr>\n");
    }
    html.end_table().raw("</div>\n");
    html.element("p class=\"faint\"", "A step that only makes way for others adds nothing, or loses, by itself.");
}

fn yields(session: &SessionReport, html: &mut Html) {
    if session.yields.is_empty() {
        return;
    }
    let (unit, notation) = (session.tally.yard.unit, session.notation);
    html.element("h3", "Weights against the recipe").table(&["part", "weighed", "recipe", "range"]);
    for row in &session.yields {
        let weight = row.weight.map(|mass| mass.show_friendly(unit, notation)).unwrap_or_default();
        html.row("", &[&row.part, &weight, &range(&row.expected, unit, notation), row.verdict]);
    }
    html.end_table();
}
