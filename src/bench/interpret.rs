//! Converts what a user types to an answer, and an answer to the exact text stored in a journal.
//!
//! [`interpret`] is for people, at the keyboard and in answers files; [`exact`] and [`recall`] are for the journal, and
//! are inverses. Words mean the same in both; only a weight has a fuller form in the journal: net in grams, number of
//! pieces, and the resolution of the scale.

use thiserror::Error;

use super::question::{Answer, Ask, FINISHED, NOTHING, Question, Reading, Weighing};
use crate::naming::{Listing, is_unsafe, nearest};
use crate::quantity::{Mass, MassUnit, Minutes, Notation, WeighingRules, read_count, weigh};
use crate::recipe::Action;

/// Why a text is not an answer to the question.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{message}")]
pub struct NotAnAnswer {
    /// What was seen and what to write instead.
    pub message: String,
    /// The offending bytes of the text, if known.
    pub at: Option<std::ops::Range<usize>>,
    /// List entries that match the description, best first, by id and name: to choose from by number.
    pub offers: Vec<(String, String)>,
}

impl NotAnAnswer {
    pub(crate) fn new(message: impl Into<String>) -> NotAnAnswer {
        NotAnAnswer { message: message.into(), at: None, offers: Vec::new() }
    }
}

/// The most characters stored of a text answer or a note.
const MAX_TEXT: usize = 500;

/// Parses `typed` as an answer to `question`.
///
/// # Errors
/// [`NotAnAnswer`] says what was seen and what would be accepted.
pub fn interpret(question: &Question, typed: &str, rules: &WeighingRules<'_>) -> Result<Answer, NotAnAnswer> {
    let text = typed.trim();
    let word = text.to_lowercase();
    match &question.ask {
        Ask::Begin { may_wait } => begin(&word, *may_wait),
        Ask::Guard { action, word: demanded, .. } => guard(text, *action, demanded),
        Ask::YesNo => yes_no(&word).map(Answer::Yes),
        Ask::Choice { options } => choice(text, options).map(Answer::Choice),
        Ask::Number { .. } => {
            rules.notation.read_signed(text).map(Answer::Number).map_err(|e| NotAnAnswer::new(e.to_string()))
        }
        Ask::Count if matches!(word.as_str(), "0" | "none") => Ok(Answer::Count(0)),
        Ask::Count => read_count(text).map(Answer::Count).map_err(|_| count_wanted(text)),
        Ask::Text => plain_text(text).map(Answer::Text),
        Ask::NextStep if word == FINISHED => Ok(Answer::NoMore),
        Ask::NextStep => next_step(text).map(Answer::Text),
        Ask::NextPart { .. } if word == NOTHING => Ok(Answer::NoMore),
        Ask::NextPart { taken } => next_part(text, taken).map(Answer::Text),
        Ask::Listed { list, or } => listed(text, list, or.as_deref()).map(Answer::Choice),
        Ask::Minutes { .. } => {
            Minutes::read(text, rules.notation).map(Answer::Minutes).map_err(|e| NotAnAnswer::new(e.to_string()))
        }
        Ask::Weight { what, .. } => weight(typed, &word, *what, rules),
    }
}

fn begin(word: &str, may_wait: bool) -> Result<Answer, NotAnAnswer> {
    match word {
        "do" | "yes" | "y" => Ok(Answer::Do),
        "skip" | "no" | "n" => Ok(Answer::Skip),
        "later" if may_wait => Ok(Answer::Later),
        "later" => Err(NotAnAnswer::new("no other step is open, so this one cannot wait: write `do` or `skip`")),
        _ => Err(unknown_word(word, &["do", "skip", "later"])),
    }
}

