//! One event of a session, as in the journal.

use serde::{Deserialize, Serialize};

/// The kind of an event.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Kind {
    /// An answer to a question.
    Answer,
    /// The last answer still standing is undone.
    Undo,
    /// The answer undone last is redone.
    Redo,
    /// A note.
    Note,
    /// The session was paused.
    Pause,
    /// The session was resumed.
    Resume,
    /// The user stops here; what is left of the unit is sold or handed on as it is.
    Stop,
    /// The yard that values the session was changed; `understood` is its id, `origin` the digest of its text.
    Yard,
    /// Parts were put into one container and can no longer be told apart; `understood` lists them.
    Mix,
    /// The recipe was reloaded after an edit; `understood` is the digest of the new text, `origin` names the libraries
    /// it imports and their digests.
    Recipe,
    /// The session ended; `understood` is its haul, a line of JSON. It holds until something else is done in the
    /// session.
    End,
    /// The session is a mistake, and counts nowhere from here on.
    Discard,
    /// A discarded session counts again.
    BringBack,
}

/// One event. The kind determines which optional fields are filled.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Entry {
    /// Position in the journal, from 1 without gaps.
    pub seq: u64,
    /// When it was recorded: RFC 3339, in UTC.
    pub at: String,
    /// What it records.
    pub kind: Kind,
    /// The question that was answered: `step/key`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub question: Option<String>,
    /// What the user typed, verbatim.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub typed: Option<String>,
    /// What was understood, in the program's own exact spelling.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub understood: Option<String>,
    /// The source of an answer, if not the keyboard: `file`, `measured`, `computed`, `scale`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub origin: Option<String>,
}
