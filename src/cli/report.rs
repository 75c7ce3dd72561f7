//! `report`: one page about sessions; `sheet`: a bench sheet to print.

use std::path::{Path, PathBuf};

use clap::{Arg, ArgMatches, Command, value_parser};

use super::options::{self, text};
use super::replay::{all, chosen, is_all, sessions};
use super::{Code, Outcome};
use crate::sessions::history::{Archive, report};
use crate::shell::history::layout::PageLayout;
use crate::shell::ink::Ink;
use crate::shell::progress::Progress;
use crate::shell::report::{Report, SheetFacts, html, markdown, sheet_html, sheet_text};
use crate::shell::terminal::Terminal;
use crate::store::files;
use crate::store::home::Shelf;

/// The most sessions that a report shows one by one, the latest; sums cover all.
const SHOWN: usize = 50;

pub(super) fn declare() -> Command {
    Command::new("report")
        .about("Write one page about sessions: tally, weights, steps, sums for your books")
        .after_help("Example: report --all --out sessions.html")
        .arg(sessions())
        .arg(all())
        .arg(out())
        .arg(form(&["html", "markdown"]))
}

pub(super) fn declare_sheet() -> Command {
    Command::new("sheet")
        .about("Write a bench sheet to print: steps, hazards, tools, boxes to tick, weights to fill in")
        .after_help("Example: sheet oven --out oven.html")
        .arg(options::recipe().required(true))
        .arg(out())
        .arg(form(&["html", "text"]))
}

fn out() -> Arg {
    Arg::new("out")
        .long("out")
        .value_name("FILE")
        .value_parser(value_parser!(PathBuf))
        .help("Write it to this file, in place of what is there [else it is printed]")
}

/// `--format`, with the first format as the default.
fn form(forms: &'static [&'static str]) -> Arg {
    options::format(forms).default_value(forms[0])
}

pub(super) fn run(terminal: &mut Terminal, matches: &ArgMatches) -> Outcome {
    let ids = chosen(terminal, matches)?;
    let archive = Archive::new(&terminal.world)?;
    let made = terminal.world.clock.today().to_string();
    let mut page = Report { made, all: is_all(matches), ..Report::default() };
    if page.all {
        let (tickets, lacking) = terminal.world.tickets()?;
        tickets.iter().try_for_each(|ticket| page.books.book(ticket))?;
        page.lacking = lacking;
    }
    let mut progress = Progress::new(terminal, "sessions", ids.len());
    let mut damaged: Vec<String> = Vec::new();
    archive.each(&ids, |id, record| {
        match record.and_then(|record| report(&archive, record)) {
            Ok(session) => {
                page.books.estimate(&session)?;
                damaged.extend(session.damaged.then(|| format!("{id}: {}", session.remarks.join("; "))));
                page.sessions.push(session);
                if page.sessions.len() > SHOWN {
                    page.sessions.remove(0);
                    page.more += 1;
                }
            }
            Err(error) => page.lapses.push((id.to_string(), error.to_string())),
        }
        progress.step();
        Ok(())
    })?;
    drop(progress);
    let written = if text(matches, "format") == Some("markdown") { markdown(&page) } else { html(&page) };
    deliver(terminal, matches, &written)?;
    page.lapses.iter().for_each(|(id, why)| terminal.say_aside(&format!("warning: {id} is left out: {why}")));
    damaged.iter().chain(&page.lacking).for_each(|line| terminal.say_aside(&format!("warning: {line}")));
    Ok(if page.lapses.is_empty() && damaged.is_empty() && page.lacking.is_empty() { Code::Done } else { Code::Failed })
}

pub(super) fn run_sheet(terminal: &mut Terminal, matches: &ArgMatches) -> Outcome {
    let id = terminal.world.pick_one(Shelf::Recipes, text(matches, "recipe").unwrap_or_default())?;
    let (script, recipe) = terminal.world.recipe(&id)?;
    let (_, yard) = terminal.world.yard(&terminal.world.yard_id(None)?)?;
    let facts = SheetFacts {
        by_what_is_found: terminal.world.hazards_by_what_is_found(&script, &recipe),
        recipe: &recipe,
        hazards: terminal.world.host().catalogue().hazards(),
        emergencies: terminal.world.host().catalogue().emergencies(),
        unit: terminal.world.unit(&yard)?,
        notation: PageLayout::of(terminal).notation,
    };
    let written = if text(matches, "format") == Some("text") { sheet_text(&facts) } else { sheet_html(&facts) };
    deliver(terminal, matches, &written)?;
    Ok(Code::Done)
}

/// Writes a finished page to the given file, or prints it.
fn deliver(terminal: &Terminal, matches: &ArgMatches, written: &str) -> Result<(), crate::world::AppError> {
    let path: Option<&PathBuf> = matches.get_one("out");
    let Some(path) = path else {
        terminal.put(written);
        return Ok(());
    };
    // A bare name means the current folder; syncing a file needs its folder's path.
    let path = if path.parent() == Some(Path::new("")) { Path::new(".").join(path) } else { path.clone() };
    files::replace(terminal.world.home.disk().as_ref(), &path, written.as_bytes())?;
    terminal.say(Ink::Plain, &format!("Written to {}", path.display()));
    Ok(())
}