fn guard(text: &str, action: Action, demanded: &str) -> Result<Answer, NotAnAnswer> {
    let word = text.to_lowercase();
    match (action, word.as_str()) {
        (_, "no" | "n" | "refuse" | "refused") => Ok(Answer::Refused),
        (_, "hand on") if action == Action::Licensed => Ok(Answer::HandOn),
        (Action::Caution, "yes" | "y" | "confirmed") => Ok(Answer::Confirmed),
        (Action::Danger, _) if text == demanded => Ok(Answer::Confirmed),
        (Action::Danger, _) => Err(NotAnAnswer::new(format!(
            "type {demanded} in capitals, exactly, once you have done what the cautions say; or `no` to end safely"
        ))),
        (Action::Licensed, _) => match text.split_once(char::is_whitespace) {
            Some((by, who)) if by.eq_ignore_ascii_case("by") && !who.trim().is_empty() => {
                plain_text(who.trim()).map(Answer::DoneBy)
            }
            _ => Err(NotAnAnswer::new(
                "write `by` and who did it with their licence (by J. Doe, licence 123), or `hand on` to pass the unit on whole",
            )),
        },
        (Action::Caution, _) => Err(unknown_word(&word, &["yes", "no"])),
    }
}

fn yes_no(word: &str) -> Result<bool, NotAnAnswer> {
    match word {
        "yes" | "y" | "true" => Ok(true),
        "no" | "n" | "false" => Ok(false),
        _ => Err(unknown_word(word, &["yes", "no"])),
    }
}

/// An option by its text, its number from 1, or an unambiguous beginning.
fn choice(text: &str, options: &[String]) -> Result<String, NotAnAnswer> {
    let word = text.to_lowercase();
    if let Some(exact) = options.iter().find(|option| option.to_lowercase() == word) {
        return Ok(exact.clone());
    }
    if let Some(option) = text.parse::<usize>().ok().and_then(|n| options.get(n.checked_sub(1)?)) {
        return Ok(option.clone());
    }
    let mut beginnings = options.iter().filter(|option| !word.is_empty() && option.to_lowercase().starts_with(&word));
    match (beginnings.next(), beginnings.next()) {
        (Some(only), None) => Ok(only.clone()),
        _ => Err(unknown_word(text, &options.iter().map(String::as_str).collect::<Vec<_>>())),
    }
}

fn weight(typed: &str, word: &str, what: Weighing, rules: &WeighingRules<'_>) -> Result<Answer, NotAnAnswer> {
    match (what, word) {
        (Weighing::Part, "none" | "absent" | "0") => return Ok(Answer::Absent),
        (Weighing::Part | Weighing::Other, "too light") => return Ok(Answer::TooLight),
        (Weighing::Intake, "unknown") | (Weighing::Remainder, "difference") => return Ok(Answer::Unweighed),
        _ => {}
    }
    match weigh(typed, rules) {
        Ok(weighed) => {
            Ok(Answer::Weight(Reading { net: weighed.net, pieces: weighed.pieces, resolution: weighed.resolution }))
        }
        Err(error) => Err(NotAnAnswer { at: Some(error.at.clone()), ..NotAnAnswer::new(error.to_string()) }),
    }
}

pub(super) fn plain_text(text: &str) -> Result<String, NotAnAnswer> {
    if text.is_empty() {
        return Err(NotAnAnswer::new("write a few words, or `-` for nothing"));
    }
    if text.chars().count() > MAX_TEXT {
        return Err(NotAnAnswer::new(format!("that is longer than the {MAX_TEXT} characters that are kept")));
    }
    if text.chars().any(char::is_control) {
        return Err(NotAnAnswer::new("control characters cannot be kept; write plain text"));
    }
    Ok(text.to_owned())
}

/// A count at the bench may be zero; the weighing grammar's message, where it may not, would mislead.
fn count_wanted(seen: &str) -> NotAnAnswer {
    NotAnAnswer::new(format!("`{}` is not a count; write a whole number from 0", shortened(seen)))
}

/// The first characters of what was typed, safe to show.
pub(super) fn shortened(seen: &str) -> String {
    seen.chars().take(40).flat_map(char::escape_debug).collect()
}

