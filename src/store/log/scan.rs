//! A strict scanner for the few line forms of a log.

use super::super::digest::{CHAIN_DIGITS, Chain};
use super::text::{shown, unescape};
use super::{Field, MAX_TEXT, Shape};

/// The longest string body: every byte of the longest text as a six-byte escape.
const MAX_INSIDE: usize = MAX_TEXT * 6;

/// The most digits of a number; every such number fits in 64 bits.
const MAX_DIGITS: usize = 18;

/// The most digits of a position: those of the largest 64-bit number.
const MAX_DIGITS_OF_SEQ: usize = 20;

/// Why scanning stopped.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum ScanStop {
    /// The text ends in the middle, and is right up to there.
    Cut,
    /// Something else stands there.
    Flaw {
        /// The line, from 1.
        line: usize,
        /// What is wrong, with the value seen.
        what: String,
    },
}

/// A position in the text of a log. Everything before it was read and is in order.
#[derive(Debug, Clone)]
pub(super) struct Scanner<'a> {
    bytes: &'a [u8],
    at: usize,
    line: usize,
}

impl<'a> Scanner<'a> {
    pub(super) fn new(bytes: &'a [u8]) -> Self {
        Self { bytes, at: 0, line: 1 }
    }

    /// The offset in bytes.
    pub(super) fn at(&self) -> usize {
        self.at
    }

    /// The line, from 1.
    pub(super) fn line(&self) -> usize {
        self.line
    }

    /// Whether nothing is left.
    pub(super) fn is_at_end(&self) -> bool {
        self.at == self.bytes.len()
    }

    /// What is left.
    pub(super) fn rest(&self) -> &'a [u8] {
        &self.bytes[self.at..]
    }

    /// Exactly `wanted`, or a complaint that begins with `expected …`.
    pub(super) fn literal(&mut self, wanted: &str) -> Result<(), ScanStop> {
        if self.take(wanted)? {
            return Ok(());
        }
        Err(self.flaw(format!("expected {}, found {}", wanted.trim(), self.seen())))
    }

    /// The opening of entry `seq`.
    pub(super) fn opening(&mut self, table: &str, seq: u64) -> Result<(), ScanStop> {
        self.literal("\n")?;
        let line = self.clone();
        if !(self.take_both("[[", table)? && self.take("]]\n")?) {
            *self = line;
            return self.literal(&format!("[[{table}]]\n"));
        }
        let line = self.clone();
        if !(self.take_both("seq = ", digits_of(seq, &mut [0; MAX_DIGITS_OF_SEQ]))? && self.take("\n")?) {
            *self = line;
            return self.literal(&format!("seq = {seq}\n"));
        }
        Ok(())
    }

    /// The fields of a block in their order, each on its line.
    pub(super) fn fields(&mut self, fields: &[Field]) -> Result<Vec<Option<String>>, ScanStop> {
        let mut values = Vec::with_capacity(fields.len());
        for field in fields {
            values.push(self.field(field)?);
        }
        Ok(values)
    }

    /// The line that seals the block begun at `start`; returns the new link.
    pub(super) fn seal(&mut self, start: usize, chain: &Chain) -> Result<Chain, ScanStop> {
        let block = &self.bytes[start..self.at];
        let line = self.line;
        self.literal("chain = \"")?;
        let written = self.digits(|byte| byte.is_ascii_digit() || (b'a'..=b'f').contains(&byte))?;
        if written.len() != CHAIN_DIGITS {
            return Err(self.flaw(format!("a chain has {CHAIN_DIGITS} digits, found {}", shown(written))));
        }
        let sealed = chain.sealed(block);
        self.end_of_string()?;
        if sealed.digits() == written {
            return Ok(sealed);
        }
        let what = format!("the digest {} does not fit what stands above it", shown(written));
        Err(ScanStop::Flaw { line, what })
    }

    /// One field; `None` if it is optional and absent.
    fn field(&mut self, field: &Field) -> Result<Option<String>, ScanStop> {
        let opening = if field.shape == Shape::Number { " = " } else { " = \"" };
        if !self.take_both(field.name, opening)? {
            if field.shape == Shape::OptionalText {
                return Ok(None);
            }
            return Err(self.flaw(format!("expected {}, found {}", field.name, self.seen())));
        }
        match field.shape {
            Shape::Number => self.number().map(Some),
            Shape::Text | Shape::OptionalText => self.string().map(Some),
        }
    }

    /// The rest of a string line after the opening quote.
    fn string(&mut self) -> Result<String, ScanStop> {
        if let Some(plain) = plain(self.rest()) {
            self.at += plain.len();
            self.end_of_string()?;
            return Ok(plain.to_owned());
        }
        let (inside, closed) = inside(self.rest());
        let text = match std::str::from_utf8(inside) {
            Ok(text) => text,
            Err(error) if !closed && error.error_len().is_none() => return Err(ScanStop::Cut),
            Err(_) => return Err(self.flaw("the bytes here are not UTF-8 text".to_owned())),
        };
        if inside.len() > MAX_INSIDE {
            return Err(self.flaw(format!("the line is longer than {MAX_INSIDE} bytes")));
        }
        if let Some(byte) = text.bytes().find(|byte| *byte < 0x20 || *byte == 0x7f) {
            return Err(self.flaw(format!("{} stands in a text where it cannot", byte_words(byte))));
        }
        if !closed {
            return Err(ScanStop::Cut);
        }
        let value = match unescape(text) {
            Some(value) if value.len() <= MAX_TEXT => value.into_owned(),
            Some(_) => return Err(self.flaw(format!("the text is longer than {MAX_TEXT} bytes"))),
            None => return Err(self.flaw(format!("{} is not how this program writes a text", shown(text)))),
        };
        self.at += inside.len();
        self.end_of_string()?;
        Ok(value)
    }

    /// The rest of a line with an integer.
    pub(super) fn number(&mut self) -> Result<String, ScanStop> {
        let digits = self.digits(|byte| byte.is_ascii_digit())?;
        let leading_zero = digits.len() > 1 && digits.starts_with('0');
        if digits.is_empty() || digits.len() > MAX_DIGITS || leading_zero {
            return Err(self.flaw(format!("expected a whole number, found {}", self.seen())));
        }
        self.end_of_line()?;
        Ok(digits.to_owned())
    }

    /// As many bytes as `is_digit` allows; cut if the text ends there.
    fn digits(&mut self, is_digit: impl Fn(u8) -> bool) -> Result<&'a str, ScanStop> {
        let rest = self.rest();
        let len = rest.iter().position(|byte| !is_digit(*byte)).ok_or(ScanStop::Cut)?;
        self.at += len;
        // Digits are ASCII, so the slice is text.
        Ok(std::str::from_utf8(&rest[..len]).unwrap_or_default())
    }

    /// The closing quote and the end of the line.
    fn end_of_string(&mut self) -> Result<(), ScanStop> {
        if self.take("\"")? {
            return self.end_of_line();
        }
        Err(self.flaw(format!("expected a closing quote, found {}", self.seen())))
    }

    fn end_of_line(&mut self) -> Result<(), ScanStop> {
        if self.take("\n")? {
            return Ok(());
        }
        Err(self.flaw(format!("expected the end of the line, found {}", self.seen())))
    }

    /// Consumes `wanted` if it is next; cut if the text ends within it.
    fn take(&mut self, wanted: &str) -> Result<bool, ScanStop> {
        self.take_both(wanted, "")
    }

    /// Consumes `first` and `second` if they are next; cut if the text ends within them.
    ///
    /// Byte by byte, because this is the inner loop of reading and the compared strings are a few bytes long.
    fn take_both(&mut self, first: &str, second: &str) -> Result<bool, ScanStop> {
        let mut rest = self.rest().iter();
        for wanted in first.bytes().chain(second.bytes()) {
            match rest.next() {
                Some(byte) if *byte == wanted => {}
                Some(_) => return Ok(false),
                None => return Err(ScanStop::Cut),
            }
        }
        self.at += first.len() + second.len();
        self.line += first.bytes().chain(second.bytes()).filter(|byte| *byte == b'\n').count();
        Ok(true)
    }

    /// A fault on this line.
    pub(super) fn flaw(&self, what: String) -> ScanStop {
        ScanStop::Flaw { line: self.line, what }
    }

    /// What is next, for a message: the rest of the line, or the name of an invisible byte.
    pub(super) fn seen(&self) -> String {
        match self.rest() {
            [] => "the end of the file".to_owned(),
            [byte @ (0..0x20 | 0x7f), ..] => byte_words(*byte),
            [0xef, 0xbb, 0xbf, ..] => "a byte order mark (save the file without it)".to_owned(),
            rest => {
                let line = rest.split(|byte| *byte == b'\n').next().unwrap_or_default();
                shown(&String::from_utf8_lossy(&line[..line.len().min(MAX_INSIDE)]))
            }
        }
    }
}

