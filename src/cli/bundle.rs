//! `bundle`: writes one script as a readable file, to pass on.

use std::path::PathBuf;

use clap::{Arg, ArgMatches, Command, value_parser};

use super::options::text;
use super::{Code, NAMED, Outcome};
use crate::shell::ink::Ink;
use crate::shell::terminal::Terminal;
use crate::store::bundle::BundleKind;
use crate::store::files;
use crate::world::AppError;

pub(super) fn declare() -> Command {
    Command::new("bundle")
        .about("Write a recipe, yard or tool with what it imports and its tests as one readable file, to pass on")
        .after_help("Example: bundle corded-tool --out corded-tool.bundle.toml")
        .arg(
            Arg::new("name")
                .value_name("NAME")
                .required(true)
                .help("A recipe or a yard, by its id or a part of its name; a tool or a report by its id"),
        )
        .arg(Arg::new("notes").long("notes").value_name("TEXT").help("A word to whoever takes it in"))
        .arg(
            Arg::new("out")
                .long("out")
                .value_name("FILE")
                .value_parser(value_parser!(PathBuf))
                .help("Write to this new file [else to the output]"),
        )
}

pub(super) fn run(terminal: &mut Terminal, matches: &ArgMatches) -> Outcome {
    let (shelf, id) = terminal.world.named(&NAMED, text(matches, "name").unwrap_or_default())?;
    let kind = BundleKind::of(shelf).ok_or_else(|| AppError::Name(format!("{id} travels with what imports it")))?;
    let bundle = terminal.world.bundle(kind, &id, text(matches, "notes").unwrap_or_default())?;
    match matches.get_one::<PathBuf>("out") {
        None => terminal.write_stdout(&bundle.text()),
        Some(path) => {
            files::write_new(terminal.world.home.disk().as_ref(), path, bundle.text().as_bytes())?;
            terminal.say(Ink::Plain, &format!("Written to {}", path.display()));
            terminal.say(Ink::Faint, &format!("digest {}", bundle.digest()));
        }
    }
    Ok(Code::Done)
}
