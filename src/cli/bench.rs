//! `bench`: takes a unit apart by a recipe.

use std::path::{Path, PathBuf};

use clap::{Arg, ArgAction, ArgMatches, Command, value_parser};

use super::options::{self, date_of, text};
use super::tally::write_tally;
use super::{Code, Outcome};
use crate::app::{AppError, Demo, Pick, Session, play};
use crate::bench::tag;
use crate::shell::balance_page;
use crate::shell::bench::{Left, work};
use crate::shell::face::Face;
use crate::shell::ink::Ink;
use crate::shell::page;
use crate::shell::pick::choose;
use crate::store::answers;
use crate::store::home::Shelf;

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

pub(super) fn run(face: &mut Face, matches: &ArgMatches) -> Outcome {
    let recipe = pick(face, Shelf::Recipes, text(matches, "recipe").unwrap_or_default())?;
    let demo = match matches.get_one::<PathBuf>("answers") {
        Some(path) => Some((path.clone(), read_answers(face, path)?)),
        None => None,
    };
    if demo.is_none() && !face.may_ask {
        // Said before anything is written: a session that may ask nothing could only begin.
        let message =
            format!("a session of `{recipe}` asks questions, and --no-input forbids that; give --answers FILE");
        return Err(AppError::Answer(message));
    }
    let asked = text(matches, "yard").or(demo.as_ref().and_then(|(_, demo)| demo.yard.as_deref()));
    let yard = face.world.yard_id(asked)?;
    let date = date_of(matches).or(demo.as_ref().and_then(|(_, demo)| demo.date));
    let mut session = Session::begin(&face.world, &recipe, &yard, date)?;
    let tags: Vec<&str> = matches.get_many::<String>("tag").into_iter().flatten().map(String::as_str).collect();
    session.tag(&tags)?;
    let quiet = options::format_of(matches) != options::Format::Text;
    if !quiet {
        face.say(Ink::Faint, &format!("Session {}", session.id()));
        say_whose_prices(face, &session, asked.is_none() && face.world.config.yard.is_none());
    }
    match demo {
        Some((path, demo)) => finish_played(face, &mut session, &demo, &path, matches),
        None => finish(face, &mut session, matches),
    }
}

/// Says at the start that prices are invented, and where nobody has chosen the yard, whose they are.
fn say_whose_prices(face: &Face, session: &Session<'_>, unchosen: bool) {
    let yard = &session.valuation().yard;
    if unchosen {
        let text = format!("No yard is chosen: valued at {}. Choose yours with: settings yard NAME", yard.name());
        face.say(Ink::Caution, &text);
    }
    if yard.is_sample() {
        face.say(Ink::Caution, &format!("Sample prices: those of {} are invented.", yard.name()));
    }
}

/// A tag, with or without the sign that marks it in a note.
pub(super) fn tag_word(text: &str) -> Result<String, String> {
    let word = text.trim_start_matches('#');
    let whole = tag(&format!("#{word}")) == Some(word);
    if whole { Ok(word.to_owned()) } else { Err("is no tag: one word of letters, digits, - and _".into()) }
}

/// The script that a word picks; asks when several fit and somebody can answer.
pub(super) fn pick(face: &Face, shelf: Shelf, word: &str) -> Result<String, AppError> {
    match face.world.pick(shelf, word)? {
        Pick::One(id) => Ok(id),
        Pick::Several(fitting) | Pick::Near(fitting) => match choose(face, shelf, word, &fitting)? {
            Some(id) => Ok(id),
            None => face.world.pick_one(shelf, word),
        },
    }
}

fn read_answers(face: &Face, path: &Path) -> Result<Demo, AppError> {
    let bytes = crate::store::files::read_text(face.world.home.disk().as_ref(), path, answers::MAX_FILE)?;
    Demo::parse(path, &bytes)
}

/// Works at the bench and shows how it ended. Unless that is for people, the conversation stays off the output proper.
pub(super) fn finish(face: &Face, session: &mut Session<'_>, matches: &ArgMatches) -> Outcome {
    finish_as(face, session, options::format_of(matches))
}

fn finish_as(face: &Face, session: &mut Session<'_>, format: options::Format) -> Outcome {
    face.talk_aside(format != options::Format::Text);
    let left = work(face, session)?;
    if left == Left::Paused {
        return Ok(Code::Paused);
    }
    face.rest();
    face.show(&page::ending(&face.world, session));
    face.rest();
    write_tally(face, session, format)?;
    show_balance(face, session, format);
    Ok(if left == Left::Ended { Code::Done } else { Code::Paused })
}

/// As [`finish`], told to people.
pub(super) fn go_on(face: &Face, session: &mut Session<'_>) -> Outcome {
    finish_as(face, session, options::Format::Text)
}

/// Plays a file of answers and shows how it ended.
pub(super) fn finish_played(
    face: &Face,
    session: &mut Session<'_>,
    demo: &Demo,
    path: &Path,
    matches: &ArgMatches,
) -> Outcome {
    let format = options::format_of(matches);
    let show = format == options::Format::Text;
    let unused = play(session, demo, path, |session, name| {
        if show {
            show_played(face, session, name);
        }
    })?;
    for name in unused {
        face.say_aside(&format!("warning: {}: nothing asked for `{name}`", path.display()));
    }
    if show {
        face.rest();
        face.show(&page::ending(&face.world, session));
        face.rest();
    }
    write_tally(face, session, format)?;
    show_balance(face, session, format);
    Ok(Code::Done)
}

/// Shows whether the weights add up, to people.
pub(super) fn show_balance(face: &Face, session: &Session<'_>, format: options::Format) {
    let page = balance_page::page(session.balance().as_ref(), session.unit(), session.valuation().notation);
    if format == options::Format::Text && !page.lines().is_empty() {
        face.rest();
        face.show(&page);
    }
}

fn show_played(face: &Face, session: &Session<'_>, name: &str) {
    let asked = session.run_result().asked.iter().find(|asked| asked.question.name() == name);
    if let (Some(asked), Some(given)) = (asked, session.standing().answer(name)) {
        let mut line = crate::shell::ink::Page::new();
        line.line(&[(Ink::Name, name), (Ink::Plain, " = "), (Ink::Figure, &given.typed)]);
        face.show(&line);
        face.show(&page::understood(&face.world, session, &asked.question, &given.typed, &asked.answer));
    }
}
