//! `check`: looks for faults in recipes and yards, on every path through them.

use std::time::Duration;

use clap::{Arg, ArgMatches, Command, value_parser};

use super::options;
use super::{Code, Outcome};
use crate::authoring::{Bounds, Checked, Subject, check};
use crate::shell::findings;
use crate::shell::format::{Format, json_text};
use crate::shell::terminal::Terminal;

pub(super) fn declare() -> Command {
    Command::new("check")
        .about("Look for faults in recipes and yards, on every way through them")
        .after_help(
            "Tries every combination of answers that can make a difference, and tells what it did not try.\n\
             Examples: check · check countertop-oven · check my-recipe.rhai bluegum-siding --format json",
        )
        .arg(
            Arg::new("script").value_name("FILE|ID").num_args(0..).help("Files or ids [else everything that there is]"),
        )
        .arg(
            Arg::new("bound")
                .long("bound")
                .value_name("N")
                .value_parser(value_parser!(u64).range(1..))
                .help("The most runs for one recipe, or sample lots for one yard [else 20000]"),
        )
        .arg(
            Arg::new("seconds")
                .long("seconds")
                .value_name("N")
                .value_parser(value_parser!(u64).range(1..=86_400))
                .help("The most seconds of processor time for one script [else 20]"),
        )
        .arg(options::format(&["text", "json"]))
}

pub(super) fn run(terminal: &mut Terminal, matches: &ArgMatches) -> Outcome {
    let words: Vec<&String> = matches.get_many("script").into_iter().flatten().collect();
    let subjects = match words.as_slice() {
        [] => Subject::all(&terminal.world)?,
        words => words.iter().map(|word| Subject::find(&terminal.world, word)).collect::<Result<_, _>>()?,
    };
    let usual = Bounds::default();
    let bounds = Bounds {
        runs: matches.get_one("bound").copied().unwrap_or(usual.runs),
        time: matches.get_one("seconds").map_or(usual.time, |seconds| Duration::from_secs(*seconds)),
    };
    let checked = check(&terminal.world, &subjects, bounds)?;
    if options::format_of(matches) == Format::Json {
        terminal.put(&json_text(&findings::json(&checked))?);
    } else {
        checked.iter().for_each(|one| findings::show(terminal, one));
        terminal.show(&findings::total(&checked));
    }
    Ok(if checked.iter().all(Checked::is_sound) { Code::Done } else { Code::Script })
}
