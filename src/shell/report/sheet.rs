//! A bench sheet: steps, hazards, tools, boxes to tick and weights to fill in, for greasy hands.

use super::html::{Html, document};
use crate::quantity::{MassUnit, Notation};
use crate::recipe::{Emergency, EmergencyBook, Hazard, HazardBook, Recipe, Step};
use crate::shell::ink::{Ink, Page, Painter};
use crate::shell::page::{range, trust};

/// The contents of a sheet.
pub struct SheetFacts<'a> {
    /// The recipe.
    pub recipe: &'a Recipe,
    /// The catalogue of hazards.
    pub hazards: &'a HazardBook,
    /// The emergency cards.
    pub emergencies: &'a EmergencyBook,
    /// The ids of hazards that its questions can lead to, besides those declared by its steps.
    pub by_what_is_found: Vec<String>,
    /// The unit of weights.
    pub unit: MassUnit,
    /// How numbers are written.
    pub notation: Notation,
}

/// The note under every safety text.
const NO_SUBSTITUTE: &str =
    "Usual cautions, reviewed by no qualified person; no substitute for local codes and licensed practice.";

const IF_IT_HAPPENS: &str = "If it happens";

const BY_WHAT_IS_FOUND: &str = "Hazards by what is found";

const ITS_QUESTIONS: &str = "On paper nobody asks. At the bench the recipe asks what there is, and each of these stops the work where it is found.";

impl SheetFacts<'_> {
    /// Every hazard along the way, each once, in the order in which it comes up.
    fn all_hazards(&self) -> Vec<(&str, Option<&Hazard>)> {
        let unit = self.recipe.unit().guards.iter();
        let mut ids: Vec<&str> = Vec::new();
        for id in unit.chain(self.recipe.steps().iter().flat_map(|step| &step.guards)) {
            if !ids.contains(&id.as_str()) {
                ids.push(id);
            }
        }
        ids.into_iter().map(|id| (id, self.hazards.get(id))).collect()
    }

    /// The emergency cards for every hazard that the recipe can meet, the most certain first; each with its reviewer,
    /// if that differs from the card before.
    fn emergencies(&self) -> impl Iterator<Item = (Option<String>, &Emergency)> {
        let declared = self.all_hazards().into_iter().map(|(id, _)| id);
        let cards = self.emergencies.at_hand(declared.chain(self.by_what_is_found.iter().map(String::as_str)));
        let mut said = String::new();
        cards.into_iter().map(move |(_, card)| {
            let disclaimer = Some(card.disclaimer()).filter(|text| *text != said);
            disclaimer.iter().for_each(|text| said.clone_from(text));
            (disclaimer, card)
        })
    }

    fn hazard_names(&self, step: &Step) -> String {
        let name = |id: &String| self.hazards.get(id).map_or(id.clone(), |h| format!("{}: {}", h.class.word(), h.name));
        step.guards.iter().map(name).collect::<Vec<_>>().join("; ")
    }

    fn minutes(&self, step: &Step) -> String {
        let show = |minutes: crate::quantity::Minutes| self.notation.show(minutes.get());
        format!(
            "usually {} min ({} to {})",
            show(step.minutes.usual()),
            show(step.minutes.low()),
            show(step.minutes.high())
        )
    }

    fn after(&self, step: &Step) -> String {
        let title = |id: &String| self.recipe.step(id).map_or(id.clone(), |step| step.title.clone());
        let group = |ids: &Vec<String>| ids.iter().map(title).collect::<Vec<_>>().join(" or ");
        step.after.iter().map(group).collect::<Vec<_>>().join(", and ")
    }

    fn opens(&self, step: &Step) -> String {
        step.opens.as_ref().map(|part| format!("Works on the part: {part}")).unwrap_or_default()
    }
}

