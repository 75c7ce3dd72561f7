//! `show`: one thing in full: a recipe, a yard, a tool, a grade, a hazard, an emergency card, a session; or a list of grades,
//! hazards, emergencies, sessions.

mod catalogue;

use clap::{Arg, ArgMatches, Command};

use super::{Code, NAMED, Outcome};
use crate::bench::MENDED;
use crate::market::Yard;
use crate::naming::{Listed, nearest};
use crate::quantity::{MassUnit, Notation, Price};
use crate::recipe::Recipe;
use crate::script::Script;
use crate::sessions::Session;
use crate::sessions::history::Archive;
use crate::shell::ink::{Ink, Page};
use crate::shell::terminal::Terminal;
use crate::shell::{emergency, page, tool_about};
use crate::store::home::Shelf;
use crate::world::{AppError, World};

pub(super) fn declare() -> Command {
    Command::new("show")
        .about("Show a recipe, yard, tool, grade, hazard, emergency card or session; or all grades, hazards, emergencies, sessions")
        .after_help(
            "Examples: show countertop-oven · show copper-2 · show stored-charge-hv · show capacitor · show sessions",
        )
        .arg(
            Arg::new("what")
                .value_name("WHAT")
                .required(true)
                .num_args(1..)
                .help("An id, a part of a name, or: grades, hazards, emergencies, sessions"),
        )
}

pub(super) fn run(terminal: &mut Terminal, matches: &ArgMatches) -> Outcome {
    let words: Vec<&str> = matches.get_many::<String>("what").into_iter().flatten().map(String::as_str).collect();
    let page = find(&terminal.world, &words.join(" "))?;
    terminal.show(&page);
    Ok(Code::Done)
}

/// Lists that can be shown.
const LISTS: [&str; 4] = ["grades", "hazards", "emergencies", "sessions"];

/// Everything that goes by exactly that name, of any kind; else a part of a name of a recipe or yard, or a session; else a
/// search among grades.
fn find(world: &World, word: &str) -> Result<Page, AppError> {
    match word {
        "grades" | "grade" => return Ok(catalogue::grades(world)),
        "hazards" | "hazard" => return Ok(catalogue::hazards(world)),
        "emergencies" | "emergency" => return Ok(emergency::list(world.host().catalogue().emergencies())),
        "sessions" | "session" => return sessions(world),
        _ => {}
    }
    if let Some(page) = exact(world, word)? {
        return Ok(page);
    }
    let named = match world.named(&NAMED, word) {
        Ok((shelf, id)) => return script_page(world, shelf, &id),
        Err(error) => error,
    };
    if let Ok(id) = world.session_id(word) {
        return session_page(world, id.as_str());
    }
    let page = search(world, word)?;
    if page.lines().is_empty() { Err(unknown(world, word, named)) } else { Ok(page) }
}

/// Everything that a word fits, by kind: to be shown by its id then.
fn search(world: &World, word: &str) -> Result<Page, AppError> {
    let catalogue = world.host().catalogue();
    let listed = |entry: &Listed| (entry.id.clone(), entry.name.clone());
    let kinds = [
        ("Recipes", world.fitting(Shelf::Recipes, word)?),
        ("Yards", world.fitting(Shelf::Yards, word)?),
        ("Hazards", catalogue.hazards().listing().with_all(word).into_iter().map(listed).collect()),
        ("Grades", catalogue.grades().listing().with_all(word).into_iter().map(listed).collect()),
    ];
    let mut page = Page::new();
    for (kind, found) in kinds.iter().filter(|(_, found)| !found.is_empty()) {
        page.blank();
        page.say(Ink::Heading, kind);
        for (id, name) in found.iter().take(MOST_FOUND) {
            catalogue::entry_line(&mut page, id, name);
        }
        if found.len() > MOST_FOUND {
            page.say(Ink::Faint, &format!("… and {} more", found.len() - MOST_FOUND));
        }
    }
    Ok(page)
}

/// The most of one kind that a search shows.
const MOST_FOUND: usize = 20;

/// Everything of that very name: a grade, a hazard and scripts can share one.
fn exact(world: &World, word: &str) -> Result<Option<Page>, AppError> {
    let catalogue = world.host().catalogue();
    let mut pages = Vec::new();
    pages.extend(catalogue.grades().get(word).map(|grade| catalogue::grade_page(world, grade)));
    pages.extend(catalogue.hazards().get(word).map(catalogue::hazard_page));
    let emergencies = catalogue.emergencies();
    pages.extend(emergencies.get(word).map(|found| emergency::in_full(emergencies, found)));
    for shelf in NAMED {
        // A report of a tool's name cannot be run, so the tool is what there is.
        if world.ids(shelf)?.iter().any(|id| id == word) && !(shelf == Shelf::Reports && world.is_tool(word)) {
            pages.push(script_page(world, shelf, word)?);
        }
    }
    let mut pages = pages.into_iter();
    let Some(mut whole) = pages.next() else { return Ok(None) };
    for page in pages {
        whole.blank();
        whole.append(page);
    }
    Ok(Some(whole))
}

