//! `bench`: takes a unit apart by a recipe.

use std::path::{Path, PathBuf};

use clap::{Arg, ArgAction, ArgMatches, Command, value_parser};

use super::options::{self, date_of, text};
use super::{Code, Outcome};
use crate::bench::tag;
use crate::sessions::{Demo, Session, play};
use crate::shell::bench::{Left, work};
use crate::shell::format::Format;
use crate::shell::ink::Ink;
use crate::shell::pick::choose;
use crate::shell::terminal::Terminal;
use crate::shell::{page, tally};
use crate::store::answers;
use crate::store::home::Shelf;
use crate::world::{AppError, Pick};

pub(super) fn declare() -> Command {
    Command::new("bench")
        .about("Take a unit apart by a recipe, one question at a time")
        .after_help("Example: bench oven --yard bluegum-siding")
        .arg(options::recipe().required(true))
        .arg(options::yard())
        .arg(options::date())
        .arg(
            Arg::new("answers")
                .long("answers")
                .value_name("FILE")
                .value_parser(value_parser!(PathBuf))
                .help("Play the session from a file of answers; nothing is asked"),
        )
        .arg(
            Arg::new("tag")
                .long("tag")
                .value_name("WORD")
                .action(ArgAction::Append)
                .value_parser(tag_word)
                .help("A word to find the session by later, as `note #WORD` does; may be given several times"),
        )
        .arg(options::format(&["text", "json", "csv", "markdown"]))
}

pub(super) fn run(terminal: &mut Terminal, matches: &ArgMatches) -> Outcome {
    let recipe = pick(terminal, Shelf::Recipes, text(matches, "recipe").unwrap_or_default())?;
    let demo = match matches.get_one::<PathBuf>("answers") {
        Some(path) => Some((path.clone(), read_answers(terminal, path)?)),
        None => None,
    };
    if demo.is_none() && !terminal.may_ask {
        // Said before anything is written: a session that may ask nothing would never get past its start.
        let message =
            format!("a session of `{recipe}` asks questions, and --no-input forbids that; give --answers FILE");
        return Err(AppError::Answer(message));
    }
    let asked = text(matches, "yard").or(demo.as_ref().and_then(|(_, demo)| demo.yard.as_deref()));
    let yard = terminal.world.yard_id(asked)?;
    let date = date_of(matches).or(demo.as_ref().and_then(|(_, demo)| demo.date));
    let mut session = Session::begin(&terminal.world, &recipe, &yard, date)?;
    let tags: Vec<&str> = matches.get_many::<String>("tag").into_iter().flatten().map(String::as_str).collect();
    session.tag(&tags)?;
    let quiet = options::format_of(matches) != Format::Text;
    if !quiet {
        terminal.say(Ink::Faint, &format!("Session {}", session.id()));
        say_whose_prices(terminal, &session, asked.is_none() && terminal.world.config.yard.is_none());
    }
    match demo {
        Some((path, demo)) => finish_played(terminal, &mut session, &demo, &path, matches),
        None => finish(terminal, &mut session, matches),
    }
}

/// Says at the start that prices are invented and, if no yard was chosen, whose they are.
fn say_whose_prices(terminal: &Terminal, session: &Session<'_>, unchosen: bool) {
    let yard = &session.valuation().yard;
    if unchosen {
        let text = format!("No yard is chosen: valued at {}. Choose yours with: settings yard NAME", yard.name());
        terminal.say(Ink::Caution, &text);
    }
    if yard.is_sample() {
        terminal.say(Ink::Caution, &format!("Sample prices: those of {} are invented.", yard.name()));
    }
}

/// A tag, with or without the sign that marks it in a note.
pub(super) fn tag_word(text: &str) -> Result<String, String> {
    let word = text.trim_start_matches('#');
    let whole = tag(&format!("#{word}")) == Some(word);
    if whole { Ok(word.to_owned()) } else { Err("is no tag: one word of letters, digits, - and _".into()) }
}

/// The script that a word picks; asks if several match and a user can answer.
pub(super) fn pick(terminal: &Terminal, shelf: Shelf, word: &str) -> Result<String, AppError> {
    match terminal.world.pick(shelf, word)? {
        Pick::One(id) => Ok(id),
        Pick::Several(fitting) | Pick::Near(fitting) => match choose(terminal, shelf, word, &fitting)? {
            Some(id) => Ok(id),
            None => terminal.world.pick_one(shelf, word),
        },
    }
}

fn read_answers(terminal: &Terminal, path: &Path) -> Result<Demo, AppError> {
    let bytes = crate::store::files::read_text(terminal.world.home.disk().as_ref(), path, answers::MAX_FILE)?;
    Demo::parse(path, &bytes)
}

/// Works at the bench and shows how it ended. Unless the output is text, the conversation stays off standard output.
pub(super) fn finish(terminal: &Terminal, session: &mut Session<'_>, matches: &ArgMatches) -> Outcome {
    finish_as(terminal, session, options::format_of(matches))
}

fn finish_as(terminal: &Terminal, session: &mut Session<'_>, format: Format) -> Outcome {
    terminal.talk_aside(format != Format::Text);
    let left = work(terminal, session)?;
    match left {
        Left::Paused => return Ok(Code::Paused),
        Left::Discarded => return Ok(Code::Done),
        Left::Ended | Left::OutOfInput => {}
    }
    terminal.blank_line();
    terminal.show(&page::ending(&terminal.world, session));
    terminal.blank_line();
    tally::write(terminal, session, format)?;
    Ok(if left == Left::Ended { Code::Done } else { Code::Paused })
}

/// Like [`finish`], with text output.
pub(super) fn go_on(terminal: &Terminal, session: &mut Session<'_>) -> Outcome {
    finish_as(terminal, session, Format::Text)
}

/// Plays a file of answers and shows how it ended.
pub(super) fn finish_played(
    terminal: &Terminal,
    session: &mut Session<'_>,
    demo: &Demo,
    path: &Path,
    matches: &ArgMatches,
) -> Outcome {
    let format = options::format_of(matches);
    let show = format == Format::Text;
    let unused = play(session, demo, path, |session, name| {
        if show {
            terminal.show(&page::played(&terminal.world, session, name));
        }
    })?;
    for name in unused {
        terminal.say_aside(&format!("warning: {}: nothing asked for `{name}`", path.display()));
    }
    if show {
        terminal.blank_line();
        terminal.show(&page::ending(&terminal.world, session));
        terminal.blank_line();
    }
    tally::write(terminal, session, format)?;
    Ok(Code::Done)
}
