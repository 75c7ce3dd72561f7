//! Explains a command line that was not understood, in one calm line: what is wrong, what was probably meant, where to
//! look.

use clap::Error;
use clap::error::{ContextKind, ContextValue, ErrorKind};

use super::NAMED;
use crate::naming::{nearest, one_line};
use crate::world::World;

/// The most characters of the typed text that are repeated.
const MOST: usize = 40;

/// The line. `None` if the user asked for something that the command line prints by itself, such as help. `words` is
/// the typed text, `commands` the names of all commands.
pub(super) fn line(world: &World, error: &Error, words: &[String], commands: &[String]) -> Option<String> {
    let first = words.first().map_or("", String::as_str);
    let told = |what: String| Some(format!("{what}; {first} --help tells what it takes"));
    let value = |kind| error.get(kind).map(plain).unwrap_or_default().replace(['<', '>'], "").replace("...", "");
    match error.kind() {
        ErrorKind::DisplayHelp | ErrorKind::DisplayVersion | ErrorKind::DisplayHelpOnMissingArgumentOrSubcommand => {
            None
        }
        ErrorKind::InvalidSubcommand if value(ContextKind::InvalidSubcommand) == first => {
            Some(no_command(world, first, commands))
        }
        ErrorKind::InvalidSubcommand => {
            told(format!("`{}` is no word of {first}", one_line(&value(ContextKind::InvalidSubcommand), MOST)))
        }
        ErrorKind::UnknownArgument => {
            let seen = one_line(&value(ContextKind::InvalidArg), MOST);
            if !seen.starts_with('-') {
                return told(format!("`{seen}` is more than {first} takes"));
            }
            told(match value(ContextKind::SuggestedArg) {
                none if none.is_empty() => format!("`{seen}` is no option of {first}"),
                near => format!("`{seen}` is no option of {first} (did you mean {near}?)"),
            })
        }
        ErrorKind::MissingRequiredArgument => told(format!("{first} needs {}", value(ContextKind::InvalidArg))),
        ErrorKind::InvalidValue => {
            let (seen, of) = (one_line(&value(ContextKind::InvalidValue), MOST), value(ContextKind::InvalidArg));
            let known = value(ContextKind::ValidValue);
            told(match (seen.is_empty(), known.is_empty()) {
                (true, _) => format!("{of} needs a value"),
                (false, true) => format!("`{seen}` does not fit {of}"),
                (false, false) => format!("`{seen}` does not fit {of}, which takes {known}"),
            })
        }
        _ => {
            let text = error.to_string();
            let text = text.lines().next().unwrap_or_default();
            told(one_line(text.strip_prefix("error: ").unwrap_or(text), 200))
        }
    }
}

/// A first word that is no command: suggests a similar command, or what to do with a thing of that name.
fn no_command(world: &World, word: &str, commands: &[String]) -> String {
    let shown = one_line(word, MOST);
    // In a short word, two edits can turn any word into any other.
    let is_slip = |near: &&str| word.chars().count() > 4 || strsim::damerau_levenshtein(word, near) <= 1;
    if let Some(near) = nearest(word, commands.iter().map(String::as_str)).filter(is_slip) {
        return format!("`{shown}` is no command; did you mean {near}? All are listed by ?");
    }
    match world.named(&NAMED, word) {
        Ok((_, id)) => format!("`{shown}` is no command; show {id} shows what goes by that name. All are listed by ?"),
        Err(_) => format!("`{shown}` is no command; all are listed by ?"),
    }
}

/// The text of clap's context for an error.
fn plain(value: &ContextValue) -> String {
    match value {
        ContextValue::String(text) => text.clone(),
        ContextValue::Strings(texts) => texts.join(", "),
        ContextValue::StyledStr(text) => text.to_string(),
        ContextValue::StyledStrs(texts) => texts.iter().map(ToString::to_string).collect::<Vec<_>>().join(", "),
        ContextValue::Number(number) => number.to_string(),
        ContextValue::Bool(yes) => yes.to_string(),
        _ => String::new(),
    }
}