fn unknown_word(seen: &str, known: &[&str]) -> NotAnAnswer {
    let listing = known.iter().map(|word| format!("`{word}`")).collect::<Vec<_>>().join(", ");
    let seen = shortened(seen);
    NotAnAnswer::new(match nearest(&seen, known.iter().copied()) {
        Some(word) => format!("`{seen}` is none of {listing}; did you mean `{word}`?"),
        None if seen.is_empty() => format!("an answer is missing: {listing}"),
        None => format!("`{seen}` is none of {listing}"),
    })
}

/// The exact text of an answer: what the journal stores, and [`recall`] reads back.
pub fn exact(question: &Question, answer: &Answer) -> String {
    match answer {
        Answer::Do => "do".into(),
        Answer::Skip => "skip".into(),
        Answer::Later => "later".into(),
        Answer::Confirmed => match &question.ask {
            Ask::Guard { action: Action::Danger, word, .. } => word.clone(),
            _ => "yes".into(),
        },
        Answer::DoneBy(who) => format!("by {who}"),
        Answer::HandOn => "hand on".into(),
        Answer::Refused => "no".into(),
        Answer::Yes(yes) => if *yes { "yes" } else { "no" }.into(),
        Answer::Choice(text) | Answer::Text(text) => text.clone(),
        Answer::NoMore => match &question.ask {
            Ask::NextStep => FINISHED.into(),
            _ => NOTHING.into(),
        },
        Answer::Number(number) => number.to_string(),
        Answer::Count(count) => count.to_string(),
        Answer::Weight(reading) => format!("{}, {} pcs, to {}", reading.net, reading.pieces, reading.resolution),
        Answer::TooLight => "too light".into(),
        Answer::Absent => "none".into(),
        Answer::Unweighed => match &question.ask {
            Ask::Weight { what: Weighing::Remainder, .. } => "difference".into(),
            _ => "unknown".into(),
        },
        Answer::Minutes(minutes) => minutes.to_string(),
    }
}

/// Reads an exact text back as an answer to `question`. If the question has changed since, the answer may not fit.
///
/// # Errors
/// [`NotAnAnswer`] says why it no longer fits.
pub fn recall(question: &Question, exact: &str) -> Result<Answer, NotAnAnswer> {
    if matches!(question.ask, Ask::Weight { .. })
        && let Some(reading) = recall_reading(exact)
    {
        return Ok(Answer::Weight(reading));
    }
    if let Ask::Choice { options } = &question.ask {
        // Neither a number nor a beginning: it must be the option itself, or the answer no longer fits.
        let known = options.iter().find(|option| *option == exact).cloned();
        return known.map(Answer::Choice).ok_or_else(|| {
            NotAnAnswer::new(format!("`{exact}` is no longer one of the options {}", options.join(", ")))
        });
    }
    if let Ask::Listed { list, or } = &question.ask {
        let known = or.as_deref() == Some(exact) || list.entries().iter().any(|entry| entry.id == exact);
        let gone = || NotAnAnswer::new(format!("there is no longer a {} `{exact}`", list.what()));
        return known.then(|| Answer::Choice(exact.to_owned())).ok_or_else(gone);
    }
    let rules = WeighingRules { notation: Notation::Point, unit: MassUnit::Gram, tare: &|_| None };
    interpret(question, exact, &rules)
}

/// As [`recall`], for a session read as it ran: a guard's confirmation stands, whatever its class or word is today.
///
/// # Errors
/// As [`recall`].
pub(super) fn recall_as_recorded(question: &Question, exact: &str) -> Result<Answer, NotAnAnswer> {
    if matches!(question.ask, Ask::Guard { .. }) { Ok(recall_guard(exact)) } else { recall(question, exact) }
}

