//! The pages of a bench tool: its questions, its results, and the same as JSON.

use serde_json::{Value as Json, json};

use super::forms::{Blank, ask};
use super::ink::{Ink, Page};
use super::page::{self, is_own};
use super::terminal::Terminal;
use crate::authoring::{Answers, ToolAtYard};
use crate::market::PriceSource;
use crate::recipe::{Hazard, HazardBook};
use crate::tool::{Figure, GivenInput, Input, InputKind, PriceUsed, Sheet, Value, are_numbers};
use crate::world::{AppError, ListedScript};

/// The text before the first question.
pub fn head(at: &ToolAtYard<'_>) -> Page {
    let mut page = Page::new();
    page.line(&[(Ink::Heading, &at.tool.title)]);
    at.tool.says.iter().for_each(|text| page.say(Ink::Plain, text));
    page
}

/// Asks for one input until the answer is accepted.
///
/// # Errors
/// Asking is not allowed, the input ends, or a piped answer is invalid.
pub fn ask_input(terminal: &Terminal, at: &ToolAtYard<'_>, input: &Input) -> Result<GivenInput, AppError> {
    terminal.blank_line();
    let mut lines = vec![input.question.clone()];
    let options = match &input.kind {
        Some(InputKind::Choice { options }) => options.clone(),
        Some(InputKind::YesNo) => vec!["yes".to_owned(), "no".to_owned()],
        _ => Vec::new(),
    };
    let words: Vec<(String, String)> = match &input.kind {
        Some(InputKind::Grade) => {
            let grades = terminal.world.host().catalogue().grades();
            grades.iter().map(|grade| (grade.id.clone(), grade.name.clone())).collect()
        }
        _ => options.iter().map(|option| (option.clone(), String::new())).collect(),
    };
    if are_numbers(&options) {
        lines.push(format!("  {}", options.join(", ")));
    } else if matches!(input.kind, Some(InputKind::Choice { .. })) {
        lines.extend(options.iter().enumerate().map(|(place, option)| format!("  {} {option}", place + 1)));
    } else {
        lines.push(format!("  {}", input.takes()));
    }
    let blank = Blank::new(lines.join("\n")).words(words);
    let blank = match (&input.usual, input.optional) {
        (Some(usual), _) => blank.or(usual.clone()),
        (None, true) => blank.or(""),
        (None, false) => blank,
    };
    let given = ask(terminal, &blank, |text| {
        if text.trim() == "?" {
            return Err(if input.says.is_empty() { format!("it takes {}", input.takes()) } else { input.says.clone() });
        }
        match (&input.usual, at.usual(input)) {
            (Some(usual), Some(given)) if usual == text => Ok(given),
            _ => at.read(input, text),
        }
    })?;
    terminal.say(Ink::Faint, &format!("  = {}", given.value.show(input, at.notation, at.unit)));
    Ok(given)
}

/// The results of a run.
pub fn sheet(at: &ToolAtYard<'_>, sheet: &Sheet, hazards: &HazardBook) -> Page {
    let mut page = Page::new();
    for figure in &sheet.figures {
        page.line(&[
            (Ink::Plain, &format!("{}: ", figure.label)),
            (Ink::Figure, &figure.amount.show(at.notation, at.unit)),
        ]);
    }
    sheet.verdicts.iter().for_each(|verdict| page.line(&[(Ink::Plain, "→ "), (Ink::Heading, verdict)]));
    sheet.remarks.iter().for_each(|remark| page.say(Ink::Plain, remark));
    for hazard in cautions(sheet, hazards) {
        page.blank();
        page.append(page::hazard(hazard));
    }
    rests_on(at, sheet, &mut page);
    page
}

fn cautions<'h>(sheet: &'h Sheet, hazards: &'h HazardBook) -> impl Iterator<Item = &'h Hazard> {
    sheet.cautions.iter().filter_map(|id| hazards.get(id))
}

/// Prices, table rows and sources: the basis of the figures.
fn rests_on(at: &ToolAtYard<'_>, sheet: &Sheet, page: &mut Page) {
    if !sheet.prices.is_empty() {
        page.line(&[(Ink::Faint, "Prices: "), (Ink::Plain, at.till.yard.name())]);
        if at.till.yard.is_sample() {
            page.say(Ink::Caution, "Sample prices: invented, not those of a real yard.");
        }
        sheet.prices.iter().for_each(|used| page.say(Ink::Faint, &format!("  {}", price_line(at, used))));
    }
    for row in &sheet.rows {
        let text = format!("{}: {} ({})", row.key, row.source, row.status);
        page.line(&[(Ink::Faint, "From: "), (Ink::Faint, &text)]);
    }
    at.tool.figures_from.iter().for_each(|text| page.line(&[(Ink::Faint, "Rests on: "), (Ink::Faint, text)]));
}

