//! Shows an offered script before anything of it is adopted.

mod weakened;

use super::ink::{Ink, Page};
use super::{changes, page, tool_about};
use crate::authoring::{AdoptionOffer, Declared, Difference, ExampleReport, Module, Present, TestReport, Tested};
use crate::market::Yard;
use crate::naming::counted;
use crate::quantity::{MassUnit, Notation};
use crate::recipe::{HazardBook, Recipe};
use crate::review::guards::Spot;
use crate::world::{Origin, World};

/// The most lines of changes that are shown; a bundle is plain text and can be read in full.
const MOST_CHANGES: usize = 400;

/// An offer as a page.
pub fn offer(world: &World, offer: &AdoptionOffer) -> Page {
    let bundle = &offer.bundle;
    let mut page = Page::new();
    page.line(&[
        (Ink::Heading, &bundle.name),
        (Ink::Faint, &format!("  {} {}, revision {}", bundle.kind.word(), bundle.id, bundle.revision)),
    ]);
    let said = |text: &str| if text.is_empty() { "not said".to_owned() } else { text.to_owned() };
    page.line(&[
        (Ink::Plain, "by "),
        (Ink::Name, &said(&bundle.author)),
        (Ink::Plain, ", licence "),
        (Ink::Name, &said(&bundle.licence)),
    ]);
    page.line(&[(Ink::Faint, "digest "), (Ink::Faint, bundle.digest())]);
    let hazards = world.host().catalogue().hazards();
    // Safety comes before the author's own description.
    if offer.guards_less() {
        page.blank();
        page.append(weakened::page(hazards, offer));
        page.blank();
    }
    page.say(Ink::Plain, &bundle.notes);
    match &offer.declared {
        Declared::Recipe(recipe) => {
            page.blank();
            hazards_asked(hazards, &offer.hazards, &mut page);
            page.blank();
            parts(world, recipe, &mut page);
        }
        Declared::Yard(yard) => prices(yard, offer.present.as_ref(), &mut page),
        Declared::Tool(tool) => {
            page.line(&[
                (Ink::Plain, "It becomes the command "),
                (Ink::Name, &tool.id),
                (Ink::Plain, ". In its own words:"),
            ]);
            page.append(tool_about::deeds(hazards, tool, &offer.summary));
        }
    }
    page.blank();
    present(offer, &mut page);
    offer.modules.iter().for_each(|brought| module(brought, &mut page));
    tested(offer, &mut page);
    page
}

/// The results of its tests.
fn tested(offer: &AdoptionOffer, page: &mut Page) {
    page.blank();
    match (&offer.tested, &offer.declared) {
        (Tested::Session(Ok(report)), _) => page.append(test("Its test session", report)),
        (Tested::Session(Err(error)), _) => {
            page.line(&[(Ink::Danger, "Its test session does not play: "), (Ink::Plain, &error.to_string())]);
        }
        (Tested::LeftOff, _) => {
            page.say(Ink::Caution, "What its test session comes to is left off: check finds errors, see below.");
        }
        (Tested::Examples(reports), _) if !reports.is_empty() => page.append(examples("Its examples", reports)),
        (_, Declared::Recipe(_)) => {
            page.say(Ink::Caution, "It comes without a test session: nothing shows that it can be worked through.");
        }
        (_, Declared::Tool(_)) => page.say(Ink::Caution, "None of its examples ran: nothing shows that it is right."),
        (_, Declared::Yard(_)) => {}
    }
}

fn hazards_asked(book: &HazardBook, asked: &[(String, Vec<Spot>)], page: &mut Page) {
    page.say(Ink::Name, if asked.is_empty() { "It asks about no hazard." } else { "Hazards that it asks about:" });
    for (hazard, spots) in asked.iter().filter_map(|(id, spots)| Some((book.get(id)?, spots))) {
        page::hazard_named(hazard, &weakened::spots(spots), page);
    }
}

fn parts(world: &World, recipe: &Recipe, page: &mut Page) {
    let unit = world.config.unit.as_deref().and_then(|unit| unit.parse().ok()).unwrap_or(MassUnit::Kilogram);
    let weight = page::range(&recipe.unit().weighs, unit, Notation::Point);
    page.line(&[
        (Ink::Plain, "The unit weighs "),
        (Ink::Figure, &weight),
        (Ink::Plain, " and sells whole as "),
        (Ink::Name, &recipe.unit().whole_grade),
    ]);
    for (place, step) in recipe.steps().iter().enumerate() {
        page.line(&[(Ink::Figure, &format!("{:>3}. ", place + 1)), (Ink::Plain, &step.title)]);
        for freed in &step.frees {
            let weight = page::range(&freed.expected, unit, Notation::Point);
            page.line(&[
                (Ink::Plain, "     frees "),
                (Ink::Name, &freed.part),
                (Ink::Plain, ", "),
                (Ink::Figure, &weight),
                (Ink::Plain, ", as "),
                (Ink::Name, &freed.grade),
            ]);
        }
    }
}

