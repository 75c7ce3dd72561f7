//! A weight that looks like a slip is asked about before it counts. The correction is one key away.

use super::face::Face;
use super::ink::Ink;
use super::line::{Aids, Line};
use crate::app::{Doubt, Session};
use crate::bench::Answer;

/// What came of a typed answer before it counts.
pub(super) enum Looked {
    /// This text is the answer; the second value says where it came from when it is not what was typed first.
    Answer(String, Option<&'static str>),
    /// Nothing is taken; the question is asked anew.
    Again,
    /// The question is left open with what was typed.
    Left,
}

/// Asks about a weight until it is plausible, or meant.
///
/// # Errors
/// The terminal is gone.
pub(super) fn look(face: &Face, session: &Session<'_>, text: &str) -> std::io::Result<Looked> {
    let mut text = text.to_owned();
    while let Some(doubt) = session.doubt(&text) {
        match settle(face, session, &doubt)? {
            Settled::Keep => break,
            Settled::Corrected(corrected) => return Ok(Looked::Answer(corrected, Some("corrected"))),
            Settled::Other(other) => text = other,
            Settled::Nothing => return Ok(Looked::Again),
            Settled::Open => return Ok(Looked::Left),
        }
    }
    Ok(Looked::Answer(text, None))
}

/// What a person says to a doubted weight.
enum Settled {
    /// It is as it was typed.
    Keep,
    /// The weight that was probably meant.
    Corrected(String),
    /// Another weight was typed.
    Other(String),
    /// None of these.
    Nothing,
    /// Ctrl-C, or the end of input.
    Open,
}

fn settle(face: &Face, session: &Session<'_>, doubt: &Doubt) -> std::io::Result<Settled> {
    face.say(Ink::Caution, &format!("Check: {}", doubt.why));
    let prompt = match &doubt.corrected {
        Some(corrected) => format!("keep it? yes; c takes {corrected}; or type it again > "),
        None => "keep it? yes; or type it again > ".to_owned(),
    };
    let Line::Text(text) = face.read_line(Aids { prompt, ..Aids::default() })? else { return Ok(Settled::Open) };
    Ok(match (text.trim().to_lowercase().as_str(), &doubt.corrected) {
        ("yes" | "y", _) => Settled::Keep,
        ("c", Some(corrected)) => Settled::Corrected(corrected.clone()),
        _ if matches!(session.understand(&text), Ok(Answer::Weight(_))) => Settled::Other(text),
        _ => Settled::Nothing,
    })
}
