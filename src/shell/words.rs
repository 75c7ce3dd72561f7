//! The reference of the script language, generated from the list of its words.

use std::fmt::Write as _;

use super::ink::{Ink, Page};
use crate::script::{WEIGHT_SIGNS, WORDS, Word};

/// One sentence on what the words of a kind belong to.
fn belongs(of: &str) -> &'static str {
    match of {
        "script" => "Words that begin a statement",
        "unit" => "Behind unit(…)",
        "step" => "Behind step(…)",
        "bench" => "On the bench, in a step's .work(|bench| { … })",
        "yard" => "Behind yard(…)",
        "price" => "Behind buys(…), pays_each(…) or charges(…)",
        "lot" => "On the lot, in mixed(|lot| …)",
        "weight range" => "Behind a range of weights",
        "tool" => "Behind tool(…)",
        "input" => "Behind input(…)",
        "example" => "Behind example(…)",
        "sheet" => "On the sheet, in works_out(|sheet| { … }); sheet.KEY is an answer",
        "rate" => "On a price that sheet.price(…) or an input gives",
        "number" => "On a number",
        _ => "Others",
    }
}

/// The kinds of words, in the order in which an author meets them.
fn kinds() -> Vec<&'static str> {
    let mut kinds: Vec<&str> = Vec::new();
    for word in WORDS.iter() {
        if !kinds.contains(&word.of) {
            kinds.push(word.of);
        }
    }
    kinds
}

/// All words, one line each.
pub fn list() -> Page {
    let mut page = Page::new();
    for of in kinds() {
        page.blank();
        page.say(Ink::Heading, belongs(of));
        for word in WORDS.iter().filter(|word| word.of == of) {
            let head = format!("{}({})", word.name, word.takes);
            page.line(&[(Ink::Name, &format!("  {head}  ")), (Ink::Plain, word.does)]);
        }
    }
    page.blank();
    page.say(Ink::Heading, "Weights");
    for (sign, does, _) in WEIGHT_SIGNS {
        page.line(&[(Ink::Name, &format!("  {sign}  ")), (Ink::Plain, does)]);
    }
    page
}

/// Words in full: what each takes, does and returns, its units, an example.
pub fn full<'a>(words: impl Iterator<Item = &'a Word>) -> Page {
    let mut page = Page::new();
    for word in words {
        page.blank();
        page.line(&[
            (Ink::Heading, &format!("{}({})", word.name, word.takes)),
            (Ink::Faint, &format!("  {}", belongs(word.of))),
        ]);
        page.say(Ink::Plain, &format!("  {}", word.does));
        for (label, text) in [("units: ", word.units()), ("gives: ", word.gives()), ("such as: ", word.example)] {
            if !text.is_empty() {
                page.line(&[(Ink::Faint, "  "), (Ink::Faint, label), (Ink::Plain, text)]);
            }
        }
    }
    page
}

/// The whole reference as Markdown.
pub fn markdown() -> String {
    let mut text = String::from("# Words of the script language\n\nEvery example is run by a test.\n");
    for of in kinds() {
        // Writing to a string cannot fail.
        let _ =
            write!(text, "\n## {}\n\n| word | does | units | gives | example |\n|---|---|---|---|---|\n", belongs(of));
        for word in WORDS.iter().filter(|word| word.of == of) {
            let head = format!("{}({})", word.name, word.takes);
            let row = [code(&head), cell(word.does), cell(word.units()), cell(word.gives()), code(word.example)];
            let _ = writeln!(text, "| {} |", row.join(" | "));
        }
    }
    text.push_str("\n## Weights\n\n| sign | does | true |\n|---|---|---|\n");
    for (sign, does, example) in WEIGHT_SIGNS {
        let _ = writeln!(text, "| {} | {} | {} |", code(sign), cell(does), code(example));
    }
    text
}

fn cell(text: &str) -> String {
    text.replace('|', "\\|")
}

fn code(text: &str) -> String {
    format!("`{}`", cell(text))
}
