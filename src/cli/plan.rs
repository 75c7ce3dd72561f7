//! `plan`: how far to dismantle a unit, and where to stop.

use std::path::PathBuf;

use clap::{Arg, ArgAction, ArgMatches, Command, value_parser};
use rust_decimal::Decimal;

use super::options::{self, date_of, text};
use super::{Outcome, bench, problem};
use crate::pricing::Valuation;
use crate::quantity::{Mass, MassUnit, Minutes, Money, Notation, WeighingRules, weigh};
use crate::recipe::Recipe;
use crate::sessions::history::{Archive, Learned};
use crate::sessions::{Depth, PlanWishes};
use crate::shell::plan_page;
use crate::shell::terminal::Terminal;
use crate::store::home::Shelf;
use crate::world::AppError;

pub(super) fn declare() -> Command {
    Command::new("plan")
        .about("Say how far to take a unit apart, where to stop, and what each step adds")
        .after_help(
            "Examples: plan oven --floor 15/h · plan oven --minutes 30 --yard ellerwinkel --yard bluegum-siding",
        )
        .arg(options::recipe().required_unless_present("problem"))
        .arg(options::yard().action(ArgAction::Append).help("The yard whose prices count; several stand side by side"))
        .arg(options::date())
        .arg(
            Arg::new("floor")
                .long("floor")
                .value_name("MONEY/h")
                .allow_hyphen_values(true)
                .help("What an hour of your time has to bring"),
        )
        .arg(
            Arg::new("minutes")
                .long("minutes")
                .value_name("TIME")
                .allow_hyphen_values(true)
                .help("The most time that you have"),
        )
        .arg(
            Arg::new("intake")
                .long("intake")
                .value_name("WEIGHT")
                .allow_hyphen_values(true)
                .help("What the unit weighs; expectations are scaled to it"),
        )
        .arg(
            Arg::new("without")
                .long("without")
                .value_name("HAZARD")
                .action(ArgAction::Append)
                .help("Leave out steps with this guard; may be repeated"),
        )
        .arg(
            Arg::new("problem")
                .long("problem")
                .value_name("FILE")
                .value_parser(value_parser!(PathBuf))
                .conflicts_with_all(["recipe", "yard", "floor", "minutes", "intake", "without"])
                .help("Solve a problem in the open format instead of a recipe"),
        )
        .arg(options::format(&["text", "json"]))
}

pub(super) fn run(terminal: &mut Terminal, matches: &ArgMatches) -> Outcome {
    if let Some(path) = matches.get_one::<PathBuf>("problem") {
        return problem::solve(terminal, path, options::format_of(matches));
    }
    let id = bench::pick(terminal, Shelf::Recipes, text(matches, "recipe").unwrap_or_default())?;
    let (_, recipe) = terminal.world.recipe(&id)?;
    let asked: Vec<Option<&str>> = match matches.get_many::<String>("yard") {
        Some(yards) => yards.map(|yard| Some(yard.as_str())).collect(),
        None => vec![None],
    };
    let mut planned = Vec::new();
    for yard in asked {
        let yard = terminal.world.yard_id(yard)?;
        let valuation = Valuation::new(&terminal.world, &yard, date_of(matches))?;
        let wishes = wishes(terminal, matches, &valuation, &recipe)?;
        let plan = Depth::before(&terminal.world, &valuation, &recipe, &wishes)?.plan()?;
        planned.push((valuation, wishes, plan));
    }
    let page = || match planned.as_slice() {
        [(valuation, wishes, plan)] => plan_page::whole(&recipe, valuation, wishes, plan),
        several => plan_page::side_by_side(&recipe, several),
    };
    options::write_as(terminal, options::format_of(matches), page, || plan_page::json(&recipe, &planned))
}

fn wishes(
    terminal: &Terminal,
    matches: &ArgMatches,
    valuation: &Valuation,
    recipe: &Recipe,
) -> Result<PlanWishes, AppError> {
    let notation = valuation.notation;
    let floor = match text(matches, "floor") {
        Some(text) => read_floor(text, valuation)?,
        None => own_floor(terminal),
    };
    let minutes = text(matches, "minutes").map(|text| read_time(text, notation));
    let unit = terminal.world.unit(&valuation.yard)?;
    let intake = text(matches, "intake").map(|text| read_weight(text, unit, notation)).transpose()?;
    let without: Vec<String> = matches.get_many::<String>("without").into_iter().flatten().cloned().collect();
    let hazards = terminal.world.host().catalogue().hazards();
    if let Some(stranger) = without.iter().find(|id| hazards.get(id).is_none()) {
        let used = recipe.hazards().map(|(id, _)| id).collect::<std::collections::BTreeSet<_>>();
        let hint = crate::naming::suggest(stranger, used.into_iter().collect::<Vec<_>>().into_iter());
        return Err(AppError::Name(format!("there is no hazard `{}`; {hint}", stranger.escape_debug())));
    }
    let learned = Learned::from(&Archive::new(&terminal.world)?, recipe, "")?;
    Ok(PlanWishes {
        floor,
        minutes: minutes.transpose()?,
        intake,
        foreseen: learned.ranges(intake),
        sessions: learned.most_sessions(),
        slips: learned.slips.len(),
        without,
    })
}

/// The user's setting for what an hour must bring; settings store it validated and with a decimal point.
pub(super) fn own_floor(terminal: &Terminal) -> Decimal {
    terminal.world.config.floor_per_hour.as_deref().and_then(|text| text.parse().ok()).unwrap_or_default()
}

/// The time available: more than zero.
fn read_time(text: &str, notation: Notation) -> Result<Minutes, AppError> {
    let time = Minutes::read(text, notation);
    let time = time.map_err(|error| AppError::Answer(format!("{text:?} is no time: {error}")))?;
    if time == Minutes::ZERO {
        return Err(AppError::Answer(format!("{text:?} leaves no time to work; say the most minutes that you have")));
    }
    Ok(time)
}

/// `15`, `15/h`, `15 AUD/h`.
fn read_floor(text: &str, valuation: &Valuation) -> Result<Decimal, AppError> {
    let amount = text.trim().trim_end_matches("/h").trim_end();
    let money = Money::read(amount, valuation.yard.currency(), valuation.notation);
    let money = money.map_err(|error| AppError::Answer(format!("{text:?} is no floor per hour: {error}")))?;
    if money.amount().is_sign_negative() {
        return Err(AppError::Answer(format!("{text:?} is below zero; an hour cannot cost you money to work")));
    }
    Ok(money.amount())
}

/// Reads a weight for an option, in the user's notation.
fn read_weight(text: &str, unit: MassUnit, notation: Notation) -> Result<Mass, AppError> {
    let rules = WeighingRules { notation, unit, tare: &|_| None };
    weigh(text, &rules)
        .map(|weighed| weighed.net)
        .map_err(|error| AppError::Answer(format!("{text:?} is no weight: {error}")))
}
