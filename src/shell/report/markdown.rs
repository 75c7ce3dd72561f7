//! A report as Markdown.

use super::{Report, SOLD, VALUED, hours, kilograms};
use crate::app::memory::SessionReport;
use crate::naming::counted;
use crate::quantity::Notation;
use crate::shell::balance_page;
use crate::shell::page::{annex_item, range, signed};
use crate::shell::tally::markdown::{escape, write as tally};

/// The report as Markdown: tables that any renderer of the common dialect shows.
pub fn write(report: &Report) -> String {
    let count = report.sessions.len() + report.more;
    let mut out = format!("# {}\n\n", counted(count, "session"));
    out.push_str(&format!("Made on {}. {VALUED}\n\n{SOLD}\n\n", escape(&report.made)));
    for (id, why) in &report.lapses {
        out.push_str(&format!("**{} could not be read:** {}\n\n", escape(id), escape(why)));
    }
    if count > 1 {
        out.push_str(
            "## For your books\n\n| period | sessions | net | hours | weighed and sold |\n|---|---:|---:|---:|---:|\n",
        );
        for ((key, _), sum) in report.books.years.iter().chain(&report.books.months) {
            out.push_str(&format!(
                "| {} | {} | {} | {} | {} |\n",
                escape(key),
                sum.sessions,
                sum.net.show(Notation::Point),
                hours(sum.minutes),
                kilograms(sum.sold)
            ));
        }
        out.push('\n');
    }
    report.sessions.iter().for_each(|one| session(one, &mut out));
    out
}

fn session(session: &SessionReport, out: &mut String) {
    let (unit, notation) = (session.tally.yard.unit, session.notation);
    out.push_str(&tally(&session.tally));
    let sold = session.weighed_and_sold().show_friendly(unit, notation);
    let tags: String = session.tags.iter().map(|tag| format!(" #{tag}")).collect();
    out.push_str(&format!(
        "\nSession {}. Weighed and sold: {}.{}\n\n",
        escape(&session.id),
        escape(&sold),
        escape(&tags)
    ));
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
