//! Writing a log.

use std::marker::PhantomData;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::super::digest::Chain;
use super::super::disk::{Disk, FileKind, OpenFile};
use super::super::error::StoreError;
use super::super::files;
use super::super::lock::Lock;
use super::read::{Ending, LogReading, parse, parse_entry};
use super::text::escape;
use super::{Block, Layout, MAX_ENTRIES, MAX_FILE, MAX_TEXT, Shape};

/// The most torn tails stored per log.
const MAX_TORN: usize = 1000;

/// The only writer of a log; it holds the log's lock.
///
/// A failed write or sync disables it: see the assumptions in [`crate::store`].
pub struct Writer<L: Layout> {
    disk: Arc<dyn Disk>,
    path: PathBuf,
    file: Box<dyn OpenFile>,
    chain: Chain,
    next: u64,
    len: u64,
    failed: Option<String>,
    layout: PhantomData<fn() -> L>,
    _lock: Lock,
}

impl<L: Layout> std::fmt::Debug for Writer<L> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Writer").field("path", &self.path).field("next", &self.next).finish_non_exhaustive()
    }
}

/// What to do with a torn tail when a log is opened for writing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Tail {
    /// Move it to a side file; the caller reports it.
    PutAside,
    /// Do not write: somebody must first agree to move it aside.
    Refuse,
}

/// A log opened for writing.
#[derive(Debug)]
pub struct Opened<L: Layout> {
    /// The writer, positioned after the last sound entry.
    pub writer: Writer<L>,
    /// What the log holds.
    pub reading: LogReading<L>,
    /// The side file with the torn tail, if there was one; [`LogReading::ending`] has the tail itself.
    pub torn: Option<PathBuf>,
}

impl<L: Layout> Writer<L> {
    /// Creates a log. On return, header and name are on disk; a crash leaves the whole header or no file.
    ///
    /// # Errors
    /// [`StoreError::Exists`] if the name is taken, [`StoreError::Unwritable`] for a header that would not read back
    /// unchanged, [`StoreError::Io`].
    pub fn create(disk: Arc<dyn Disk>, path: &Path, header: &L::Header, lock: Lock) -> Result<Self, StoreError> {
        let refused = |reason| StoreError::Unwritable { path: path.to_owned(), entry: 0, reason };
        let (text, chain) = header_text::<L>(header).map_err(refused)?;
        let back = parse::<L>(path, text.as_bytes()).map_err(|error| refused(error.to_string()))?;
        if back.header != *header {
            return Err(refused("it would not be read back as it is".to_owned()));
        }
        files::write_new(disk.as_ref(), path, text.as_bytes())?;
        Self::at_end(disk, path, lock, chain, 1, text.len())
    }

    /// Opens a log for writing. A torn tail is first copied to `<name>.torn-1` (or -2, …) beside it; then a fresh copy
    /// of the sound part replaces the file, so that nothing depends on an earlier process's syncs.
    ///
    /// # Errors
    /// As for [`super::read`]; [`StoreError::Torn`] for a torn tail if it may not be moved aside,
    /// [`StoreError::Damaged`] for any other damage, in which case nothing is changed.
    pub fn open(disk: Arc<dyn Disk>, path: &Path, lock: Lock, tail: Tail) -> Result<Opened<L>, StoreError> {
        let bytes = files::read(disk.as_ref(), path, MAX_FILE)?;
        let reading = parse::<L>(path, &bytes)?;
        let torn = match &reading.ending {
            Ending::Whole => None,
            Ending::Torn { line, .. } if tail == Tail::Refuse => {
                return Err(StoreError::Torn { path: path.to_owned(), line: *line });
            }
            Ending::Torn { tail, .. } => Some(save_tail(disk.as_ref(), path, tail)?),
            Ending::Damaged(damage) => return Err(StoreError::Damaged(damage.clone())),
        };
        files::replace(disk.as_ref(), path, &bytes[..reading.len])?;
        let next = reading.records.len() as u64 + 1;
        let writer = Self::at_end(disk, path, lock, reading.chain.clone(), next, reading.len)?;
        Ok(Opened { writer, reading, torn })
    }

    fn at_end(
        disk: Arc<dyn Disk>,
        path: &Path,
        lock: Lock,
        chain: Chain,
        next: u64,
        len: usize,
    ) -> Result<Self, StoreError> {
        let file = disk.append(path).map_err(StoreError::io("open", path))?;
        let path = path.to_owned();
        let layout = PhantomData;
        Ok(Self { disk, path, file, chain, next, len: len as u64, failed: None, layout, _lock: lock })
    }

    /// The number of the next entry.
    #[must_use]
    pub fn next_seq(&self) -> u64 {
        self.next
    }

    /// The file.
    #[must_use]
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Rejects what [`Self::append`] would reject before writing.
    ///
    /// # Errors
    /// [`StoreError::Unwritable`].
    pub fn check(&self, record: &L::Record) -> Result<(), StoreError> {
        self.entry_text(record).map(drop)
    }