/// The body of a short, unescaped string closed on this line, as nearly all are; `None` for any other, and for a faulty
/// one.
fn plain(rest: &[u8]) -> Option<&str> {
    let len =
        rest.iter().take(MAX_TEXT).position(|byte| !matches!(byte, b' '..=b'~') || matches!(byte, b'"' | b'\\'))?;
    if rest[len] == b'"' { std::str::from_utf8(&rest[..len]).ok() } else { None }
}

/// The digits of a number in a caller's buffer, which saves an allocation per entry.
fn digits_of(mut number: u64, place: &mut [u8; MAX_DIGITS_OF_SEQ]) -> &str {
    let mut at = place.len();
    while at > 0 {
        at -= 1;
        place[at] = b'0' + (number % 10) as u8;
        number /= 10;
        if number == 0 {
            break;
        }
    }
    std::str::from_utf8(&place[at..]).unwrap_or_default()
}

/// The body of a string up to its closing quote, and whether there is one.
fn inside(rest: &[u8]) -> (&[u8], bool) {
    let mut at = 0;
    while let Some(step) = rest[at..].iter().position(|byte| matches!(byte, b'"' | b'\\' | b'\n')) {
        at += step;
        match rest[at] {
            b'"' => return (&rest[..at], true),
            b'\\' if at + 1 < rest.len() => at += 2,
            b'\\' => break,
            // A string ends on its line; the newline is kept, so that it gets reported.
            _ => return (&rest[..=at], false),
        }
    }
    (rest, false)
}

/// The name of an invisible byte.
fn byte_words(byte: u8) -> String {
    match byte {
        0 => "a NUL byte".to_owned(),
        b'\r' => "a carriage return (Windows line ending)".to_owned(),
        b'\n' => "the end of the line".to_owned(),
        _ => format!("the control byte {byte:#04x}"),
    }
}
