//! `quote`: stores a price that a yard told the user; lists the stored ones.

use std::path::Path;

use clap::{Arg, ArgAction, ArgMatches, Command};

use super::options::{self, date_of, text};
use super::{Code, Outcome};
use crate::pricing::{add_index_value, add_quote, add_quotes, quotes};
use crate::shell::csv_rows::csv_reader;
use crate::shell::forms::whole;
use crate::shell::ink::Ink;
use crate::shell::prices_page;
use crate::shell::terminal::Terminal;
use crate::store::files::read_text;
use crate::store::quotes::QuoteLog;
use crate::world::AppError;

/// The largest file of prices, in bytes.
const MAX_CSV: u64 = 1024 * 1024;

pub(super) fn declare() -> Command {
    Command::new("quote")
        .about("Keep a price that a yard told you; without a grade, list those kept")
        .after_help(
            "Examples: quote copper-2 9.80 · quote 'No. 2 copper' 9.80/kg · quote copper-2 '72 % of copper-cash'\n\
             quote --index copper-cash '13.40 AUD/kg' · quote --csv prices.csv",
        )
        .arg(
            Arg::new("grade")
                .value_name("GRADE")
                .help("A grade, by its id or the yard's name for it")
                .requires("price"),
        )
        .arg(
            Arg::new("price")
                .value_name("PRICE")
                .help("9.80, 9.80/kg, 4 each, 72 % of INDEX; without a unit, in the yard's own"),
        )
        .arg(
            Arg::new("index")
                .long("index")
                .action(ArgAction::SetTrue)
                .conflicts_with("csv")
                .requires("price")
                .help("GRADE is the name of a price index: keep its value of the day"),
        )
        .arg(
            Arg::new("csv")
                .long("csv")
                .value_name("FILE")
                .conflicts_with("grade")
                .help("Many at once: columns name, price, date"),
        )
        .arg(options::yard())
        .arg(options::date())
        .arg(Arg::new("from").long("from").value_name("TEXT").help("Where it comes from: phone, board at the gate"))
}

pub(super) fn run(terminal: &mut Terminal, matches: &ArgMatches) -> Outcome {
    if let Some(file) = text(matches, "csv") {
        return from_csv(terminal, matches, Path::new(file));
    }
    let (Some(grade), Some(price)) = (text(matches, "grade"), text(matches, "price")) else { return list(terminal) };
    whole::<QuoteLog>(terminal)?;
    let date = date_of(matches).unwrap_or_else(|| terminal.world.clock.today());
    if matches.get_flag("index") {
        let value = add_index_value(&terminal.world, grade, price, date, text(matches, "from"))?;
        terminal.say(Ink::Money, &format!("{} from {} on: {}", value.grade, value.date, value.price));
        return Ok(Code::Done);
    }
    let id = terminal.world.yard_id(text(matches, "yard"))?;
    let (_, yard) = terminal.world.yard(&id)?;
    let quote = add_quote(&terminal.world, &yard, grade, price, date, text(matches, "from"))?;
    let shown = quote.price.show(terminal.world.notation(&yard));
    terminal.say(
        Ink::Money,
        &format!("{} at {} from {} on: {shown} {}", quote.grade, quote.yard, quote.date, yard.currency()),
    );
    if date < yard.as_of() {
        let as_of = yard.as_of();
        terminal.say(
            Ink::Caution,
            &format!("The yard's module has prices of {as_of}, which are later: this quote does not override them."),
        );
    }
    Ok(Code::Done)
}

/// Stores all prices of a file: columns `name` (the yard's own, or a grade), `price`, and `date` if needed.
fn from_csv(terminal: &Terminal, matches: &ArgMatches, path: &Path) -> Outcome {
    let (_, yard) = terminal.world.yard(&terminal.world.yard_id(text(matches, "yard"))?)?;
    let source = read_text(terminal.world.home.disk().as_ref(), path, MAX_CSV)?;
    let wrong = |line: usize, what: String| AppError::Answer(format!("{}, line {line}: {what}", path.display()));
    let mut reader = csv_reader(&source);
    let head = reader.headers().map_err(|error| wrong(1, error.to_string()))?.clone();
    let column = |name: &str| head.iter().position(|column| column == name);
    let (Some(name), Some(price)) = (column("name"), column("price")) else {
        return Err(wrong(1, "the head row must have the columns name and price, and may have date".to_owned()));
    };
    let usual = date_of(matches).unwrap_or_else(|| terminal.world.clock.today());
    let mut rows = Vec::new();
    for (number, row) in reader.records().enumerate() {
        let line = number + 2;
        let row = row.map_err(|error| wrong(line, error.to_string()))?;
        let cell = |at: usize| row.get(at).unwrap_or_default().to_owned();
        let date = match column("date").map(cell).filter(|date| !date.is_empty()) {
            Some(text) => text.parse().map_err(|_| wrong(line, format!("{text:?} is no date such as 2026-11-02")))?,
            None => usual,
        };
        rows.push((line, cell(name), cell(price), date));
    }
    whole::<QuoteLog>(terminal)?;
    let kept = add_quotes(&terminal.world, &yard, &rows, text(matches, "from"))?;
    terminal.say(Ink::Money, &format!("{} prices kept for {}", kept.len(), yard.name()));
    Ok(Code::Done)
}

fn list(terminal: &Terminal) -> Outcome {
    let (quotes, warnings) = quotes(&terminal.world)?;
    for warning in warnings {
        terminal.say_aside(&format!("warning: {warning}"));
    }
    terminal.show(&prices_page::quotes(&quotes));
    Ok(Code::Done)
}
