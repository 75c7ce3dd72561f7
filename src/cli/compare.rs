//! `compare`: compares a recipe with sessions, the user's own and other people's.

use std::path::PathBuf;

use clap::{Arg, ArgAction, ArgMatches, Command, value_parser};
use jiff::civil::Date;

use super::bench::tag_word;
use super::options::{self, text};
use super::{Code, Outcome};
use crate::sessions::history::{Archive, Comparison, Filter, compare};
use crate::shell::format::{Format, json_text};
use crate::shell::history::layout::PageLayout;
use crate::shell::history::{compare as pages, compare_json};
use crate::shell::terminal::Terminal;
use crate::store::Home;
use crate::store::home::Shelf;
use crate::world::{AppError, FixedClock, World};

pub(super) fn declare() -> Command {
    let day = |name: &'static str, help: &'static str| options::date().id(name).long(name).help(help);
    Command::new("compare")
        .about("Compare what a recipe's parts weighed and how long its steps took, over sessions")
        .after_help("Example: compare oven --from 2026-01-01 --with ../friend/knockdown")
        .arg(options::recipe().required(true))
        .arg(day("from", "Sessions from this day on"))
        .arg(day("to", "Sessions up to this day"))
        .arg(Arg::new("person").long("person").value_name("NAME").help("Sessions of this person"))
        .arg(
            Arg::new("tag")
                .long("tag")
                .value_name("WORD")
                .action(ArgAction::Append)
                .value_parser(tag_word)
                .help("Sessions with this tag; several must all be there"),
        )
        .arg(
            Arg::new("with")
                .long("with")
                .value_name("FOLDER")
                .action(ArgAction::Append)
                .value_parser(value_parser!(PathBuf))
                .help("Another person's folder, beside yours; may be given several times"),
        )
        .arg(options::format(&["text", "json"]))
}

pub(super) fn run(terminal: &mut Terminal, matches: &ArgMatches) -> Outcome {
    let id = terminal.world.pick_one(Shelf::Recipes, text(matches, "recipe").unwrap_or_default())?;
    let (_, recipe) = terminal.world.recipe(&id)?;
    let date = |name: &str| matches.get_one::<Date>(name).copied();
    let tags = matches.get_many::<String>("tag").into_iter().flatten();
    let filter = Filter {
        from: date("from"),
        to: date("to"),
        person: text(matches, "person").map(str::to_owned),
        tags: tags.cloned().collect(),
    };
    let mut all: Vec<(String, Comparison)> =
        vec![("yours".to_owned(), compare(&Archive::new(&terminal.world)?, &recipe, &filter)?)];
    for folder in matches.get_many::<PathBuf>("with").into_iter().flatten() {
        let home = Home::at(folder);
        if !home.exists()? {
            return Err(AppError::Name(format!("there is no folder {}", folder.display())));
        }
        let other = World::new(home, Box::new(FixedClock(terminal.world.clock.now())))?;
        let name =
            folder.file_name().map_or_else(|| folder.display().to_string(), |n| n.to_string_lossy().into_owned());
        all.push((name, compare(&Archive::new(&other)?, &recipe, &filter)?));
    }
    let named: Vec<(&str, &Comparison)> = all.iter().map(|(name, comparison)| (name.as_str(), comparison)).collect();
    if options::format_of(matches) == Format::Json {
        terminal.put(&json_text(&compare_json::json(&named))?);
    } else if named.iter().all(|(_, comparison)| comparison.sessions.is_empty()) {
        terminal.say(crate::shell::ink::Ink::Plain, &format!("No session of {id} fits. bench {id} makes one."));
    } else {
        let (_, yard) = terminal.world.yard(&terminal.world.yard_id(None)?)?;
        terminal.show(&pages::page(&named, terminal.world.unit(&yard)?, PageLayout::of(terminal)));
    }
    let mut whole = true;
    for (name, comparison) in &named {
        for (id, why) in &comparison.lapses {
            terminal.say_aside(&format!("warning: {name}: {id}: {why}"));
            whole = false;
        }
    }
    Ok(if whole { Code::Done } else { Code::Failed })
}
