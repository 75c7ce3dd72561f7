//! `tally`: what a session brought, at any yard and on any day.

use clap::{ArgMatches, Command};

use super::bench::show_balance;
use super::options::{self, Format, date_of, text};
use super::{Code, Outcome};
use crate::app::{AppError, Session};
use crate::shell::face::Face;
use crate::shell::page;
use crate::shell::tally;

pub(super) fn declare() -> Command {
    Command::new("tally")
        .about("Show what a session brings, at its own yard or another")
        .arg(options::session())
        .arg(options::yard())
        .arg(options::date())
        .arg(options::format(&["text", "json", "csv", "markdown"]))
}

pub(super) fn run(face: &mut Face, matches: &ArgMatches) -> Outcome {
    let yard = text(matches, "yard").map(|word| face.world.yard_id(Some(word))).transpose()?;
    let word = text(matches, "session").unwrap_or_default();
    let (session, seen) = Session::look(&face.world, word, yard.as_deref(), date_of(matches))?;
    let format = options::format_of(matches);
    for remark in seen.remarks {
        face.say_aside(&format!("warning: {}: {remark}", session.id()));
    }
    if format == Format::Text {
        face.show(&page::ending(&face.world, &session));
        face.rest();
    }
    write_tally(face, &session, format)?;
    show_balance(face, &session, format);
    Ok(if seen.damaged { Code::Failed } else { Code::Done })
}

/// Writes the tally of a session in a form.
pub(super) fn write_tally(face: &Face, session: &Session<'_>, format: Format) -> Result<(), AppError> {
    let tally = session.tally()?;
    for warning in &session.valuation().warnings {
        face.say_aside(&format!("warning: {warning}"));
    }
    match format {
        Format::Text => face.show(&tally::text::page(&tally, face.width(), face.look.plain)),
        Format::Json => face.hand_over(&tally::json::write(&tally).map_err(unwritten)?),
        Format::Csv => face.hand_over(&tally::csv::write(&tally).map_err(unwritten)?),
        Format::Markdown => face.hand_over(&tally::markdown::write(&tally)),
    }
    Ok(())
}

fn unwritten(error: impl std::fmt::Display) -> AppError {
    AppError::Refused(format!("the tally cannot be written in that form: {error}"))
}
