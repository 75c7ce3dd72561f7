//! The grade finder's pages: a test, the current result, the final result, and the same as JSON.

use serde_json::{Value as Json, json};

use super::ink::{Ink, Page};
use super::page;
use crate::authoring::{CANNOT_TELL, GradeFinder, NAMED_FROM};
use crate::finder::{Ranked, Test};
use crate::recipe::Hazard;
use crate::world::World;

/// The most grades that are listed.
const MOST: usize = 6;

/// A probability in words: never 0 and never 100 %, since neither is certain.
fn percent(probability: f64) -> String {
    match probability * 100.0 {
        share if share < 1.0 => "under 1 %".to_owned(),
        share if share > 99.0 => "over 99 %".to_owned(),
        share => format!("{share:.0} %"),
    }
}

/// A test: the question, its possible answers, how to do it.
pub fn test(test: &Test, gain: f64) -> Vec<String> {
    let mut lines = vec![format!("{}  (about {:.1} bits)", test.question, gain)];
    let answers = test.answers.iter().map(String::as_str).chain(std::iter::once(CANNOT_TELL));
    if !test.answers.is_empty() {
        lines.extend(answers.enumerate().map(|(place, answer)| format!("  {} {answer}", place + 1)));
    }
    lines
}

/// The most likely grades in one line.
pub fn standing(finder: &GradeFinder<'_>) -> Page {
    let mut page = Page::new();
    let ranked = finder.ranked();
    let few: Vec<String> =
        ranked.iter().take(3).map(|one| format!("{} {}", one.grade, percent(one.probability))).collect();
    page.line(&[(Ink::Faint, "So far: "), (Ink::Plain, &few.join(", "))]);
    page
}

/// The cautions of hazards, in full.
pub fn cautions<'h>(hazards: impl IntoIterator<Item = &'h Hazard>) -> Page {
    let mut page = Page::new();
    for hazard in hazards {
        page.blank();
        page.append(page::hazard(hazard));
    }
    page
}

/// The likely grades, how to tell them apart, and what to try next.
pub fn end(world: &World, finder: &GradeFinder<'_>) -> Page {
    let grades = world.host().catalogue().grades();
    let mut page = Page::new();
    for (test, words) in finder.made() {
        page.line(&[(Ink::Faint, &format!("{}: ", test.id)), (Ink::Plain, words)]);
    }
    page.say(Ink::Heading, "It may be");
    for ranked in listed(&finder.ranked()) {
        page.line(&[
            (Ink::Figure, &format!("  {:>9}  ", percent(ranked.probability))),
            (Ink::Name, &ranked.grade),
            (Ink::Plain, "  "),
            (Ink::Plain, &ranked.what),
        ]);
    }
    if let Some(looks) = finder.ranked().first().and_then(|first| grades.get(&first.grade)) {
        page.line(&[(Ink::Faint, "How one tells: "), (Ink::Plain, &looks.looks)]);
    }
    for next in finder.next().iter().filter(|next| next.gain >= 0.05).take(2) {
        let test = &finder.finder().tests()[next.test];
        let facts = format!(" ({}, about {:.1} bits in {} min)", test.id, next.gain, test.minutes);
        page.line(&[(Ink::Good, "Tells most next: "), (Ink::Plain, &test.question), (Ink::Faint, &facts)]);
        if !test.says.is_empty() {
            page.line(&[(Ink::Plain, "  "), (Ink::Plain, &test.says)]);
        }
        for guard in &test.guards {
            page.line(&[(Ink::Danger, "  Read first: "), (Ink::Name, &format!("show {guard}"))]);
        }
    }
    page.say(Ink::Faint, "The probabilities rest on estimates; the yard grades.");
    page
}

fn listed(ranked: &[Ranked]) -> impl Iterator<Item = &Ranked> {
    ranked
        .iter()
        .enumerate()
        .filter(|(place, one)| *place == 0 || one.probability >= NAMED_FROM)
        .map(|(_, one)| one)
        .take(MOST)
}

/// The same as versioned JSON; decimals are texts.
pub fn json(world: &World, finder: &GradeFinder<'_>) -> Json {
    let hazards = world.host().catalogue().hazards();
    let shown: Vec<Json> = finder.hazards().iter().filter_map(|id| hazards.get(id)).map(page::hazard_json).collect();
    json!({
        "format": "knockdown-find-grade",
        "version": 1,
        "seen": finder.made().map(|(test, words)| json!({ "test": test.id, "answer": words })).collect::<Vec<_>>(),
        "candidates": finder.ranked().iter().map(|one| json!({
            "grade": one.grade, "what": one.what, "probability": format!("{:.4}", one.probability),
        })).collect::<Vec<_>>(),
        "next": finder.next().iter().map(|next| {
            let test = &finder.finder().tests()[next.test];
            json!({
                "test": test.id, "question": test.question, "bits": format!("{:.3}", next.gain),
                "minutes": test.minutes.to_string(),
            })
        }).collect::<Vec<_>>(),
        "cautions": shown,
    })
}
