//! Reading a log.

use std::path::Path;

use super::super::digest::Chain;
use super::super::disk::Disk;
use super::super::error::{Damage, StoreError};
use super::super::files;
use super::scan::{ScanStop, Scanner};
use super::text::shown;
use super::{BadValue, Block, Field, Layout, MAX_ENTRIES, MAX_FILE};

/// How a log ends.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Ending {
    /// With a complete entry.
    Whole,
    /// With the beginning of an entry that was never finished, and so never acknowledged: a torn tail. A reader can
    /// also see one briefly while another process writes.
    Torn {
        /// The line where it begins, from 1.
        line: usize,
        /// Its bytes.
        tail: Vec<u8>,
    },
    /// Before damage. What follows cannot be trusted and is not read.
    Damaged(Damage),
}

impl Ending {
    /// The notice for users of the log; `None` for a whole one.
    #[must_use]
    pub fn told(&self) -> Option<String> {
        match self {
            Self::Whole => None,
            Self::Torn { line, .. } => Some(format!("line {line}: an entry that was never finished is left out")),
            Self::Damaged(damage) => Some(format!("read only up to a damaged place: {damage}")),
        }
    }
}

/// The contents of a log.
#[derive(Debug)]
pub struct LogReading<L: Layout> {
    /// Its header.
    pub header: L::Header,
    /// Its sound entries, in order.
    pub records: Vec<L::Record>,
    /// How it ends.
    pub ending: Ending,
    /// Length in bytes of the header and the sound entries.
    pub(super) len: usize,
    /// The link of the last sound entry.
    pub(super) chain: Chain,
}

/// Reads a log without the right to write. Damage after the header is reported in [`LogReading::ending`], along with
/// the entries before it; nothing on disk is changed.
///
/// # Errors
/// [`StoreError::Missing`], [`StoreError::WrongKind`], [`StoreError::TooLarge`], [`StoreError::Io`];
/// [`StoreError::Foreign`] or [`StoreError::Newer`] for another format or version; [`StoreError::Damaged`] if the
/// header is damaged.
pub fn read<L: Layout>(disk: &dyn Disk, path: &Path) -> Result<LogReading<L>, StoreError> {
    parse(path, &files::read(disk, path, MAX_FILE)?)
}

/// Reads the text of a log; `path` is for the messages.
///
/// # Errors
/// As [`read`], for what is wrong with the text.
pub fn parse<L: Layout>(path: &Path, bytes: &[u8]) -> Result<LogReading<L>, StoreError> {
    let mut scanner = Scanner::new(bytes);
    let (header, chain) = header::<L>(path, &mut scanner)?;
    let mut reading = LogReading { header, records: Vec::new(), ending: Ending::Whole, len: scanner.at(), chain };
    while !scanner.is_at_end() {
        let start = scanner.clone();
        match entry::<L>(&mut scanner, reading.records.len(), &reading.chain) {
            Ok((record, chain)) => {
                reading.records.push(record);
                reading.len = scanner.at();
                reading.chain = chain;
            }
            Err(ScanStop::Cut) => {
                reading.ending = Ending::Torn { line: start.line(), tail: start.rest().to_vec() };
                break;
            }
            Err(ScanStop::Flaw { line, what }) => {
                let sound = reading.records.len();
                let what = format!("in entry {}: {what}", sound + 1);
                reading.ending = Ending::Damaged(Damage { path: path.to_owned(), line, what, sound });
                break;
            }
        }
    }
    Ok(reading)
}

/// The header and its link.
fn header<L: Layout>(path: &Path, scanner: &mut Scanner<'_>) -> Result<(L::Header, Chain), StoreError> {
    format_line::<L>(path, scanner)?;
    let result = version_line::<L>(path, scanner)?.and_then(|()| {
        let first = scanner.line();
        let values = scanner.fields(L::Header::FIELDS)?;
        let chain = scanner.seal(0, &Chain::default())?;
        Ok((block::<L::Header>(0, values, first)?, chain))
    });
    result.map_err(|stop| header_damage(path, scanner.line(), stop))
}

