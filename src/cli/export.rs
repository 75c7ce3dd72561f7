//! `export`: sessions as tables for a database engine, a data frame or a spreadsheet.

use std::path::{Path, PathBuf};

use clap::{Arg, ArgMatches, Command, value_parser};

use super::options::{self, text};
use super::replay::{all, chosen, sessions};
use super::{Code, Outcome};
use crate::naming::counted;
use crate::sessions::history::Archive;
use crate::shell::format::json_text;
use crate::shell::history::export::{Form, schema, schema_markdown};
use crate::shell::ink::Ink;
use crate::shell::progress::Progress;
use crate::shell::terminal::Terminal;
use crate::store::files::{Growing, make_folders, replace};
use crate::trips::tables::{SALES, TABLES, rows, sales};
use crate::world::AppError;

pub(super) fn declare() -> Command {
    Command::new("export")
        .about("Write sessions and sales as tables, with a schema, for another program to take over")
        .after_help("Example: export --all --out tables --format ndjson")
        .arg(sessions())
        .arg(all())
        .arg(
            Arg::new("out")
                .long("out")
                .value_name("DIR")
                .value_parser(value_parser!(PathBuf))
                .required_unless_present("describe")
                .help("The folder; tables that are there are replaced"),
        )
        .arg(
            Arg::new("describe")
                .long("describe")
                .action(clap::ArgAction::SetTrue)
                .help("Print what the tables hold, as Markdown, and write nothing"),
        )
        .arg(options::format(&["csv", "ndjson"]).default_value("csv"))
}

pub(super) fn run(terminal: &mut Terminal, matches: &ArgMatches) -> Outcome {
    if matches.get_flag("describe") {
        terminal.put(schema_markdown().trim_start());
        return Ok(Code::Done);
    }
    let form = if text(matches, "format") == Some("ndjson") { Form::Ndjson } else { Form::Csv };
    let folder: &Path = matches.get_one::<PathBuf>("out").map_or(Path::new("."), PathBuf::as_path);
    let (tickets, lacking) = terminal.world.tickets()?;
    let ids = match chosen(terminal, matches) {
        // No session was asked for, and there are sales to write.
        Err(AppError::Name(_)) if !matches.contains_id("sessions") && !tickets.is_empty() => Vec::new(),
        ids => ids?,
    };
    let disk = terminal.world.home.disk().clone();
    make_folders(disk.as_ref(), folder)?;
    let mut files = Vec::new();
    for table in &TABLES {
        let mut file = Growing::begin(disk.as_ref(), &folder.join(form.file(table)))?;
        file.add(form.head(table).as_bytes())?;
        files.push(file);
    }
    let archive = Archive::new(&terminal.world)?;
    let (mut left_out, mut told): (Vec<String>, Vec<String>) = Default::default();
    let mut written = 0_usize;
    let mut progress = Progress::new(terminal, "sessions", ids.len());
    archive.each(&ids, |id, record| {
        match record.and_then(|record| rows(&archive, record)) {
            Ok(rows) => {
                written += 1;
                for ((file, table), rows) in files.iter_mut().zip(&TABLES).zip(&rows.tables) {
                    rows.iter().try_for_each(|row| file.add(form.row(table, row).as_bytes()))?;
                }
                let said = (!rows.remarks.is_empty()).then(|| format!("{id}: {}", rows.remarks.join("; ")));
                if rows.damaged { left_out.extend(said) } else { told.extend(said) }
            }
            Err(error) => left_out.push(format!("{id} is left out: {error}")),
        }
        progress.step();
        Ok(())
    })?;
    drop(progress);
    for ticket in &tickets {
        let rows = sales(ticket)?;
        let file = files.iter_mut().zip(&TABLES).find(|(_, table)| table.name == SALES.name);
        file.into_iter()
            .try_for_each(|(file, table)| rows.iter().try_for_each(|row| file.add(form.row(table, row).as_bytes())))?;
    }
    left_out.extend(lacking);
    files.into_iter().try_for_each(Growing::finish)?;
    let described = json_text(&schema(form))?;
    replace(disk.as_ref(), &folder.join("schema.json"), described.as_bytes())?;
    left_out.iter().chain(&told).for_each(|line| terminal.say_aside(&format!("warning: {line}")));
    let (sessions, sold) = (counted(written, "session"), counted(tickets.len(), "ticket"));
    terminal.say(Ink::Plain, &format!("{sessions} and {sold} written to {}", folder.display()));
    Ok(if left_out.is_empty() { Code::Done } else { Code::Failed })
}