fn prices(yard: &Yard, present: Option<&Present>, page: &mut Page) {
    let facts =
        format!("{}, {}, weighs in {}, prices of {}", yard.region(), yard.currency(), yard.unit(), yard.as_of());
    page.say(Ink::Plain, &facts);
    if yard.is_sample() {
        page.say(Ink::Caution, "Sample prices: invented, not those of a real yard.");
    }
    page.say(Ink::Plain, yard.note());
    let changed = present.map_or(&[][..], |present| &present.prices);
    let differ =
        if present.is_some() { format!("; {} differ from what is there", changed.len()) } else { String::new() };
    page.line(&[(Ink::Figure, &yard.offers().count().to_string()), (Ink::Plain, " prices"), (Ink::Plain, &differ)]);
    let show =
        |price: Option<crate::quantity::Price>| price.map_or("none".to_owned(), |price| price.show(Notation::Point));
    for change in changed {
        let terms = if change.old == change.new { "  (tiers or least lot differ)" } else { "" };
        page.line(&[
            (Ink::Name, &format!("  {:<28} ", change.grade)),
            (Ink::Money, &show(change.old)),
            (Ink::Plain, " -> "),
            (Ink::Money, &show(change.new)),
            (Ink::Faint, terms),
        ]);
    }
}

fn present(offer: &AdoptionOffer, page: &mut Page) {
    let word = offer.bundle.kind.word();
    let Some(present) = &offer.present else {
        page.say(Ink::Plain, &format!("There is no {word} of that id here yet."));
        return;
    };
    let whose = if present.origin == Origin::Shipped { "the shipped" } else { "your" };
    if present.changes.is_empty() {
        page.say(Ink::Plain, &format!("Its text is that of {whose} {word} of that id."));
        return;
    }
    let head = format!("It would stand in for {whose} {word} of that id: {}", changes::count(&present.changes));
    page.say(Ink::Name, &head);
    page.append(changes::page(&present.changes, MOST_CHANGES));
}

fn module(module: &Module, page: &mut Page) {
    match &module.changes {
        None => page.line(&[(Ink::Plain, "It brings a module that it imports: "), (Ink::Name, &module.name)]),
        Some(same) if same.is_empty() => {
            page.line(&[(Ink::Plain, "It imports a module that you have: "), (Ink::Name, &module.name)])
        }
        Some(other) => {
            let head = format!(
                "It changes your module {}, for all scripts that import it: {}",
                module.name,
                changes::count(other)
            );
            page.say(Ink::Caution, &head);
            page.append(changes::page(other, MOST_CHANGES));
        }
    }
}

/// The results of a tool's examples. `head` names the tool.
pub fn examples(head: &str, reports: &[ExampleReport]) -> Page {
    let mut page = Page::new();
    let wrong: Vec<_> = reports.iter().filter(|report| !report.differences.is_empty()).collect();
    let verdict = match (reports, wrong.as_slice()) {
        ([], _) => (Ink::Plain, "has no examples"),
        (_, []) => (Ink::Good, "as expected"),
        _ => (Ink::Caution, "NOT as expected"),
    };
    page.line(&[
        (Ink::Name, head),
        (Ink::Plain, ": "),
        verdict,
        (Ink::Plain, &format!(" ({})", counted(reports.len(), "example"))),
    ]);
    for report in wrong {
        page.line(&[(Ink::Plain, &format!("  line {}: ", report.line)), (Ink::Plain, &report.title)]);
        report.differences.iter().for_each(|found| difference(found, &mut page));
    }
    page
}

fn difference(difference: &Difference, page: &mut Page) {
    let side = |text: &Option<String>| text.clone().unwrap_or_else(|| "nothing".to_owned());
    page.line(&[
        (Ink::Name, &format!("  {}: ", difference.what)),
        (Ink::Plain, "expected "),
        (Ink::Figure, &side(&difference.expected)),
        (Ink::Plain, ", came to "),
        (Ink::Figure, &side(&difference.found)),
    ]);
}

/// The result of playing a test session. `head` names its recipe.
pub fn test(head: &str, report: &TestReport) -> Page {
    let mut page = Page::new();
    let net = report.found.net.clone().unwrap_or_default();
    let verdict = match (report.compared, report.is_sound()) {
        (_, false) => (Ink::Caution, "NOT as expected"),
        (true, true) => (Ink::Good, "as expected"),
        (false, true) => (Ink::Plain, "plays; no [expect] says what it should come to"),
    };
    let facts =
        format!(" ({} answers, ends {}, net {net})", report.answers, report.found.end.clone().unwrap_or_default());
    page.line(&[(Ink::Name, head), (Ink::Plain, ": "), verdict, (Ink::Plain, &facts)]);
    if let Some(yard) = &report.missing_yard {
        page.say(
            Ink::Caution,
            &format!("  its yard {yard} is not here; another valued it, and the net is not compared"),
        );
    }
    report.differences.iter().for_each(|found| difference(found, &mut page));
    for name in &report.unused {
        page.line(&[(Ink::Name, &format!("  {name}: ")), (Ink::Plain, "nothing asked for this answer")]);
    }
    page
}
