//! The stock log: what became of the goods that sessions freed.

use std::borrow::Cow;

use super::log::moment::check_instant;
use super::log::{self, BadValue, Block, Field, Layout, Values};
use super::quotes::QuoteHeader;
use crate::quantity::Mass;
use crate::stock::{ActKind, Rest, StockEntry};

/// Separates lots in one field. No lot's name contains it: part names are single lines.
const SEPARATOR: char = '\n';

/// The layout of the log; see [`crate::store::log`] for its format.
#[derive(Debug, Clone, Copy)]
pub struct StockLog;

/// The whole log, read without the right to write.
pub type StockReading = log::LogReading<StockLog>;

impl Layout for StockLog {
    const FORMAT: &'static str = "knockdown-stock";
    const VERSION: u32 = 1;
    const TABLE: &'static str = "entry";
    type Header = QuoteHeader;
    type Record = StockEntry;
}

impl Block for StockEntry {
    const FIELDS: &'static [Field] = &[
        Field::text("at"),
        Field::text("kind"),
        Field::optional("lots"),
        Field::optional("rest"),
        Field::optional("grade"),
        Field::optional("weight"),
        Field::optional("pieces"),
        Field::optional("bin"),
        Field::optional("yard"),
        Field::optional("ticket"),
        Field::optional("note"),
    ];

    fn values(&self) -> Values<'_> {
        let text = |text: &Option<String>| text.clone().map(Cow::Owned);
        let lots = (!self.lots.is_empty()).then(|| Cow::Owned(self.lots.join(&SEPARATOR.to_string())));
        vec![
            Some(Cow::Borrowed(self.at.as_str())),
            Some(Cow::Borrowed(self.kind.word())),
            lots,
            (!self.rest.is_empty()).then(|| Cow::Owned(write_rest(&self.rest))),
            text(&self.grade),
            self.mass.map(|mass| Cow::Owned(mass.to_string())),
            self.pieces.map(|pieces| Cow::Owned(pieces.to_string())),
            text(&self.bin),
            text(&self.yard),
            text(&self.ticket),
            text(&self.note),
        ]
    }

    fn from_values(seq: u64, values: Vec<Option<String>>) -> Result<Self, BadValue> {
        let mut values = values.into_iter();
        let mut next = || values.next().flatten();
        let at = next().unwrap_or_default();
        check_instant(0, &at)?;
        let word = next().unwrap_or_default();
        let kind = ActKind::of_word(&word).ok_or_else(|| BadValue::new(1, &word, "is no kind of entry"))?;
        let lots = next().map(|lots| lots.split(SEPARATOR).map(str::to_owned).collect()).unwrap_or_default();
        let rest =
            next().map(|text| read_rest(&text).ok_or_else(|| BadValue::new(3, &text, "does not say what stays")));
        let rest = rest.transpose()?.unwrap_or_default();
        let grade = next();
        let mass = next().map(|text| text.parse().map_err(|_| BadValue::new(5, &text, "is no weight"))).transpose()?;
        let pieces = next().map(|text| text.parse().map_err(|_| BadValue::new(6, &text, "is no count"))).transpose()?;
        let mass: Option<Mass> = mass;
        Ok(StockEntry {
            seq,
            at,
            kind,
            lots,
            rest,
            grade,
            mass,
            pieces,
            bin: next(),
            yard: next(),
            ticket: next(),
            note: next(),
        })
    }

    fn seq(&self) -> Option<u64> {
        Some(self.seq)
    }
}

/// What remains, one line per lot: weight, or `-`; pieces; name.
fn write_rest(rest: &[Rest]) -> String {
    let line = |rest: &Rest| {
        let mass = rest.mass.map_or_else(|| "-".to_owned(), |mass| mass.to_string());
        format!("{mass}, {}, {}", rest.pieces, rest.lot)
    };
    rest.iter().map(line).collect::<Vec<_>>().join(&SEPARATOR.to_string())
}

fn read_rest(text: &str) -> Option<Vec<Rest>> {
    let line = |line: &str| {
        let mut cells = line.splitn(3, ", ");
        let mass = match cells.next()? {
            "-" => None,
            text => Some(text.parse().ok()?),
        };
        Some(Rest { mass, pieces: cells.next()?.parse().ok()?, lot: cells.next()?.to_owned() })
    };
    text.split(SEPARATOR).map(line).collect()
}
