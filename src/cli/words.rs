//! `words`: the reference of the script language, and its definitions for editors.

use std::path::PathBuf;

use clap::{Arg, ArgMatches, Command, value_parser};

use super::options::{self, text};
use super::{Code, Outcome};
use crate::naming::suggest;
use crate::script::WORDS;
use crate::shell::format::Format;
use crate::shell::ink::Ink;
use crate::shell::terminal::Terminal;
use crate::shell::words;
use crate::store::files;
use crate::world::AppError;

pub(super) fn declare() -> Command {
    Command::new("words")
        .about("Show the words of the script language; with a word, what it takes, does and gives")
        .arg(Arg::new("word").value_name("WORD").help("One word, such as frees"))
        .arg(options::format(&["text", "markdown"]))
        .arg(
            Arg::new("definitions")
                .long("definitions")
                .value_name("FILE")
                .value_parser(value_parser!(PathBuf))
                .help("Write definitions for editors to this new file, such as knockdown.d.rhai"),
        )
}

pub(super) fn run(terminal: &mut Terminal, matches: &ArgMatches) -> Outcome {
    if let Some(path) = matches.get_one::<PathBuf>("definitions") {
        let definitions = terminal.world.host().definitions();
        files::write_new(terminal.world.home.disk().as_ref(), path, definitions.as_bytes())?;
        terminal.say(Ink::Plain, &format!("Written to {}", path.display()));
        return Ok(Code::Done);
    }
    match text(matches, "word") {
        None if options::format_of(matches) == Format::Markdown => terminal.write_stdout(&words::markdown()),
        None => terminal.show(&words::list()),
        Some(word) => {
            let name = word.trim_start_matches('.').trim_end_matches("()");
            let found: Vec<_> = WORDS.iter().filter(|known| known.name == name).collect();
            if found.is_empty() {
                let hint = suggest(name, WORDS.iter().map(|word| word.name));
                return Err(AppError::Name(format!(
                    "the script language has no word `{}`; {hint}",
                    name.escape_debug()
                )));
            }
            terminal.show(&words::full(found.into_iter()));
        }
    }
    Ok(Code::Done)
}