/// A guard's answer, whichever class it had then: anything but a no, a hand-on or a licensed person's record confirmed
/// it.
fn recall_guard(exact: &str) -> Answer {
    match exact {
        "no" => Answer::Refused,
        "hand on" => Answer::HandOn,
        other => other.strip_prefix("by ").map_or(Answer::Confirmed, |who| Answer::DoneBy(who.to_owned())),
    }
}

fn recall_reading(exact: &str) -> Option<Reading> {
    let mut fields = exact.split(", ");
    let net = fields.next()?.parse::<Mass>().ok()?;
    let pieces = fields.next()?.strip_suffix(" pcs")?.parse().ok()?;
    let resolution = fields.next()?.strip_prefix("to ")?.parse().ok()?;
    (fields.next().is_none() && !net.is_negative()).then_some(Reading { net, pieces, resolution })
}

/// The longest title of a step, in characters.
const MAX_TITLE: usize = 80;

/// The longest name of a part, in characters.
const MAX_PART: usize = 60;

/// The unit itself, among the things that a step can be done on.
pub(super) const UNIT_ITSELF: &str = "the unit itself";

/// Reads what is done next.
fn next_step(text: &str) -> Result<String, NotAnAnswer> {
    if text.is_empty() {
        return Err(NotAnAnswer::new(format!("say what is done next, or `{FINISHED}`")));
    }
    if text.chars().count() > MAX_TITLE || text.chars().any(is_unsafe) {
        return Err(NotAnAnswer::new(format!("say it in one plain line of at most {MAX_TITLE} characters")));
    }
    plain_text(text)
}

/// Reads the name of a part that comes out: plain, and unlike all keys of the step and all parts so far.
fn next_part(text: &str, taken: &[String]) -> Result<String, NotAnAnswer> {
    if text.is_empty() {
        return Err(NotAnAnswer::new(format!("name what comes out, or `{NOTHING}` when nothing does")));
    }
    if text.contains(['/', '+', ',']) || text.chars().count() > MAX_PART || text.chars().any(is_unsafe) {
        let most = format!("a part's name has at most {MAX_PART} characters, and no `/`, `,` or `+`");
        return Err(NotAnAnswer::new(most));
    }
    let counted = ["guard.", "part-", "grade-", "danger-", "begin"].iter().any(|start| text.starts_with(start));
    if counted || matches!(text, "what" | "on" | "rest" | "minutes" | UNIT_ITSELF) {
        let seen = shortened(text);
        return Err(NotAnAnswer::new(format!("a question goes by the name `{seen}`; call the part something else")));
    }
    if taken.iter().any(|known| known.eq_ignore_ascii_case(text)) {
        let seen = shortened(text);
        return Err(NotAnAnswer::new(format!("`{seen}` is out already; say how this one differs, as in `{seen} 2`")));
    }
    plain_text(text)
}

/// Reads an entry of a list: its id or name; anything else is taken for a description, and what fits it is offered.
fn listed(text: &str, list: &Listing, or: Option<&str>) -> Result<String, NotAnAnswer> {
    if let Some(word) = or.filter(|word| word.eq_ignore_ascii_case(text)) {
        return Ok(word.to_owned());
    }
    if let Some(entry) = list.exactly(text) {
        return Ok(entry.id.clone());
    }
    let what = list.what();
    let or = or.map(|word| format!(", or `{word}`")).unwrap_or_default();
    if text.is_empty() {
        return Err(NotAnAnswer::new(format!("describe it in a few words, or name a {what} by its id{or}")));
    }
    let offers: Vec<_> = list.find(text).into_iter().take(9).map(|e| (e.id.clone(), e.name.clone())).collect();
    let seen = shortened(text);
    let message = match offers.len() {
        0 => format!("no {what} fits `{seen}`; try other words{or}"),
        1 => format!("`{seen}` may be this {what}; answer 1, or describe it otherwise{or}"),
        _ => format!("`{seen}` may be one of these; answer its number, or describe it otherwise{or}"),
    };
    Err(NotAnAnswer { offers, ..NotAnAnswer::new(message) })
}