fn script_page(world: &World, shelf: Shelf, id: &str) -> Result<Page, AppError> {
    Ok(match shelf {
        Shelf::Yards => yard_page(world, &world.yard(id)?.1),
        Shelf::Tools | Shelf::Reports => {
            let (_, tool) = world.tool(id)?;
            tool_about::page(world, &tool, &world.summary(id)?, &world.origin(shelf, id)?)
        }
        Shelf::Recipes | Shelf::Library => {
            let (script, recipe) = world.recipe(id)?;
            recipe_page(world, &script, &recipe)
        }
    })
}

/// What was meant by a word that names nothing; `named` is what was said of it among scripts.
fn unknown(world: &World, word: &str, named: AppError) -> AppError {
    let catalogue = world.host().catalogue();
    let lists = nearest(word, LISTS);
    let near = lists
        .or_else(|| nearest(word, catalogue.hazards().ids()))
        .or_else(|| nearest(word, catalogue.emergencies().numbered().map(|(_, card)| card.id.as_str())))
        .or_else(|| catalogue.grades().nearest(word));
    match near {
        Some(near) => AppError::Name(format!("nothing goes by `{}`; did you mean `{near}`?", word.escape_debug())),
        None => named,
    }
}

fn sessions(world: &World) -> Result<Page, AppError> {
    let mut page = Page::new();
    let list = world.home.sessions()?;
    let archive = Archive::new(world)?;
    for id in &list.ids {
        match Session::view(&archive, id, None, None) {
            Ok((session, seen)) => {
                let state = match session.run_result().waits() {
                    _ if seen.damaged => "damaged".to_owned(),
                    _ if session.standing().is_discarded() => {
                        page.line(&[(Ink::Name, &format!("{id}  ")), (Ink::Plain, "set aside, counts nowhere")]);
                        continue;
                    }
                    Some(question) if !session.has_ended() => format!("waits at {}", question.name()),
                    _ => "ended".to_owned(),
                };
                let net = session.tally()?.net.show(session.valuation().notation);
                page.line(&[
                    (Ink::Name, &format!("{id}  ")),
                    (Ink::Plain, &state),
                    (Ink::Plain, "  estimated net "),
                    (Ink::Money, &net),
                ]);
                // Damage is said above.
                for why in seen.remarks.into_iter().skip(usize::from(seen.damaged)) {
                    page.line(&[(Ink::Plain, "  "), (Ink::Caution, &why)]);
                }
            }
            Err(error) => page.line(&[
                (Ink::Name, &format!("{id}  ")),
                (Ink::Danger, "cannot be read: "),
                (Ink::Plain, &error.to_string()),
            ]),
        }
    }
    if list.ids.is_empty() {
        page.say(Ink::Plain, "There is no session yet; bench RECIPE begins one.");
    }
    Ok(page)
}

fn yard_page(world: &World, yard: &Yard) -> Page {
    let notation = world.notation(yard);
    let mut page = Page::new();
    page.line(&[(Ink::Heading, yard.name()), (Ink::Faint, &format!("  {}", yard.id()))]);
    page.say(
        Ink::Plain,
        &format!("{}, {}, weighs in {}, prices of {}", yard.region(), yard.currency(), yard.unit(), yard.as_of()),
    );
    if yard.is_sample() {
        page.say(Ink::Caution, "Sample prices: invented, not those of a real yard.");
    }
    page.say(Ink::Plain, yard.note());
    for offer in yard.offers() {
        // A charge is kept as a price below nothing; the word says as much, so its sign would say it twice.
        let sign = if offer.is_charge() { "charges " } else { "" };
        let price = |price: Price| price.show(notation).replacen('-', "", usize::from(offer.is_charge()));
        let tiers: Vec<String> = offer
            .tiers()
            .iter()
            .map(|tier| format!("from {} {}", tier.from.show(yard.unit(), 3, notation), price(tier.price)))
            .collect();
        let minimum = offer.minimum().map(|least| format!("at least {}", least.show(yard.unit(), 3, notation)));
        let terms: Vec<String> = tiers.into_iter().chain(minimum).collect();
        page.line(&[
            (Ink::Name, &format!("{:<28} ", offer.grade())),
            (Ink::Plain, &format!("{:<34} ", offer.name())),
            (Ink::Money, &format!("{sign}{}", price(offer.price()))),
            (Ink::Faint, &if terms.is_empty() { String::new() } else { format!("  {}", terms.join("; ")) }),
        ]);
    }
    for fee in yard.visit_fees() {
        page.line(&[
            (Ink::Plain, "Each visit: "),
            (Ink::Plain, &fee.name),
            (Ink::Money, &format!("  {}", fee.amount.show(notation))),
        ]);
    }
    page
}