/// The sheet as one HTML page, to print.
pub fn html(facts: &SheetFacts<'_>) -> String {
    let unit = facts.recipe.unit();
    let mut html = Html::default();
    html.element("h1", &unit.name);
    html.element("p class=\"faint\"", &format!("Bench sheet of the recipe {}, revision {}.", unit.id, unit.revision));
    html.raw("<p>Day <span class=\"fill\"></span> Weight as it came <span class=\"fill\"></span></p>\n");
    html.element(
        "p",
        &format!("Such units weigh {}{}.", range(&unit.weighs, facts.unit, facts.notation), trust(&unit.figures_from)),
    );
    for text in &unit.says {
        html.element("p", text);
    }
    if_it_happens_html(facts, &mut html);
    html.element("h2", "Hazards on the way");
    html.element("p class=\"faint\"", NO_SUBSTITUTE);
    for (id, hazard) in facts.all_hazards() {
        hazard_html(id, hazard, &mut html);
    }
    if !facts.by_what_is_found.is_empty() {
        html.element("h2", BY_WHAT_IS_FOUND);
        html.element("p class=\"faint\"", ITS_QUESTIONS);
        facts.by_what_is_found.iter().for_each(|id| hazard_html(id, facts.hazards.get(id), &mut html));
    }
    html.element("h2", "Steps");
    for (place, step) in facts.recipe.steps().iter().enumerate() {
        step_html(facts, place, step, &mut html);
    }
    html.raw("<div class=\"step\"><h3><span class=\"box\"></span>At the end</h3><p>What is left weighs <span class=\"fill\"></span></p></div>\n");
    document(&unit.name, html)
}

fn if_it_happens_html(facts: &SheetFacts<'_>, html: &mut Html) {
    html.element("h2", IF_IT_HAPPENS).raw("<div class=\"emergencies\">\n");
    for (disclaimer, card) in facts.emergencies() {
        if let Some(text) = disclaimer {
            html.element("p class=\"faint\"", &text);
        }
        html.raw("<div class=\"emergency\">").element("h3", &card.name);
        html.raw("<p><strong>").text(&card.first.says).raw("</strong></p><ol>\n");
        for line in &card.lines {
            html.element("li", &line.says);
        }
        html.raw("</ol></div>\n");
    }
    html.raw("</div>\n");
}

fn if_it_happens_text(facts: &SheetFacts<'_>, lines: &mut Vec<String>) {
    lines.extend([String::new(), IF_IT_HAPPENS.to_uppercase()]);
    for (disclaimer, card) in facts.emergencies() {
        lines.extend(disclaimer);
        lines.extend([String::new(), format!("! {}", card.name), format!("  {}", card.first.says)]);
        lines.extend(card.lines.iter().enumerate().map(|(place, line)| format!("  {}. {}", place + 1, line.says)));
    }
}

fn hazard_html(id: &str, hazard: Option<&Hazard>, html: &mut Html) {
    html.raw("<div class=\"hazard\">");
    match hazard {
        None => {
            html.element("p", &format!("{id}: unknown to the catalogue. Leave it to somebody licensed."));
        }
        Some(hazard) => {
            html.raw("<p><strong>").text(&format!("{}: {}", hazard.class.word(), hazard.name)).raw("</strong></p>");
            html.element("p", &hazard.hurts).raw("<ol>\n");
            for caution in &hazard.cautions {
                html.element("li", caution);
            }
            html.raw("</ol>");
            html.element("p", &format!("Wear and use: {}", hazard.protection.join(" ")));
            html.element("p", &format!("Stop: {}", hazard.stop));
            html.element("p", &format!("Where it goes: {}", hazard.disposal));
        }
    }
    html.raw("</div>\n");
}

fn step_html(facts: &SheetFacts<'_>, place: usize, step: &Step, html: &mut Html) {
    html.raw("<div class=\"step\"><h3><span class=\"box\"></span>")
        .text(&format!("{}. {}", place + 1, step.title))
        .raw("</h3>\n");
    let hazards = facts.hazard_names(step);
    if !hazards.is_empty() {
        html.raw("<p class=\"warn\"><span class=\"box\"></span>").text(&format!("Made safe: {hazards}")).raw("</p>\n");
    }
    for (lead, text) in [("After: ", facts.after(step)), ("", facts.opens(step)), ("Tools: ", step.tools.join(", "))] {
        if !text.is_empty() {
            html.element("p", &format!("{lead}{text}"));
        }
    }
    for text in &step.says {
        html.element("p", text);
    }
    for freed in &step.frees {
        let usual = range(&freed.expected, facts.unit, facts.notation);
        html.raw("<p>").text(&freed.part).raw(" <span class=\"fill\"></span> <span class=\"faint\">");
        html.text(&format!("usually {usual}{}; {}", trust(&freed.figures_from), freed.grade)).raw("</span></p>\n");
    }
    html.raw("<p>Minutes <span class=\"fill\"></span> <span class=\"faint\">")
        .text(&facts.minutes(step))
        .raw("</span></p></div>\n");
}

