//! The totals of replayed sessions as text.

use rust_decimal::Decimal;

use super::layout::PageLayout;
use crate::market::Effects;
use crate::quantity::{Money, Notation};
use crate::sessions::history::{ReplayTotals, Sums, Total};
use crate::shell::ink::{Ink, Page};
use crate::shell::page::signed_digits;
use crate::shell::table::TextTable;

/// By recipe, by month, and in total. `asked` are the yards asked for, at each of which every session was replayed; if
/// it is empty, each session was replayed at its own yard only, so that the numbers add up.
pub(super) fn totals_page(totals: &ReplayTotals, asked: &[String], layout: PageLayout) -> Page {
    let mut page = Page::new();
    let tables = [
        ("By recipe", "recipe", &totals.by_recipe),
        ("By month", "month", &totals.by_month),
        ("All together", "all", &totals.all),
    ];
    for (place, (title, key, sums)) in tables.into_iter().enumerate() {
        if place > 0 {
            page.blank();
        }
        page.line(&[(Ink::Heading, title)]);
        page.append(sums_page(key, sums, asked, layout));
    }
    page
}

/// One table if it fits; else the net at each yard, side by side, and then the causes of the difference at each; else
/// one fact per line.
fn sums_page(key: &str, sums: &Sums, asked: &[String], layout: PageLayout) -> Page {
    let yards = yards(sums, asked);
    let whole = whole(key, sums, yards.len() > 1, layout.notation);
    let nets = nets(key, sums, &yards, asked.is_empty(), layout.notation);
    if layout.plain || whole.fits(layout.columns) || !nets.fits(layout.columns) {
        return whole.page(layout.columns, layout.plain);
    }
    let mut page = nets.page(layout.columns, false);
    for yard in &yards {
        page.blank();
        let title = match yards.len() {
            1 => "What makes the difference".to_owned(),
            _ => format!("The difference at {yard}"),
        };
        page.line(&[(Ink::Heading, &title)]);
        page.append(differences(key, sums, yard, layout.notation).page(layout.columns, false));
    }
    page
}

/// The yards in these sums: in the order asked for, else by name.
fn yards<'s>(sums: &'s Sums, asked: &[String]) -> Vec<&'s str> {
    let mut yards: Vec<&str> = sums.keys().map(|(_, yard, _)| yard.as_str()).collect();
    yards.sort_by_key(|yard| (asked.iter().position(|known| known == yard), *yard));
    yards.dedup();
    yards
}

fn whole(key: &str, sums: &Sums, several: bool, notation: Notation) -> TextTable {
    let heads = [key, "at", "n", "was", "nets", "price", "mix", "yield", "hours"];
    let mut table = TextTable::new(&heads.into_iter().filter(|head| several || *head != "at").collect::<Vec<_>>());
    for ((name, yard, _), total) in sums {
        let [_, price, mix, yielded] = effects(total, notation);
        let mut row = vec![(Ink::Name, name.clone())];
        row.extend(several.then(|| (Ink::Plain, yard.clone())));
        row.extend([
            (Ink::Figure, total.sessions.to_string()),
            (Ink::Plain, was(total, notation)),
            (Ink::Money, total.net.show(notation)),
            price,
            mix,
            yielded,
            (Ink::Figure, hours(total.minutes, notation)),
        ]);
        table.row(row);
    }
    table
}

/// The net of each key, one column per yard.
fn nets(key: &str, sums: &Sums, yards: &[&str], own: bool, notation: Notation) -> TextTable {
    let mut heads = vec![key, "n", "hours"];
    match yards {
        [_] => heads.push("nets"),
        several => heads.extend(several),
    }
    let mut table = TextTable::new(&heads);
    let mut names: Vec<&str> = sums.keys().map(|(name, _, _)| name.as_str()).collect();
    names.dedup();
    for name in names {
        let of_name: Vec<_> = sums.iter().filter(|((known, _, _), _)| known == name).collect();
        let counted = of_name.iter().map(|(_, total)| *total).take(if own { of_name.len() } else { 1 });
        let (sessions, minutes) = counted.fold((0, Decimal::ZERO), |(sessions, minutes), total| {
            (sessions + total.sessions, minutes + total.minutes)
        });
        let mut row = vec![(Ink::Name, name.to_owned())];
        row.push((Ink::Figure, sessions.to_string()));
        row.push((Ink::Figure, hours(minutes, notation)));
        row.extend(yards.iter().map(|yard| {
            let here = of_name.iter().filter(|((_, known, _), _)| known == yard);
            let nets: Vec<String> = here.map(|(_, total)| total.net.show(notation)).collect();
            (Ink::Money, nets.join(" + "))
        }));
        table.row(row);
    }
    table
}

/// The original net of each key, and the causes of the difference at one yard.
fn differences(key: &str, sums: &Sums, yard: &str, notation: Notation) -> TextTable {
    let mut table = TextTable::new(&[key, "was", "difference", "price", "mix", "yield"]);
    for ((name, _, _), total) in sums.iter().filter(|((_, known, _), _)| known == yard) {
        let mut row = vec![(Ink::Name, name.clone()), (Ink::Plain, was(total, notation))];
        row.extend(effects(total, notation));
        table.row(row);
    }
    table
}

fn effects(total: &Total, notation: Notation) -> [(Ink, String); 4] {
    effect_cells((total.comparable > 0).then_some(&total.effects), notation)
}

/// The original net of those sessions that can be compared at all.
fn was(total: &Total, notation: Notation) -> String {
    match total.comparable {
        0 => String::new(),
        n if n < total.sessions => format!("{} ({n} of them)", total.was.show(notation)),
        _ => total.was.show(notation),
    }
}

fn hours(minutes: Decimal, notation: Notation) -> String {
    notation.show((minutes / Decimal::from(60)).round_dp(1))
}

/// Difference, price, mix, yield.
pub(super) fn effect_cells(effects: Option<&Effects>, notation: Notation) -> [(Ink, String); 4] {
    let Some(effects) = effects else {
        return ["other currency", "", "", ""].map(|text| (Ink::Faint, text.to_owned()));
    };
    let bare = |money: Money| signed_digits(money, notation);
    let total = effects.total().map(bare).unwrap_or_default();
    [
        (Ink::Money, total),
        (Ink::Plain, bare(effects.price)),
        (Ink::Plain, bare(effects.mix)),
        (Ink::Plain, bare(effects.yielded)),
    ]
}
