//! `stock`: what is stored and not yet sold, and what happens to it.

use clap::{Arg, ArgMatches, Command, value_parser};

use super::options::{self, date_of, text};
use super::{Code, Outcome};
use crate::quantity::{MassUnit, Notation, Weighed, WeighingRules, weigh};
use crate::shell::format::{Format, json_text};
use crate::shell::forms::whole;
use crate::shell::ink::Ink;
use crate::shell::stock as pages;
use crate::shell::terminal::Terminal;
use crate::stock::{ActKind, Pooling, StockEntry};
use crate::store::stock::StockLog;
use crate::trips::Stock;
use crate::world::AppError;

pub(super) fn declare() -> Command {
    let act = |name: &'static str, about: &'static str| Command::new(name).about(about);
    Command::new("stock")
        .about("Show what is kept and not yet sold, or do something with it")
        .after_help(
            "WHAT is a grade, a bin, a lot, a part of a lot's name, or: all\n\
             Examples: stock · stock add copper-2 '1.4 kg' --bin shelf · stock move copper-2 --to crate · stock undo",
        )
        .args_conflicts_with_subcommands(true)
        .arg(
            Arg::new("by")
                .long("by")
                .value_name("HOW")
                .value_parser(["grade", "bin", "lot"])
                .default_value("grade")
                .help("What makes a pile"),
        )
        .arg(options::yard())
        .arg(options::date())
        .arg(options::format(&["text", "json", "csv"]))
        .subcommand(
            act("add", "Add a find or a gift, without a session")
                .arg(grade("grade").required(true))
                .arg(
                    Arg::new("weight")
                        .value_name("WEIGHT")
                        .allow_hyphen_values(true)
                        .required(true)
                        .help("As at the bench: 1.4 kg, 4.2 - 0.5, 6 x 35 g"),
                )
                .arg(bin("bin"))
                .arg(note("note", "Where it comes from")),
        )
        .subcommand(act("move", "Note that something lies elsewhere now").arg(what()).arg(bin("to").required(true)))
        .subcommand(act("regrade", "Note that something is of another grade").arg(what()).arg(grade_option()))
        .subcommand(
            act("pool", "Note that several lots went into one container")
                .arg(what())
                .arg(grade_option())
                .arg(
                    Arg::new("weighs")
                        .long("weighs")
                        .value_name("WEIGHT")
                        .help("What it weighs together [else the sum]"),
                )
                .arg(bin("to")),
        )
        .subcommand(
            act("writeoff", "Note that something is gone without a sale")
                .arg(what())
                .arg(note("because", "Why").required(true)),
        )
        .subcommand(act("undo", "Take the last act on the stock back"))
        .subcommand(act("redo", "Bring back what was taken back last"))
        .subcommand(act("log", "List what was done with the stock"))
}

fn what() -> Arg {
    Arg::new("what").value_name("WHAT").required(true).num_args(1..).help("A grade, a bin, a lot or a part of its name")
}

fn grade(name: &'static str) -> Arg {
    Arg::new(name).value_name("GRADE").help("A grade, by its id")
}

fn grade_option() -> Arg {
    grade("as").long("as").required(true)
}

fn bin(name: &'static str) -> Arg {
    Arg::new(name).long(name).value_name("BIN").value_parser(value_parser!(String)).help("The place where it lies")
}

fn note(name: &'static str, help: &'static str) -> Arg {
    Arg::new(name).long(name).value_name("TEXT").help(help)
}

pub(super) fn run(terminal: &mut Terminal, matches: &ArgMatches) -> Outcome {
    if !matches!(matches.subcommand_name(), None | Some("log")) {
        whole::<StockLog>(terminal)?;
    }
    match matches.subcommand() {
        None => list(terminal, matches),
        Some(("undo", _)) => {
            taken(terminal, terminal.world.undo_stock()?, "Taken back", "There is nothing to take back.")
        }
        Some(("redo", _)) => {
            taken(terminal, terminal.world.redo_stock()?, "Brought back", "There is nothing to bring back.")
        }
        Some(("log", _)) => log(terminal),
        Some(("add", matches)) => add(terminal, matches),
        Some((act, matches)) => change(terminal, act, matches),
    }
}

/// The stock; unreadable parts are reported on the error stream.
pub(super) fn stock(terminal: &Terminal) -> Result<Stock, AppError> {
    let stock = terminal.world.stock()?;
    stock.warnings.iter().for_each(|warning| terminal.say_aside(&format!("warning: {warning}")));
    Ok(stock)
}