fn recipe_page(world: &World, script: &Script, recipe: &Recipe) -> Page {
    let unit = recipe.unit();
    let (mass_unit, notation) =
        (world.config.unit.as_deref().and_then(|u| u.parse().ok()).unwrap_or(MassUnit::Kilogram), Notation::Point);
    let mut page = Page::new();
    page.line(&[
        (Ink::Heading, &unit.name),
        (Ink::Faint, &format!("  {}, revision {}, by {}", unit.id, unit.revision, unit.author)),
    ]);
    let weight = page::range(&unit.weighs, mass_unit, notation);
    page.line(&[
        (Ink::Plain, "weighs "),
        (Ink::Figure, &weight),
        (Ink::Plain, ", sold whole as "),
        (Ink::Name, &unit.whole_grade),
    ]);
    page.line(&[
        (Ink::Faint, "weights from: "),
        (Ink::Faint, if unit.figures_from.is_empty() { "no source given" } else { &unit.figures_from }),
    ]);
    guards(world, &unit.guards, &mut page);
    by_what_is_found(world, &world.hazards_by_what_is_found(script, recipe), &mut page);
    unit.says.iter().for_each(|text| page.say(Ink::Plain, text));
    for (place, step) in recipe.steps().iter().enumerate() {
        page.blank();
        let minutes = notation.show(step.minutes.usual().get());
        page.line(&[
            (Ink::Figure, &format!("{}. ", place + 1)),
            (Ink::Heading, &step.title),
            (Ink::Faint, &format!("  {}, about {minutes} min", step.id)),
        ]);
        if !step.after.is_empty() {
            let groups: Vec<String> = step.after.iter().map(|group| group.join(" or ")).collect();
            page.line(&[(Ink::Plain, "   after "), (Ink::Plain, &groups.join(" and "))]);
        }
        if let Some(part) = &step.opens {
            page.line(&[(Ink::Plain, "   opens "), (Ink::Name, part)]);
        }
        if !step.tools.is_empty() {
            page.line(&[(Ink::Plain, "   tools: "), (Ink::Plain, &step.tools.join(", "))]);
        }
        guards(world, &step.guards, &mut page);
        step.says.iter().for_each(|text| page.say(Ink::Plain, &format!("   {text}")));
        for freed in &step.frees {
            let weight = page::range(&freed.expected, mass_unit, notation);
            page.line(&[
                (Ink::Plain, "   frees "),
                (Ink::Name, &freed.part),
                (Ink::Plain, ", "),
                (Ink::Figure, &weight),
                (Ink::Plain, " as "),
                (Ink::Name, &freed.grade),
            ]);
            page.line(&[(
                Ink::Faint,
                &format!(
                    "     weights from: {}",
                    if freed.figures_from.is_empty() { "no source given" } else { &freed.figures_from }
                ),
            )]);
        }
    }
    page
}

fn guards(world: &World, guards: &[String], page: &mut Page) {
    for hazard in guards.iter().filter_map(|id| world.host().catalogue().hazards().get(id)) {
        page.line(&[
            (Ink::Plain, "   "),
            (Ink::Danger, hazard.class.word()),
            (Ink::Plain, ": "),
            (Ink::Plain, &hazard.name),
        ]);
    }
}

/// The hazards that a recipe's questions can lead to, besides those that its steps declare.
fn by_what_is_found(world: &World, found: &[String], page: &mut Page) {
    let known = found.iter().filter_map(|id| world.host().catalogue().hazards().get(id));
    let names: Vec<String> = known.map(|hazard| format!("{}: {}", hazard.class.word(), hazard.name)).collect();
    if !names.is_empty() {
        page.say(Ink::Caution, &format!("   By what is found, also: {}.", names.join("; ")));
    }
}

fn session_page(world: &World, id: &str) -> Result<Page, AppError> {
    let (session, seen) = Session::look(world, id, None, None)?;
    let header = session.header();
    let mut page = Page::new();
    page.line(&[
        (Ink::Heading, &header.recipe_name),
        (Ink::Faint, &format!("  {}, begun {}", header.id, header.started)),
    ]);
    for remark in &seen.remarks {
        page.say(if seen.damaged { Ink::Danger } else { Ink::Caution }, remark);
    }
    for asked in &session.run_result().asked {
        let name = asked.question.name();
        let given = session.standing().answer(&name);
        let typed = given.map(|given| given.typed.clone()).unwrap_or_default();
        let mended = given.filter(|given| given.origin.as_deref() == Some(MENDED));
        let mended = mended.map(|given| format!("  (corrected on {})", given.at.get(..10).unwrap_or(&given.at)));
        page.line(&[
            (Ink::Name, &name),
            (Ink::Plain, " = "),
            (Ink::Plain, &typed),
            (Ink::Faint, mended.as_deref().unwrap_or_default()),
        ]);
    }
    for (at, text) in session.standing().notes() {
        page.line(&[(Ink::Faint, at), (Ink::Plain, "  "), (Ink::Plain, text)]);
    }
    page.append(page::ending(world, &session));
    Ok(page)
}
