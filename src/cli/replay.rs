//! `replay`: what past sessions would have netted at another yard, on another day, or with another recipe.

use clap::{Arg, ArgAction, ArgMatches, Command};
use rust_decimal::Decimal;

use super::options::{self, date_of, text};
use super::{Code, Outcome};
use crate::quantity::Notation;
use crate::sessions::history::{Archive, RecipeChoice, ReplayTerms, ReplayTotals, Replayed, replay};
use crate::shell::format::{Format, json_text};
use crate::shell::history::layout::PageLayout;
use crate::shell::history::{replay as pages, replay_files};
use crate::shell::progress::Progress;
use crate::shell::terminal::Terminal;
use crate::store::Id;
use crate::world::AppError;

pub(super) fn declare() -> Command {
    Command::new("replay")
        .about("Show what past sessions would net at another yard, date, recipe revision or floor")
        .after_help(
            "Examples: replay --all --yard ellerwinkel · replay oven-1 --recipe-revision now · replay --all --floor 20",
        )
        .arg(sessions())
        .arg(all())
        .arg(
            Arg::new("yard")
                .long("yard")
                .value_name("YARD")
                .action(ArgAction::Append)
                .help("A yard whose prices count; may be given several times [else each session's own]"),
        )
        .arg(options::date())
        .arg(
            Arg::new("recipe-revision")
                .long("recipe-revision")
                .value_name("REVISION")
                .value_parser(revision)
                .default_value("ran")
                .help("ran: the text it ran under; now: today's; or the number of a revision that was kept"),
        )
        .arg(
            Arg::new("floor")
                .long("floor")
                .value_name("AMOUNT")
                .value_parser(floor)
                .allow_negative_numbers(true)
                .help("What an hour of your time must bring: shows where stopping earlier would have paid"),
        )
        .arg(options::format(&["text", "json", "csv"]))
}

/// The sessions that a command works on.
pub(super) fn sessions() -> Arg {
    Arg::new("sessions")
        .value_name("SESSION")
        .action(ArgAction::Append)
        .num_args(0..)
        .help("Sessions, by name or a part of it, or all [else the latest]")
}

/// `--all`.
pub(super) fn all() -> Arg {
    Arg::new("all").long("all").action(ArgAction::SetTrue).conflicts_with("sessions").help("All sessions")
}

fn revision(text: &str) -> Result<RecipeChoice, String> {
    match text {
        "ran" => Ok(RecipeChoice::AsRan),
        "now" => Ok(RecipeChoice::Now),
        number => {
            number.parse().map(RecipeChoice::Revision).map_err(|_| "write ran, now or a revision's number".into())
        }
    }
}

fn floor(text: &str) -> Result<Decimal, String> {
    let amount = Notation::Point.read(text).map_err(|error| error.to_string())?;
    if amount > Decimal::from(1_000_000) { Err("at most a million an hour".into()) } else { Ok(amount) }
}

/// Whether all sessions are meant.
pub(super) fn is_all(matches: &ArgMatches) -> bool {
    let words = matches.get_many::<String>("sessions");
    matches.get_flag("all") || words.is_some_and(|words| words.map(String::as_str).eq(["all"]))
}

/// The sessions named, or all, else the latest; a name that does not exist is an error, a file in the folder that is no
/// session a warning.
pub(super) fn chosen(terminal: &Terminal, matches: &ArgMatches) -> Result<Vec<Id>, AppError> {
    if is_all(matches) {
        let listing = terminal.world.home.sessions()?;
        for other in &listing.others {
            terminal.say_aside(&format!(
                "warning: sessions/{other} is no session's journal by its name; it is passed over"
            ));
        }
        return Ok(listing.ids);
    }
    match matches.get_many::<String>("sessions") {
        Some(words) => words.map(|word| terminal.world.counted_session(word)).collect(),
        None => Ok(vec![terminal.world.session_id("")?]),
    }
}

pub(super) fn run(terminal: &mut Terminal, matches: &ArgMatches) -> Outcome {
    let ids = chosen(terminal, matches)?;
    let yards = matches.get_many::<String>("yard").into_iter().flatten();
    let terms = ReplayTerms {
        yards: yards.map(|word| terminal.world.yard_id(Some(word))).collect::<Result<_, _>>()?,
        date: date_of(matches),
        recipe: matches.get_one("recipe-revision").cloned().unwrap_or(RecipeChoice::AsRan),
        floor: matches.get_one("floor").copied(),
    };
    let archive = Archive::new(&terminal.world)?;
    archive.warnings.iter().for_each(|warning| terminal.say_aside(&format!("warning: {warning}")));
    let mut sessions: Vec<Replayed> = Vec::with_capacity(ids.len());
    let mut lapses: Vec<(String, String)> = Vec::new();
    let mut totals = ReplayTotals::default();
    let mut progress = Progress::new(terminal, "sessions", ids.len());
    archive.each_told(&ids, |id, told| {
        match told.and_then(|told| replay(&archive, id, told, &terms)) {
            Ok(replayed) => {
                totals.add(&replayed)?;
                sessions.push(replayed);
            }
            Err(error) => lapses.push((id.to_string(), error.to_string())),
        }
        progress.step();
        Ok(())
    })?;
    drop(progress);
    show(terminal, matches, &sessions, &totals, &lapses, &terms)?;
    lapses.iter().for_each(|(id, why)| terminal.say_aside(&format!("warning: {id} is left out: {why}")));
    let damaged = sessions.iter().filter(|session| session.damaged);
    let whole = lapses.is_empty() && damaged.clone().next().is_none();
    if text(matches, "format") != Some("text") {
        damaged.for_each(|s| terminal.say_aside(&format!("warning: {}: {}", s.id, s.remarks.join("; "))));
    }
    Ok(if whole { Code::Done } else { Code::Failed })
}

fn show(
    terminal: &Terminal,
    matches: &ArgMatches,
    sessions: &[Replayed],
    totals: &ReplayTotals,
    lapses: &[(String, String)],
    terms: &ReplayTerms,
) -> Result<(), AppError> {
    match options::format_of(matches) {
        Format::Json => terminal.put(&json_text(&replay_files::json(sessions, totals, lapses))?),
        Format::Csv => terminal.put(&replay_files::csv(sessions).map_err(|e| AppError::Refused(format!("CSV: {e}")))?),
        Format::Text | Format::Markdown => {
            terminal.show(&pages::page(sessions, totals, terms, PageLayout::of(terminal)))
        }
    }
    Ok(())
}