fn list(terminal: &Terminal, matches: &ArgMatches) -> Outcome {
    let stock = stock(terminal)?;
    let pooling = match text(matches, "by") {
        Some("bin") => Pooling::Bin,
        Some("lot") => Pooling::Lot,
        _ => Pooling::Grade,
    };
    let yard = terminal.world.yard_id(text(matches, "yard"))?;
    let worth = terminal.world.worth(&stock, pooling, &yard, date_of(matches))?;
    match options::format_of(matches) {
        Format::Json => terminal.put(&json_text(&pages::json(&worth))?),
        Format::Csv => {
            let unwritten = |error| AppError::Refused(format!("the stock cannot be written as CSV: {error}"));
            terminal.put(&pages::csv(&worth).map_err(unwritten)?);
        }
        _ => terminal.show(&pages::page(&terminal.world, &stock, &worth)?),
    }
    Ok(Code::Done)
}

fn log(terminal: &Terminal) -> Outcome {
    terminal.show(&pages::log(&stock(terminal)?));
    Ok(Code::Done)
}

fn taken(terminal: &Terminal, entry: Option<StockEntry>, done: &str, nothing: &str) -> Outcome {
    let said = entry.map_or_else(|| nothing.to_owned(), |entry| format!("{done}: {}", entry.words()));
    terminal.say(Ink::Plain, &said);
    Ok(Code::Done)
}

fn add(terminal: &Terminal, matches: &ArgMatches) -> Outcome {
    let grade = text(matches, "grade").unwrap_or_default();
    terminal.world.known_grade(grade)?;
    let weighed = read_weight(terminal, text(matches, "weight").unwrap_or_default())?;
    let entry = terminal.world.act_on_stock(&stock(terminal)?, ActKind::Add, |entry| {
        entry.grade = Some(grade.to_owned());
        entry.mass = Some(weighed.net);
        entry.pieces = Some(weighed.pieces);
        entry.bin = text(matches, "bin").map(str::to_owned);
        entry.note = text(matches, "note").map(str::to_owned);
    })?;
    let shown = weighed.net.show_friendly(weighed.unit, notation(terminal)?);
    terminal.say(Ink::Plain, &format!("find-{}: {shown} of {grade}", entry.seq));
    terminal.show(&pages::keeping(&terminal.world, [grade]));
    Ok(Code::Done)
}

fn change(terminal: &Terminal, act: &str, matches: &ArgMatches) -> Outcome {
    let stock = stock(terminal)?;
    let words: Vec<&str> = matches.get_many::<String>("what").into_iter().flatten().map(String::as_str).collect();
    let lots: Vec<String> = stock.select(&words)?.into_iter().map(|lot| lot.id.clone()).collect();
    let option = |name: &str| matches.try_get_one::<String>(name).ok().flatten().cloned();
    let grade = option("as");
    grade.as_deref().map(|grade| terminal.world.known_grade(grade)).transpose()?;
    let mass = option("weighs").map(|text| read_weight(terminal, &text)).transpose()?.map(|weighed| weighed.net);
    let kind = match act {
        "move" => ActKind::Move,
        "regrade" => ActKind::Regrade,
        "pool" => ActKind::Pool,
        _ => ActKind::WriteOff,
    };
    let entry = terminal.world.act_on_stock(&stock, kind, |entry| {
        entry.lots = lots;
        entry.grade = grade;
        entry.mass = mass;
        entry.bin = option("to");
        entry.note = option("because");
    })?;
    terminal.say(Ink::Plain, &format!("Done: {}. `stock undo` takes it back.", entry.words()));
    Ok(Code::Done)
}

fn notation(terminal: &Terminal) -> Result<Notation, AppError> {
    let (_, yard) = terminal.world.yard(&terminal.world.yard_id(None)?)?;
    Ok(terminal.world.notation(&yard))
}

/// Reads a weight as at the bench: in the user's unit and notation, with their containers.
pub(super) fn read_weight(terminal: &Terminal, typed: &str) -> Result<Weighed, AppError> {
    let (_, yard) = terminal.world.yard(&terminal.world.yard_id(None)?)?;
    let unit: MassUnit = terminal.world.unit(&yard)?;
    let tare = |name: &str| terminal.world.container(name);
    let rules = WeighingRules { notation: terminal.world.notation(&yard), unit, tare: &tare };
    weigh(typed, &rules).map_err(|error| AppError::Answer(format!("{typed:?} is no weight: {error}")))
}