/// Characters per printed line: ten to the inch on the narrower of the usual paper sizes, with margins.
const PAPER: usize = 72;

/// The sheet as plain text, wrapped for paper.
pub fn text(facts: &SheetFacts<'_>) -> String {
    let unit = facts.recipe.unit();
    let mut lines = vec![
        unit.name.clone(),
        format!("Bench sheet of the recipe {}, revision {}.", unit.id, unit.revision),
        String::new(),
        "Day ____________   Weight as it came ____________".to_owned(),
        format!("Such units weigh {}{}.", range(&unit.weighs, facts.unit, facts.notation), trust(&unit.figures_from)),
    ];
    lines.extend(unit.says.iter().cloned());
    if_it_happens_text(facts, &mut lines);
    lines.extend([String::new(), "HAZARDS ON THE WAY".to_owned(), NO_SUBSTITUTE.to_owned()]);
    facts.all_hazards().into_iter().for_each(|(id, hazard)| hazard_text(id, hazard, &mut lines));
    if !facts.by_what_is_found.is_empty() {
        lines.extend([String::new(), BY_WHAT_IS_FOUND.to_uppercase(), ITS_QUESTIONS.to_owned()]);
        facts.by_what_is_found.iter().for_each(|id| hazard_text(id, facts.hazards.get(id), &mut lines));
    }
    lines.extend([String::new(), "STEPS".to_owned()]);
    for (place, step) in facts.recipe.steps().iter().enumerate() {
        step_text(facts, place, step, &mut lines);
    }
    lines.extend([String::new(), "[ ] At the end. What is left weighs ____________".to_owned()]);
    let mut page = Page::new();
    lines.iter().for_each(|line| page.say(Ink::Plain, line.trim_end()));
    Painter::default().paint(&page.wrapped(PAPER))
}

fn hazard_text(id: &str, hazard: Option<&Hazard>, lines: &mut Vec<String>) {
    lines.push(String::new());
    let Some(hazard) = hazard else {
        return lines.push(format!("! {id}: unknown to the catalogue. Leave it to somebody licensed."));
    };
    lines.push(format!("! {}: {}", hazard.class.word(), hazard.name));
    lines.push(format!("  {}", hazard.hurts));
    lines.extend(hazard.cautions.iter().enumerate().map(|(place, caution)| format!("  {}. {caution}", place + 1)));
    lines.push(format!("  Wear and use: {}", hazard.protection.join(" ")));
    lines.push(format!("  Stop: {}", hazard.stop));
    lines.push(format!("  Where it goes: {}", hazard.disposal));
}

fn step_text(facts: &SheetFacts<'_>, place: usize, step: &Step, lines: &mut Vec<String>) {
    lines.extend([String::new(), format!("[ ] {}. {}", place + 1, step.title)]);
    let hazards = facts.hazard_names(step);
    if !hazards.is_empty() {
        lines.push(format!("    [ ] Made safe: {hazards}"));
    }
    for (lead, text) in [("After: ", facts.after(step)), ("", facts.opens(step)), ("Tools: ", step.tools.join(", "))] {
        if !text.is_empty() {
            lines.push(format!("    {lead}{text}"));
        }
    }
    lines.extend(step.says.iter().map(|text| format!("    {text}")));
    for freed in &step.frees {
        let usual = range(&freed.expected, facts.unit, facts.notation);
        lines.push(format!(
            "    {} ____________  usually {usual}{}; {}",
            freed.part,
            trust(&freed.figures_from),
            freed.grade
        ));
    }
    lines.push(format!("    Minutes ____________  {}", facts.minutes(step)));
}
