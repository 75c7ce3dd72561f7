//! The current answers: a journal's events folded into the present state.
//!
//! Undo and redo are entries like all others, so nothing is ever erased. The fold keeps two stacks, the standing
//! entries and the undone ones; a new answer empties the second.

use std::collections::HashMap;

use super::entry::{Entry, Kind};

/// A standing answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Given {
    /// What was typed.
    pub typed: String,
    /// What was understood, in exact form.
    pub exact: String,
    /// Its source, if not the keyboard.
    pub origin: Option<String>,
    /// When it was recorded.
    pub at: String,
    /// The entry that recorded it.
    pub seq: u64,
}

/// The present state of a session's events.
#[derive(Debug, Clone, Default)]
pub struct CurrentAnswers {
    answers: HashMap<String, Given>,
    order: Vec<String>,
    mixes: Vec<Vec<String>>,
    notes: Vec<(String, String)>,
    stopped: bool,
    discarded: bool,
    last_act: String,
    yard: Option<String>,
    yard_digest: Option<String>,
    result: Option<String>,
    /// Whether confirmations stand whatever is demanded today.
    pub(super) as_recorded: bool,
    undoable: Option<Entry>,
    redoable: Option<Entry>,
}

/// Compares tags, ignoring case.
pub fn same_tag(one: &str, other: &str) -> bool {
    one.to_lowercase() == other.to_lowercase()
}

/// The tag in a word of a note: `#garage,` gives `garage`; `#` alone gives none.
pub fn tag(word: &str) -> Option<&str> {
    let rest = word.strip_prefix('#')?;
    let end = rest.find(|c: char| !(c.is_alphanumeric() || c == '-' || c == '_')).unwrap_or(rest.len());
    Some(&rest[..end]).filter(|tag| !tag.is_empty())
}

/// Origin of an answer that was questioned and corrected.
pub const CORRECTED: &str = "corrected";

/// Origin of an answer that was questioned and kept as typed.
pub const KEPT: &str = "kept";

/// Origin of an answer that was corrected after the session had ended.
pub const MENDED: &str = "mended";

/// What separates the parts in a mix entry.
pub const MIX_SEPARATOR: &str = " + ";

impl CurrentAnswers {
    /// Folds the events of a journal, in order.
    pub fn of(entries: impl IntoIterator<Item = Entry>) -> CurrentAnswers {
        let mut standing: Vec<Entry> = Vec::new();
        let mut taken_back: Vec<Entry> = Vec::new();
        let (mut yard, mut yard_digest, mut result) = (None, None, None);
        let (mut discarded, mut ended, mut last_act) = (false, false, String::new());
        for entry in entries {
            if matches!(entry.kind, Kind::Answer | Kind::Stop | Kind::Mix | Kind::Undo | Kind::Redo | Kind::Recipe) {
                result = None;
                // A correction after the end, and what is asked because of it, moves the end no more than a note does;
                // nor does undoing it.
                let touched = match entry.kind {
                    Kind::Undo => standing.last(),
                    Kind::Redo => taken_back.last(),
                    _ => None,
                };
                ended &= touched.is_none_or(|touched| touched.origin.as_deref() == Some(MENDED));
                if !ended && entry.kind != Kind::Recipe && entry.origin.as_deref() != Some(MENDED) {
                    last_act.clone_from(&entry.at);
                }
            }
            match entry.kind {
                Kind::Undo => taken_back.extend(standing.pop()),
                Kind::Redo => standing.extend(taken_back.pop()),
                Kind::Answer | Kind::Stop | Kind::Mix | Kind::Note => {
                    standing.push(entry);
                    taken_back.clear();
                }
                Kind::Yard => (yard, yard_digest) = (entry.understood, entry.origin),
                Kind::Discard | Kind::BringBack => discarded = entry.kind == Kind::Discard,
                Kind::End => (result, ended) = (entry.understood, true),
                Kind::Pause | Kind::Resume | Kind::Recipe => {}
            }
        }
        let (undoable, redoable) = (standing.last().cloned(), taken_back.pop());
        let ends = CurrentAnswers { yard, yard_digest, result, discarded, last_act, ..CurrentAnswers::default() };
        let mut state = CurrentAnswers { undoable, redoable, ..ends };
        standing.into_iter().for_each(|entry| state.take(entry));
        state
    }

    fn take(&mut self, entry: Entry) {
        let understood = entry.understood.unwrap_or_default();
        match entry.kind {
            Kind::Answer => {
                let Some(name) = entry.question else { return };
                let given = Given {
                    typed: entry.typed.unwrap_or_default(),
                    exact: understood,
                    origin: entry.origin,
                    at: entry.at,
                    seq: entry.seq,
                };
                if self.answers.insert(name.clone(), given).is_none() {
                    self.order.push(name);
                }
            }
            Kind::Mix => self.mixes.push(understood.split(MIX_SEPARATOR).map(str::to_owned).collect()),
            Kind::Note => self.notes.push((entry.at, understood)),
            Kind::Stop => self.stopped = true,
            // These are folded before, or have no effect.
            _ => {}
        }
    }

    /// The answers if the user had stopped at the first missing answer: only those to the questions that `keeps`
    /// selects. For what-if only, never recorded.
    pub fn stopped_early(&self, keeps: impl Fn(&str) -> bool) -> CurrentAnswers {
        let kept = |name: &&String| keeps(name);
        let order: Vec<String> = self.order.iter().filter(kept).cloned().collect();
        let answers = order.iter().filter_map(|name| Some((name.clone(), self.answers.get(name)?.clone()))).collect();
        CurrentAnswers { answers, order, stopped: true, result: None, ..self.clone() }
    }