fn price_line(at: &ToolAtYard<'_>, used: &PriceUsed) -> String {
    match &used.found {
        Ok((name, priced_as, price, source)) => {
            let wider = if *priced_as == used.grade { String::new() } else { format!(", priced as {priced_as}") };
            let day = match source {
                PriceSource::Module { as_of } => as_of.to_string(),
                PriceSource::Quote { date, .. } => format!("quoted {date}"),
                PriceSource::Index { name, percent, date } => format!("{} % of {name} of {date}", percent.normalize()),
            };
            format!("{}: {name} at {}{wider}, {day}", used.grade, price.show(at.notation))
        }
        Err(why) => format!("{}: unsold here, {why}", used.grade),
    }
}

/// A run of a tool as versioned JSON; decimals are texts.
pub fn json(at: &ToolAtYard<'_>, answers: &Answers, sheet: &Sheet, hazards: &HazardBook) -> Json {
    let inputs = at.tool.inputs.iter().filter_map(|input| {
        let given = answers.get(&input.key)?;
        let text = given.value.exact(input);
        Some((input.key.clone(), if given.value == Value::Nothing { Json::Null } else { Json::String(text) }))
    });
    let figure = |figure: &Figure| {
        let (value, unit) = figure.amount.parts();
        json!({ "key": figure.key, "label": figure.label, "value": value, "unit": unit })
    };
    let price = |used: &PriceUsed| match &used.found {
        Ok((name, priced_as, price, _)) => json!({
            "grade": used.grade, "name": name, "priced_as": priced_as, "price": price.to_string(), "unsold": null,
        }),
        Err(why) => json!({ "grade": used.grade, "name": null, "priced_as": null, "price": null, "unsold": why }),
    };
    let yard = &at.till.yard;
    json!({
        "format": "knockdown-tool",
        "version": 1,
        "tool": at.tool.id,
        "yard": yard.id(),
        "currency": yard.currency().code(),
        "sample_prices": yard.is_sample(),
        "date": at.till.date.to_string(),
        "inputs": inputs.collect::<serde_json::Map<_, _>>(),
        "results": sheet.figures.iter().map(figure).collect::<Vec<_>>(),
        "verdicts": sheet.verdicts,
        "remarks": sheet.remarks,
        "cautions": cautions(sheet, hazards).map(page::hazard_json).collect::<Vec<_>>(),
        "prices": sheet.prices.iter().map(price).collect::<Vec<_>>(),
        "from": sheet.rows.iter().map(|row| json!({ "table": row.table, "row": row.key, "source": row.source, "status": row.status })).collect::<Vec<_>>(),
    })
}

/// All tools, one line each; with the reason next to each that cannot be used.
pub fn list(tools: &[(&ListedScript, Option<String>)]) -> Page {
    let mut page = Page::new();
    for (tool, trouble) in tools {
        page.line(&[
            (Ink::Name, &tool.id),
            (Ink::Plain, "  "),
            (Ink::Plain, tool.name()),
            (Ink::Faint, if is_own(tool) { "  (yours)" } else { "" }),
        ]);
        if let Some(off) = tool.switched_off() {
            page.line(&[(Ink::Plain, "  "), (Ink::Caution, &off)]);
        } else if let Some(why) = trouble {
            page.line(&[(Ink::Danger, "  cannot be used: "), (Ink::Plain, why)]);
        }
    }
    page.say(Ink::Faint, "Each is a command of its own: write its name, or its name and --help.");
    page
}

/// The document `{"format":"knockdown-tools","version":1,…}`.
pub fn list_json(tools: &[(&ListedScript, Option<String>)]) -> Json {
    let row = |(tool, trouble): &(&ListedScript, Option<String>)| json!({ "id": tool.id, "title": tool.name(), "own": is_own(tool), "error": trouble });
    json!({ "format": "knockdown-tools", "version": 1, "tools": tools.iter().map(row).collect::<Vec<_>>() })
}