/// The format line.
fn format_line<L: Layout>(path: &Path, scanner: &mut Scanner<'_>) -> Result<(), StoreError> {
    let seen = scanner.seen();
    let wanted = format!("format = \"{}\"", L::FORMAT);
    let is_converted = scanner.rest().strip_prefix(wanted.as_bytes()).is_some_and(|rest| rest.starts_with(b"\r\n"));
    match scanner.literal(&(wanted + "\n")) {
        Ok(()) => Ok(()),
        Err(ScanStop::Cut) => Err(header_damage(path, 1, ScanStop::Cut)),
        Err(ScanStop::Flaw { .. }) if is_converted => {
            let what = "a carriage return (Windows line ending) ends the line: something has converted the file. Turn \
                        CR LF back into LF, and keep whatever did it (version control, mail) from doing it again";
            Err(header_damage(path, 1, ScanStop::Flaw { line: 1, what: what.to_owned() }))
        }
        Err(ScanStop::Flaw { .. }) => Err(StoreError::Foreign { path: path.to_owned(), wanted: L::FORMAT, seen }),
    }
}

/// The format version line; a newer version is an error of its own.
fn version_line<L: Layout>(path: &Path, scanner: &mut Scanner<'_>) -> Result<Result<(), ScanStop>, StoreError> {
    let version = match scanner.literal("version = ").and_then(|()| scanner.number()) {
        Ok(version) => version,
        Err(stop) => return Ok(Err(stop)),
    };
    if version.parse() == Ok(L::VERSION) {
        return Ok(Ok(()));
    }
    if version.parse::<u64>().is_ok_and(|number| number > u64::from(L::VERSION)) {
        return Err(StoreError::Newer { path: path.to_owned(), version, newest: L::VERSION });
    }
    Ok(Err(ScanStop::Flaw { line: 2, what: format!("there never was a version {version} of this format") }))
}

fn header_damage(path: &Path, line: usize, stop: ScanStop) -> StoreError {
    let (line, what) = match stop {
        ScanStop::Cut => (line, "the file ends within its header, so no entry was ever saved in it".to_owned()),
        ScanStop::Flaw { line, what } => (line, format!("in the header: {what}")),
    };
    StoreError::Damaged(Damage { path: path.to_owned(), line, what, sound: 0 })
}

/// Parses a single entry, as the one at `seq` after `chain`.
pub(super) fn parse_entry<L: Layout>(bytes: &[u8], seq: usize, chain: &Chain) -> Result<L::Record, String> {
    match entry::<L>(&mut Scanner::new(bytes), seq - 1, chain) {
        Ok((record, _)) => Ok(record),
        Err(ScanStop::Cut) => Err("it would not be read back as it is".to_owned()),
        Err(ScanStop::Flaw { what, .. }) => Err(what),
    }
}

/// The entry after `count` others, and its link.
fn entry<L: Layout>(scanner: &mut Scanner<'_>, count: usize, chain: &Chain) -> Result<(L::Record, Chain), ScanStop> {
    if count >= MAX_ENTRIES {
        return Err(scanner.flaw(format!("more than {MAX_ENTRIES} entries")));
    }
    let start = scanner.at();
    let seq = count as u64 + 1;
    scanner.opening(L::TABLE, seq)?;
    let first = scanner.line();
    let values = scanner.fields(L::Record::FIELDS)?;
    let chain = scanner.seal(start, chain)?;
    Ok((block::<L::Record>(seq, values, first)?, chain))
}

/// The block with these values, the first of which is on line `first`.
fn block<B: Block>(seq: u64, values: Vec<Option<String>>, first: usize) -> Result<B, ScanStop> {
    // One bit per value that is present. No block has more than a dozen.
    let written = values.iter().rev().fold(0_u32, |bits, value| bits << 1 | u32::from(value.is_some()));
    B::from_values(seq, values).map_err(|BadValue { field, why }| {
        let line = first + (0..field).filter(|place| written >> place & 1 == 1).count();
        let name = B::FIELDS.get(field).map_or("", |field: &Field| field.name);
        ScanStop::Flaw { line, what: format!("{name} {why}") }
    })
}

impl BadValue {
    /// A fault in the field at `index`: the offending value, then `why`.
    #[must_use]
    pub fn new(index: usize, value: &str, why: &str) -> Self {
        Self { field: index, why: format!("is {}, which {why}", shown(value)) }
    }
}