    /// Only these answers, by question and exact text, as if given. For what-if only, never recorded.
    pub fn supposed<'a>(answers: impl IntoIterator<Item = (&'a str, &'a str)>) -> CurrentAnswers {
        let mut state = CurrentAnswers::default();
        for (name, exact) in answers {
            let typed = exact.to_owned();
            let origin = Some("supposed".to_owned());
            let given = Given { exact: typed.clone(), typed, origin, at: String::new(), seq: 0 };
            if state.answers.insert(name.to_owned(), given).is_none() {
                state.order.push(name.to_owned());
            }
        }
        state
    }

    /// The same with one more answer, as if given. For what-if only, never recorded.
    pub fn supposing(&self, name: &str, exact: &str) -> CurrentAnswers {
        let given = Given {
            typed: String::new(),
            exact: exact.to_owned(),
            origin: Some("supposed".to_owned()),
            at: String::new(),
            seq: 0,
        };
        let mut supposed = CurrentAnswers { result: None, ..self.clone() };
        if supposed.answers.insert(name.to_owned(), given).is_none() {
            supposed.order.push(name.to_owned());
        }
        supposed
    }

    /// The current answer to a question.
    pub fn answer(&self, name: &str) -> Option<&Given> {
        self.answers.get(name)
    }

    /// Names of all answered questions, in the order of their first answers.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        self.order.iter().map(String::as_str)
    }

    /// Mixed parts, one list per container.
    pub fn mixes(&self) -> &[Vec<String>] {
        &self.mixes
    }

    /// Notes, each with its time.
    pub fn notes(&self) -> &[(String, String)] {
        &self.notes
    }

    /// The session's tags: every word of its notes that begins with `#`, without that sign, each once and in the order
    /// given.
    pub fn tags(&self) -> Vec<&str> {
        let mut tags: Vec<&str> = Vec::new();
        for tag in self.notes.iter().flat_map(|(_, text)| text.split_whitespace()).filter_map(tag) {
            if !tags.iter().any(|known| same_tag(known, tag)) {
                tags.push(tag);
            }
        }
        tags
    }

    /// Whether the user stopped before the end.
    pub fn stopped(&self) -> bool {
        self.stopped
    }

    /// Whether the session was discarded as a mistake: then it counts nowhere.
    pub fn is_discarded(&self) -> bool {
        self.discarded
    }

    /// When the last entry that affects the session's result was recorded: for an ended session, the moment of its end,
    /// whatever was noted since. Empty before the first answer.
    pub fn last_act(&self) -> &str {
        &self.last_act
    }

    /// The yard chosen last, if it was changed in the session.
    pub fn yard(&self) -> Option<&str> {
        self.yard.as_deref()
    }

    /// The session's result, as stored with its end; `None` if it goes on, or ended before results were stored.
    pub fn result(&self) -> Option<&str> {
        self.result.as_deref()
    }

    /// The same, for reading under the original text: a confirmation stands whatever a hazard's class or word is today.
    #[must_use]
    pub fn as_recorded(self) -> CurrentAnswers {
        CurrentAnswers { as_recorded: true, ..self }
    }

    /// The digest of that yard's text, if the journal has it.
    pub fn yard_digest(&self) -> Option<&str> {
        self.yard_digest.as_deref()
    }

    /// The entry that an undo would affect.
    pub fn undoable(&self) -> Option<&Entry> {
        self.undoable.as_ref()
    }

    /// The entry that a redo would affect.
    pub fn redoable(&self) -> Option<&Entry> {
        self.redoable.as_ref()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn note(seq: u64, kind: Kind, text: &str) -> Entry {
        let understood = Some(text.to_owned()).filter(|text| !text.is_empty());
        Entry { seq, at: String::new(), kind, question: None, typed: understood.clone(), understood, origin: None }
    }

    #[test]
    fn tags_are_the_marked_words_of_notes_that_stand() {
        let entries = [
            note(1, Kind::Note, "from the #garage, with #Ada"),
            note(2, Kind::Note, "# no tag, and no tag#inside; #ada #ünder-10_kg."),
            note(3, Kind::Note, "#slip"),
            note(4, Kind::Undo, ""),
        ];
        assert_eq!(CurrentAnswers::of(entries).tags(), ["garage", "Ada", "ünder-10_kg"]);
    }

    #[test]
    fn only_what_the_result_hangs_on_moves_the_last_act() {
        let answer = |at: &str, origin: Option<&str>| Entry {
            at: at.to_owned(),
            question: Some("lid/lid".to_owned()),
            origin: origin.map(str::to_owned),
            ..note(1, Kind::Answer, "1 kg")
        };
        let act = |at: &str, kind: Kind| Entry { at: at.to_owned(), ..note(2, kind, "") };
        let ended = vec![answer("1", None), act("2", Kind::Stop), act("3", Kind::End)];
        let after = |more: Vec<Entry>| CurrentAnswers::of([ended.clone(), more].concat());
        assert_eq!(after(Vec::new()).last_act(), "2");
        for kind in [Kind::Note, Kind::Pause, Kind::Resume, Kind::Discard, Kind::BringBack] {
            assert_eq!(after(vec![act("4", kind)]).last_act(), "2", "{kind:?}");
        }
        assert_eq!(after(vec![answer("4", Some(MENDED)), answer("5", None)]).last_act(), "2");
        assert_eq!(after(vec![act("4", Kind::Undo), answer("5", None)]).last_act(), "5");
        assert!(after(vec![act("4", Kind::Discard)]).is_discarded());
        assert!(!after(vec![act("4", Kind::Discard), act("5", Kind::BringBack)]).is_discarded());
    }
}
