//! The tally as Markdown: a table in the common dialect, which any renderer shows.

use super::view::{self, ViewRow};
use crate::market::Tally;
use crate::shell::ink::sanitize;

/// The tally as Markdown. Text from scripts is escaped so that it stays text.
pub fn write(tally: &Tally) -> String {
    let mut out = format!("## {}\n\n", escape(&view::title(tally)));
    let paragraph = |out: &mut String, text: &str| {
        out.push_str(&escape(text));
        out.push_str("\n\n");
    };
    view::head(tally).iter().for_each(|(_, text)| paragraph(&mut out, text));
    out.push_str(&format!("| what | net weight | price | {} |\n|---|---:|---:|---:|\n", tally.currency()));
    view::rows(tally).iter().for_each(|row| out.push_str(&table_row(row)));
    out.push('\n');
    for block in view::tail(tally) {
        paragraph(&mut out, &block.title);
        block.facts.iter().for_each(|(_, text)| out.push_str(&format!("- {}\n", escape(text))));
        out.push('\n');
    }
    out.truncate(out.trim_end().len());
    out.push('\n');
    out
}

fn table_row(row: &ViewRow) -> String {
    let mark = if row.strong { "**" } else { "" };
    let notes: String = row.notes.iter().map(|note| format!("<br>{}", escape(note))).collect();
    let price = escape(&format!("{}{}", row.price, row.per));
    format!(
        "| {mark}{}{mark}{notes} | {} | {price} | {mark}{}{mark} |\n",
        escape(&row.label),
        escape(&format!("{}{}", row.weight, row.unit)),
        escape(&row.amount)
    )
}

/// The text with all special characters of Markdown and HTML escaped by a backslash or as an entity.
pub fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in sanitize(text).chars() {
        match c {
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '&' => out.push_str("&amp;"),
            '\\' | '`' | '*' | '_' | '[' | ']' | '#' | '|' | '~' | '!' => out.extend(['\\', c]),
            _ => out.push(c),
        }
    }
    out
}
