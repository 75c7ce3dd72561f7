//! `load`: what to take to which yard on which trip.

use std::path::Path;
use std::time::{Duration, Instant};

use clap::{Arg, ArgAction, ArgMatches, Command, value_parser};

use super::options::{self, date_of, text};
use super::stock::{read_weight, stock};
use super::{Code, Outcome};
use crate::market::load::format::LoadFile;
use crate::market::load::{LoadEffort, solve};
use crate::shell::format::{Format, json_text};
use crate::shell::forms::whole;
use crate::shell::ink::Ink;
use crate::shell::load as pages;
use crate::shell::terminal::Terminal;
use crate::stock::ActKind;
use crate::store::files::read_text;
use crate::store::home::Shelf;
use crate::store::stock::StockLog;
use crate::trips::{LoadOrder, LoadPlan};
use crate::world::AppError;

/// The largest problem file, in bytes.
const MAX_PROBLEM: u64 = 1024 * 1024;

pub(super) fn declare() -> Command {
    let many = |name: &'static str, value: &'static str, help: &'static str| {
        Arg::new(name).long(name).value_name(value).action(ArgAction::Append).help(help)
    };
    Command::new("load")
        .about("Plan what to take to which yard on which trip")
        .after_help("Examples: load · load --payload '180 kg' --trip-cost 12.50 · load --yard bluegum-siding --pack")
        .arg(many("yard", "YARD", "A yard that can be driven to; again for more [else the one in use and your own]"))
        .arg(many("trip-cost", "COST", "What a trip costs: 12.50, '24 km 35 min', or YARD=COST; again for more"))
        .arg(many("hold", "GRADE=PRICE", "Keep a grade unless it brings more than this; again for more"))
        .arg(Arg::new("payload").long("payload").value_name("WEIGHT").help("What one trip carries"))
        .arg(
            Arg::new("max-trips")
                .long("max-trips")
                .value_name("N")
                .value_parser(value_parser!(i64).range(0..=1000))
                .help("The most trips to all yards together"),
        )
        .arg(
            Arg::new("seconds")
                .long("seconds")
                .value_name("N")
                .value_parser(value_parser!(u64).range(1..=3600))
                .default_value("10")
                .help("How long to search at most"),
        )
        .arg(
            Arg::new("pack")
                .long("pack")
                .action(ArgAction::SetTrue)
                .help("Note the piles as packed; settle then starts from them"),
        )
        .arg(
            Arg::new("problem")
                .long("problem")
                .value_name("FILE")
                .conflicts_with_all(["yard", "pack"])
                .help("Solve a problem in the open format instead of the stock"),
        )
        .arg(options::date())
        .arg(options::format(&["text", "json"]))
}

pub(super) fn run(terminal: &mut Terminal, matches: &ArgMatches) -> Outcome {
    if let Some(file) = text(matches, "problem") {
        return problem(terminal, matches, Path::new(file));
    }
    if matches.get_flag("pack") {
        whole::<StockLog>(terminal)?;
    }
    let stock = stock(terminal)?;
    let many =
        |name: &str| matches.get_many::<String>(name).into_iter().flatten().map(String::as_str).collect::<Vec<_>>();
    let payload =
        text(matches, "payload").map(|text| read_weight(terminal, text)).transpose()?.map(|weighed| weighed.net);
    let order = LoadOrder {
        yards: yards(terminal, &many("yard"))?,
        payload,
        trip_costs: many("trip-cost"),
        holds: many("hold"),
        max_trips: matches.get_one::<i64>("max-trips").copied(),
        date: date_of(matches),
        seconds: seconds(matches),
    };
    let plan = terminal.world.plan_load(&stock, &order)?;
    plan.warnings.iter().for_each(|warning| terminal.say_aside(&format!("warning: {warning}")));
    if options::format_of(matches) == Format::Json {
        terminal.put(&json_text(&pages::json(&plan))?);
    } else {
        terminal.show(&pages::page(&terminal.world, &plan)?);
    }
    if matches.get_flag("pack") {
        pack(terminal, &plan)?;
    }
    Ok(Code::Done)
}

fn seconds(matches: &ArgMatches) -> u64 {
    matches.get_one::<u64>("seconds").copied().unwrap_or(10)
}

/// The yards named; without any, the one in use and the user's own.
fn yards(terminal: &Terminal, words: &[&str]) -> Result<Vec<String>, AppError> {
    if !words.is_empty() {
        return words.iter().map(|word| terminal.world.yard_id(Some(word))).collect();
    }
    let mut yards = vec![terminal.world.yard_id(None)?];
    for id in terminal.world.home.scripts(Shelf::Yards)?.ids {
        if yards.iter().any(|known| known == id.as_str()) {
            continue;
        }
        // A faulty yard that nobody asked for must not block the others.
        match terminal.world.yard(id.as_str()) {
            Ok(_) => yards.push(id.to_string()),
            Err(error) => terminal.say_aside(&format!("warning: yard {id} is left out: {error}")),
        }
    }
    Ok(yards)
}

fn pack(terminal: &Terminal, plan: &LoadPlan<'_>) -> Result<(), AppError> {
    for delivery in &plan.deliveries {
        let lots = delivery.piles.iter().flat_map(|pile| pile.lots.iter().map(|lot| lot.id.clone())).collect();
        let yard = delivery.valuation.yard.id();
        // Packing for one yard changes the log, so the next yard needs the stock read anew.
        let entry = terminal.world.act_on_stock(&terminal.world.stock()?, ActKind::Pack, |entry| {
            entry.lots = lots;
            entry.yard = Some(yard.to_owned());
        })?;
        terminal.say(Ink::Plain, &format!("Noted: {}. `settle --yard {yard}` starts from it.", entry.words()));
    }
    Ok(())
}

fn problem(terminal: &Terminal, matches: &ArgMatches, path: &Path) -> Outcome {
    let text = read_text(terminal.world.home.disk().as_ref(), path, MAX_PROBLEM)?;
    let wrong = |error: String| AppError::Refused(format!("{}: {error}", path.display()));
    let file: LoadFile = serde_json::from_str(&text).map_err(|error| wrong(error.to_string()))?;
    let problem = file.problem().map_err(|error| wrong(error.to_string()))?;
    let (started, limit) = (Instant::now(), Duration::from_secs(seconds(matches)));
    let stop = || started.elapsed() >= limit;
    let effort = LoadEffort { nodes: u64::MAX, stop: Some(&stop) };
    let solved = solve(&problem, &effort).map_err(|error| wrong(error.to_string()))?;
    options::write_as(
        terminal,
        options::format_of(matches),
        || pages::solution(&file, &solved),
        || pages::solution_json(&problem, &solved),
    )
}