    /// Appends an entry. If this returns without an error, the entry is on disk: one write, one sync, and a check that
    /// the file at this path is still the one written.
    ///
    /// # Errors
    /// [`StoreError::Unwritable`] for an entry that breaks a limit, is out of sequence or would not read back
    /// unchanged; nothing was written and the log stays usable. [`StoreError::NotSaved`] if the disk failed: the log
    /// then accepts no more entries, and the error says which are safe.
    pub fn append(&mut self, record: &L::Record) -> Result<(), StoreError> {
        if let Some(reason) = &self.failed {
            return Err(self.not_saved(format!("an earlier entry could not be saved ({reason})")));
        }
        let (text, chain) = self.entry_text(record)?;
        if let Err(reason) = self.save(text.as_bytes()) {
            self.failed = Some(reason.clone());
            return Err(self.not_saved(reason));
        }
        self.chain = chain;
        self.next += 1;
        self.len += text.len() as u64;
        Ok(())
    }

    /// The text of the next entry, proven to be read back as it is, and its link.
    fn entry_text(&self, record: &L::Record) -> Result<(String, Chain), StoreError> {
        let refused = |reason: String| StoreError::Unwritable { path: self.path.clone(), entry: self.next, reason };
        if let Some(seq) = record.seq().filter(|seq| *seq != self.next) {
            return Err(refused(format!("it has the number {seq}")));
        }
        if self.next > MAX_ENTRIES as u64 {
            return Err(refused(format!("a log holds at most {MAX_ENTRIES} entries. Begin a new one")));
        }
        let mut text = format!("\n[[{}]]\nseq = {}\n", L::TABLE, self.next);
        fields_text(record, &mut text).map_err(refused)?;
        let chain = seal(&self.chain, &mut text);
        if self.len + text.len() as u64 > MAX_FILE {
            return Err(refused(format!("the file would be larger than {MAX_FILE} bytes. Begin a new one")));
        }
        let back = parse_entry::<L>(text.as_bytes(), self.next as usize, &self.chain).map_err(refused)?;
        if back != *record {
            return Err(refused("it would not be read back as it is".to_owned()));
        }
        Ok((text, chain))
    }

    /// Writes, syncs, checks. Returns the reason if any of it failed.
    fn save(&mut self, bytes: &[u8]) -> Result<(), String> {
        let written = self.file.write(bytes).map_err(|error| format!("writing failed: {error}"))?;
        if written < bytes.len() {
            return Err(format!("only {written} of {} bytes could be written; the disk may be full", bytes.len()));
        }
        self.file.sync().map_err(|error| format!("syncing failed: {error}"))?;
        let wanted = FileKind::File { len: self.len + bytes.len() as u64 };
        match self.disk.kind(&self.path) {
            Ok(Some(kind)) if kind == wanted => Ok(()),
            Ok(_) => Err("the file was moved, removed or changed by another program".to_owned()),
            Err(error) => Err(format!("looking at the file failed: {error}")),
        }
    }

    fn not_saved(&self, reason: String) -> StoreError {
        StoreError::NotSaved { path: self.path.clone(), entry: self.next, reason }
    }
}

/// The text of a header, and its link.
fn header_text<L: Layout>(header: &L::Header) -> Result<(String, Chain), String> {
    let mut text = format!("format = \"{}\"\nversion = {}\n", L::FORMAT, L::VERSION);
    fields_text(header, &mut text)?;
    let chain = seal(&Chain::default(), &mut text);
    Ok((text, chain))
}

/// Appends the lines of a block's own fields.
fn fields_text<B: Block>(block: &B, text: &mut String) -> Result<(), String> {
    for (field, value) in B::FIELDS.iter().zip(block.values()) {
        let Some(value) = value else { continue };
        if value.len() > MAX_TEXT {
            return Err(format!("its {} is longer than {MAX_TEXT} bytes", field.name));
        }
        match field.shape {
            Shape::Number => text.push_str(&format!("{} = {value}\n", field.name)),
            Shape::Text | Shape::OptionalText => {
                text.push_str(&format!("{} = \"", field.name));
                escape(&value, text);
                text.push_str("\"\n");
            }
        }
    }
    Ok(())
}

/// Seals the block that is `text` so far.
fn seal(before: &Chain, text: &mut String) -> Chain {
    let chain = before.sealed(text.as_bytes());
    text.push_str(&format!("chain = \"{}\"\n", chain.digits()));
    chain
}

/// Copies a torn tail to the first free side file, or finds it already there; returns the side file.
fn save_tail(disk: &dyn Disk, path: &Path, tail: &[u8]) -> Result<PathBuf, StoreError> {
    for number in 1..=MAX_TORN {
        let mut name = path.as_os_str().to_owned();
        name.push(format!(".torn-{number}"));
        let side = PathBuf::from(name);
        if disk.kind(&side).map_err(StoreError::io("look at", &side))?.is_none() {
            files::write_new(disk, &side, tail)?;
            return Ok(side);
        }
        // A crash between saving it and repairing the log leaves the same tail to be saved again.
        if files::read(disk, &side, MAX_FILE).is_ok_and(|saved| saved == tail) {
            return Ok(side);
        }
    }
    Err(StoreError::Refused {
        what: format!("{MAX_TORN} torn tails lie beside {}. Move them away", super::super::error::named(path)),
    })
}
