//! A report as Markdown.

use super::{BOOKED, ESTIMATED, GOES_ON, NO_INCOME, NOTHING_BOOKED, Report, TO_SELL, hours, kilograms};
use crate::naming::counted;
use crate::quantity::Notation;
use crate::sessions::history::SessionReport;
use crate::shell::balance_page;
use crate::shell::page::{annex_item, range, signed};
use crate::shell::tally::markdown::{escape, write as tally};

/// The report as Markdown: tables in the common dialect, which any renderer shows.
pub fn write(report: &Report) -> String {
    let count = report.sessions.len() + report.more;
    let mut out = format!("# {}\n\n", counted(count, "session"));
    out.push_str(&format!("Made on {}. {ESTIMATED}\n\n{TO_SELL}\n\n", escape(&report.made)));
    for (id, why) in &report.lapses {
        out.push_str(&format!("**{} could not be read:** {}\n\n", escape(id), escape(why)));
    }
    if report.all {
        booked(report, &mut out);
    }
    if !report.books.estimates.is_empty() && count > 1 {
        out.push_str(&format!("## Estimates\n\n{NO_INCOME}\n\n"));
        out.push_str("| period | sessions | estimated net | hours | weighed to sell |\n|---|---:|---:|---:|---:|\n");
        for ((key, _), sum) in &report.books.estimates {
            let (net, hours, weighed) = (sum.net.show(Notation::Point), hours(sum.minutes), kilograms(sum.weighed));
            out.push_str(&format!("| {} | {} | {net} | {hours} | {weighed} |\n", escape(key), sum.sessions));
        }
        out.push('\n');
    }
    report.sessions.iter().for_each(|one| session(one, &mut out));
    out
}

fn booked(report: &Report, out: &mut String) {
    let none = report.books.booked.is_empty();
    out.push_str(&format!("## For your books\n\n{}\n\n", if none { NOTHING_BOOKED } else { BOOKED }));
    for lacking in &report.lacking {
        out.push_str(&format!("**Not in it:** {}\n\n", escape(lacking)));
    }
    if none {
        return;
    }
    out.push_str("| period | tickets | paid | lines | sold by weight |\n|---|---:|---:|---:|---:|\n");
    for ((key, _), sum) in &report.books.booked {
        let (paid, lines, sold) =
            (sum.paid.show(Notation::Point), sum.lines.show(Notation::Point), kilograms(sum.sold));
        out.push_str(&format!("| {} | {} | {paid} | {lines} | {sold} |\n", escape(key), sum.tickets));
    }
    out.push('\n');
}

fn session(session: &SessionReport, out: &mut String) {
    let (unit, notation) = (session.tally.yard.unit, session.notation);
    out.push_str(&tally(&session.tally));
    let weighed = session.weighed_to_sell().show_friendly(unit, notation);
    let tags: String = session.tags.iter().map(|tag| format!(" #{tag}")).collect();
    out.push_str(&format!(
        "\nSession {}. Weighed to sell: {}.{}\n\n",
        escape(&session.id),
        escape(&weighed),
        escape(&tags)
    ));
    if !session.ended {
        out.push_str(&format!("**{GOES_ON}**\n\n"));
    }
    if !session.still_inside.is_empty() {
        let items: Vec<String> = session.still_inside.iter().map(|item| annex_item(item)).collect();
        out.push_str(&format!("**Still inside:** {}\n\n", escape(&items.join("; "))));
    }
    if !session.steps.is_empty() {
        out.push_str("| step | min | adds | per hour |\n|---|---:|---:|---:|\n");
        for step in &session.steps {
            let hourly = step.per_hour.map(|money| signed(money, notation)).unwrap_or_default();
            let minutes = notation.show(step.minutes.get().round_dp(1));
            out.push_str(&format!(
                "| {} | {minutes} | {} | {hourly} |\n",
                escape(&step.title),
                signed(step.adds, notation)
            ));
        }
        out.push('\n');
    }
    if !session.yields.is_empty() {
        out.push_str("| part | weighed | recipe | range |\n|---|---:|---:|---|\n");
        for row in &session.yields {
            let weight = row.weight.map(|mass| mass.show_friendly(unit, notation)).unwrap_or_default();
            out.push_str(&format!(
                "| {} | {weight} | {} | {} |\n",
                escape(&row.part),
                range(&row.expected, unit, notation),
                row.verdict
            ));
        }
        out.push('\n');
    }
    for line in balance_page::page(session.balance.as_ref(), unit, notation).lines() {
        let text: String = line.iter().map(|span| span.text()).collect();
        out.push_str(&format!("{}\n\n", escape(&text)));
    }
    for remark in &session.remarks {
        out.push_str(&format!("**Note:** {}\n\n", escape(remark)));
    }
}
