//! `settle`: enters a yard's ticket, explains it, and books the sale.

use std::path::{Path, PathBuf};

use clap::{Arg, ArgAction, ArgMatches, Command};

use super::options::{self, text};
use super::stock::stock;
use super::{Code, Outcome};
use crate::shell::csv_rows::csv_reader;
use crate::shell::format::{Format, json_text};
use crate::shell::forms::whole;
use crate::shell::settle::{self as pages, Clerk};
use crate::shell::terminal::Terminal;
use crate::store::answers::{self, FileAnswer};
use crate::store::files::read_text;
use crate::store::quotes::QuoteLog;
use crate::store::stock::StockLog;
use crate::trips::{Settling, Stock};
use crate::world::AppError;

pub(super) fn declare() -> Command {
    Command::new("settle")
        .about("Enter a yard's ticket line by line, see what explains it, and book the sale")
        .after_help(
            "Examples: settle · settle --yard bluegum-siding --csv ticket.csv · settle --answers ticket.toml --format json\n\
             The CSV has a head row: name, weight, price, amount; for_line and grade where needed.\n\
             Undo a settlement with: stock undo",
        )
        .arg(options::yard())
        .arg(Arg::new("answers").long("answers").value_name("FILE").help("Answers instead of a terminal (TOML)"))
        .arg(Arg::new("csv").long("csv").value_name("FILE").help("The ticket's lines from a file; the rest is asked"))
        .arg(Arg::new("check").long("check").action(ArgAction::SetTrue).help("Explain the ticket, book nothing"))
        .arg(options::format(&["text", "json"]))
}

pub(super) fn run(terminal: &mut Terminal, matches: &ArgMatches) -> Outcome {
    let terminal: &Terminal = terminal;
    if !matches.get_flag("check") {
        whole::<StockLog>(terminal)?;
        whole::<QuoteLog>(terminal)?;
    }
    let stock = stock(terminal)?;
    let mut given = Vec::new();
    let answers_file = text(matches, "answers").map(PathBuf::from);
    if let Some(file) = &answers_file {
        given.extend(answers::read(terminal.world.home.disk().as_ref(), file)?);
    }
    if let Some(file) = text(matches, "csv") {
        given.extend(csv_lines(terminal, Path::new(file))?);
    }
    let yard = yard(terminal, matches, &stock, &mut given)?;
    let mut clerk = match answers_file {
        Some(file) => Clerk::of_file(terminal, file, given),
        None => Clerk::at_terminal(terminal, given),
    };
    let settling = Settling::enter(&terminal.world, &stock, &yard, &mut clerk)?;
    refuse_strays(&clerk)?;
    let as_json = options::format_of(matches) == Format::Json;
    let report = pages::json(&settling, None);
    if !as_json {
        terminal.show(&pages::page(&settling));
    }
    let (unit, notation) = (settling.valuation.yard.unit(), settling.valuation.notation);
    let booked = if matches.get_flag("check") { None } else { settling.book(&mut clerk)? };
    if as_json {
        let mut report = report;
        report["ticket"] = booked.as_ref().map(|booked| booked.ticket.clone()).into();
        terminal.put(&json_text(&report)?);
    } else {
        terminal.show(&pages::outcome(booked.as_ref(), unit, notation));
    }
    Ok(Code::Done)
}

/// Refuses answers that no question took: a mistyped name must not silently fall back to a default.
fn refuse_strays(clerk: &Clerk<'_>) -> Result<(), AppError> {
    // These are asked only if needed, or only when the sale is booked.
    let later = |key: &str| {
        key.starts_with("missing/")
            || matches!(key, "quotes" | "book" | "total-stands")
            || key.ends_with("/amount-stands")
    };
    let strays: Vec<&str> = clerk.unused().into_iter().filter(|key| !later(key)).collect();
    if strays.is_empty() {
        return Ok(());
    }
    let list = strays.join(", ");
    Err(AppError::Answer(format!("nothing asks for {list}; check the names. Nothing was booked")))
}

/// The yard: from the option, the answer, or the load packed for one, else the one in use.
fn yard(
    terminal: &Terminal,
    matches: &ArgMatches,
    stock: &Stock,
    given: &mut Vec<FileAnswer>,
) -> Result<String, AppError> {
    let answered = given.iter().position(|answer| answer.question == "yard").map(|at| given.remove(at).text);
    let word = text(matches, "yard").map(str::to_owned).or(answered);
    match (word, stock.ledger.packed()) {
        (Some(word), _) => terminal.world.yard_id(Some(&word)),
        (None, [packed]) => Ok(packed.yard.clone()),
        (None, _) => terminal.world.yard_id(None),
    }
}

/// The lines of a ticket in CSV, as answers.
fn csv_lines(terminal: &Terminal, path: &Path) -> Result<Vec<FileAnswer>, AppError> {
    let text = read_text(terminal.world.home.disk().as_ref(), path, answers::MAX_FILE)?;
    let wrong = |line: u64, what: String| AppError::Refused(format!("{}, line {line}: {what}", path.display()));
    let mut reader = csv_reader(&text);
    let head = reader.headers().map_err(|error| wrong(1, error.to_string()))?.clone();
    for column in &head {
        if !["name", "weight", "price", "amount", "for_line", "grade"].contains(&column) {
            return Err(wrong(
                1,
                format!("there is no column {column:?}; the columns are name, weight, price, amount, for_line, grade"),
            ));
        }
    }
    let mut answers = Vec::new();
    for (number, row) in reader.records().enumerate() {
        let at = number as u64 + 2;
        let row = row.map_err(|error| wrong(at, error.to_string()))?;
        for (column, cell) in head.iter().zip(row.iter()).filter(|(_, cell)| !cell.is_empty()) {
            let column = if column == "for_line" { "for" } else { column };
            let question = format!("line-{}/{column}", number + 1);
            answers.push(FileAnswer { question, text: cell.to_owned(), line: at as usize });
        }
    }
    let end = format!("line-{}/name", answers.iter().filter(|answer| answer.question.ends_with("/name")).count() + 1);
    answers.push(FileAnswer { question: end, text: "done".to_owned(), line: 0 });
    Ok(answers)
}
