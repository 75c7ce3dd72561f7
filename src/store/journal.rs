//! A session's journal: who dismantled which unit under which recipe, and every event since.

use std::borrow::Cow;

use serde::Deserialize;
use serde::de::IntoDeserializer;
use serde::de::value::StrDeserializer;

use super::log::moment::{check_instant, check_offset};
use super::log::{self, BadValue, Block, Field, Layout, Values};
use crate::bench::{Entry, Kind};

/// The layout of a session journal; see [`crate::store::log`] for the file format.
#[derive(Debug, Clone, Copy)]
pub struct SessionLog;

/// The only writer of a session's journal.
pub type Journal = log::Writer<SessionLog>;

/// A journal opened for writing.
pub type OpenedJournal = log::Opened<SessionLog>;

/// A journal read without the right to write.
pub type JournalReading = log::LogReading<SessionLog>;

impl Layout for SessionLog {
    const FORMAT: &'static str = "knockdown-session";
    const VERSION: u32 = 1;
    const TABLE: &'static str = "entry";
    type Header = SessionHeader;
    type Record = Entry;
}

/// What is fixed when a session begins.
#[derive(Debug, Clone, PartialEq, Eq, Default, serde::Serialize, serde::Deserialize)]
pub struct SessionHeader {
    /// The name of the session and of its file.
    pub id: String,
    /// The version of the program, as in `0.1.0`.
    pub program: String,
    /// When it began: RFC 3339, in UTC.
    pub started: String,
    /// The offset of local time from UTC at that moment, as `-05:00`.
    pub offset: String,
    /// The name of the recipe.
    pub recipe: String,
    /// The recipe's title as it was then.
    pub recipe_name: String,
    /// The recipe's revision.
    pub revision: u64,
    /// The digest of the recipe's text.
    pub recipe_digest: String,
    /// The name of the yard that values the session, if one was chosen.
    pub yard: Option<String>,
    /// The digest of that yard's text.
    pub yard_digest: Option<String>,
    /// Who works, if they gave a name.
    pub person: Option<String>,
    /// A remark on the unit: make, origin. No longer written.
    pub unit_note: Option<String>,
    /// The imported libraries and their digests: `checks 3f…, cords 9b…`.
    pub libraries: Option<String>,
}

impl Block for SessionHeader {
    const FIELDS: &'static [Field] = &[
        Field::text("id"),
        Field::text("program"),
        Field::text("started"),
        Field::text("offset"),
        Field::text("recipe"),
        Field::text("recipe_name"),
        Field::number("revision"),
        Field::text("recipe_digest"),
        Field::optional("yard"),
        Field::optional("yard_digest"),
        Field::optional("person"),
        Field::optional("unit_note"),
        Field::optional("libraries"),
    ];

    fn values(&self) -> Values<'_> {
        fn always(text: &str) -> Option<Cow<'_, str>> {
            Some(Cow::Borrowed(text))
        }
        vec![
            always(&self.id),
            always(&self.program),
            always(&self.started),
            always(&self.offset),
            always(&self.recipe),
            always(&self.recipe_name),
            Some(Cow::Owned(self.revision.to_string())),
            always(&self.recipe_digest),
            self.yard.as_deref().map(Cow::Borrowed),
            self.yard_digest.as_deref().map(Cow::Borrowed),
            self.person.as_deref().map(Cow::Borrowed),
            self.unit_note.as_deref().map(Cow::Borrowed),
            self.libraries.as_deref().map(Cow::Borrowed),
        ]
    }

    fn from_values(_: u64, values: Vec<Option<String>>) -> Result<Self, BadValue> {
        let mut values = values.into_iter();
        let mut next = || values.next().flatten();
        let header = Self {
            id: next().unwrap_or_default(),
            program: next().unwrap_or_default(),
            started: next().unwrap_or_default(),
            offset: next().unwrap_or_default(),
            recipe: next().unwrap_or_default(),
            recipe_name: next().unwrap_or_default(),
            // A number of at most 18 digits fits.
            revision: next().and_then(|digits| digits.parse().ok()).unwrap_or_default(),
            recipe_digest: next().unwrap_or_default(),
            yard: next(),
            yard_digest: next(),
            person: next(),
            unit_note: next(),
            libraries: next(),
        };
        check_instant(2, &header.started)?;
        check_offset(3, &header.offset)?;
        Ok(header)
    }
}

impl Block for Entry {
    const FIELDS: &'static [Field] = &[
        Field::text("at"),
        Field::text("kind"),
        Field::optional("question"),
        Field::optional("typed"),
        Field::optional("understood"),
        Field::optional("origin"),
    ];

    fn values(&self) -> Values<'_> {
        let optional = [&self.question, &self.typed, &self.understood, &self.origin];
        let fixed = [Some(Cow::Borrowed(self.at.as_str())), Some(Cow::Owned(kind_word(self.kind)))];
        fixed.into_iter().chain(optional.map(|text| text.as_deref().map(Cow::Borrowed))).collect()
    }

    fn from_values(seq: u64, values: Vec<Option<String>>) -> Result<Self, BadValue> {
        let mut values = values.into_iter();
        let mut next = || values.next().flatten();
        let at = next().unwrap_or_default();
        check_instant(0, &at)?;
        let word = next().unwrap_or_default();
        let kind = kind_of(&word).ok_or_else(|| BadValue::new(1, &word, "is no kind of entry"))?;
        Ok(Self { seq, at, kind, question: next(), typed: next(), understood: next(), origin: next() })
    }

    fn seq(&self) -> Option<u64> {
        Some(self.seq)
    }
}

/// The word for a kind, the same wherever an entry is written out.
fn kind_word(kind: Kind) -> String {
    match toml::Value::try_from(kind) {
        Ok(toml::Value::String(word)) => word,
        // A kind without a word would be rejected by the read-back before writing.
        _ => String::new(),
    }
}

fn kind_of(word: &str) -> Option<Kind> {
    let word: StrDeserializer<'_, serde::de::value::Error> = word.into_deserializer();
    Kind::deserialize(word).ok()
}
