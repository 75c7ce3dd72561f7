//! `adopt`: takes in a bundle from somebody else, after the user has reviewed it.

use std::path::PathBuf;

use clap::{Arg, ArgMatches, Command, value_parser};

use super::options::text;
use super::{Code, Outcome};
use crate::authoring::AdoptionOffer;
use crate::shell::ink::Ink;
use crate::shell::terminal::Terminal;
use crate::shell::{findings, forms, offer};
use crate::store::bundle::Bundle;
use crate::world::AppError;

pub(super) fn declare() -> Command {
    Command::new("adopt")
        .about("Look at a bundle from somebody else; take it in if you say so")
        .after_help(
            "Without a terminal nothing is taken in unless --digest names the very bundle that you have looked at.",
        )
        .arg(Arg::new("file").value_name("FILE").required(true).value_parser(value_parser!(PathBuf)).help("The bundle"))
        .arg(
            Arg::new("digest").long("digest").value_name("HEX").help("Take it in without asking if this is its digest"),
        )
}

pub(super) fn run(terminal: &mut Terminal, matches: &ArgMatches) -> Outcome {
    let default = PathBuf::new();
    let path = matches.get_one::<PathBuf>("file").unwrap_or(&default);
    let bundle = Bundle::read(terminal.world.home.disk().as_ref(), path)?;
    let wanted = text(matches, "digest");
    if let Some(wanted) = wanted.filter(|wanted| !wanted.eq_ignore_ascii_case(bundle.digest())) {
        let message = format!(
            "{} has the digest {}, not {}; nothing is taken in",
            path.display(),
            bundle.digest(),
            wanted.escape_debug()
        );
        return Err(AppError::Refused(message));
    }
    let offer = AdoptionOffer::examine(&terminal.world, bundle)?;
    terminal.show(&offer::offer(&terminal.world, &offer));
    terminal.blank_line();
    findings::show(terminal, &offer.checked);
    terminal.blank_line();
    if offer.is_there(&terminal.world)? {
        terminal.say(Ink::Plain, "The very same is there already.");
        return Ok(Code::Done);
    }
    if offer.hindrance().is_none() && wanted.is_none() && !agreed(terminal, &offer)? {
        terminal.say(Ink::Plain, "Nothing is taken in.");
        return Ok(Code::Done);
    }
    let kept = offer.take(&terminal.world)?;
    let file = terminal.world.home.script_file(offer.bundle.kind.shelf(), &crate::store::Id::new(&offer.bundle.id)?);
    terminal.say(Ink::Good, &format!("Taken in: {}", file.display()));
    for digest in kept {
        terminal.say(Ink::Plain, &format!("What it replaced is kept as scripts-seen/{digest}.rhai"));
    }
    Ok(Code::Done)
}

/// Asks once. Without a user at a terminal, nobody can agree.
fn agreed(terminal: &Terminal, offer: &AdoptionOffer) -> Result<bool, AppError> {
    if !terminal.on_terminal || !terminal.may_ask {
        let message = format!(
            "nothing is taken in without a terminal; once you have looked at it, say so with --digest {}",
            offer.bundle.digest()
        );
        return Err(AppError::Refused(message));
    }
    if offer.guards_less() {
        return forms::agreed_by(
            terminal,
            "It guards less. Type fewer guards to take it in, or Enter to leave it > ",
            "fewer guards",
        );
    }
    forms::agreed(terminal, "Take it in? Type yes, or Enter to leave it > ")
}
