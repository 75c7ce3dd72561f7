//! One event of a session, as it stands in the journal.

use serde::{Deserialize, Serialize};

/// What kind of event an entry records.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Kind {
    /// An answer to a question.
    Answer,
    /// The last answer still standing is taken back.
    Undo,
    /// The answer that was taken back last stands again.
    Redo,
    /// A remark that is no answer.
    Note,
    /// The session was laid aside.
    Pause,
    /// The session was taken up again.
    Resume,
    /// The person stops here; what is left of the unit is sold or handed on as it is.
    Stop,
    /// The yard that values the session was changed; `understood` is its id, `origin` the digest of its text.
    Yard,
    /// Parts were put into one container and can no longer be told apart; `understood` lists them.
    Mix,
    /// The recipe was read again after an edit; `understood` is the digest of the new text, `origin` names the
    /// libraries that it imports and their digests.
    Recipe,
    /// The session came to its end; `understood` is its haul, a line of JSON. It holds until something else is done in
    /// the session.
    End,
    /// The session is a mistake, and counts nowhere from here on.
    Discard,
    /// A session that was set aside counts again.
    BringBack,
}

/// One event. Which of the optional fields are filled depends on the kind.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Entry {
    /// Position in the journal, from 1 without gaps.
    pub seq: u64,
    /// When it was recorded: RFC 3339, in UTC.
    pub at: String,
    /// What it records.
    pub kind: Kind,
    /// The question that an answer belongs to: `step/key`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub question: Option<String>,
    /// What the person typed, as typed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub typed: Option<String>,
    /// What was understood, in the program's own exact spelling.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub understood: Option<String>,
    /// Where an answer came from when not from the keyboard: `file`, `measured`, `computed`, `scale`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub origin: Option<String>,
}
