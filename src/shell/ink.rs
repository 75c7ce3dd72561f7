//! Ink: what a piece of text means, not how it looks. Renderers write labels; only the [`Painter`] knows colours.
//!
//! Every text passes through [`sanitize`] on its way onto a page, so that nothing from a script, a file or a keyboard
//! can control the terminal, reorder a line or hide in it.

mod wrap;

use std::borrow::Cow;
use std::fmt::Write;

use nu_ansi_term::{Color, Style};
use unicode_width::UnicodeWidthStr;

pub use crate::naming::is_unsafe;

/// What a piece of text means.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Ink {
    /// Running text.
    Plain,
    /// The heading of a block.
    Heading,
    /// A name.
    Name,
    /// A number that is not money.
    Figure,
    /// An amount of money or a price.
    Money,
    /// Text that can be skipped.
    Faint,
    /// Better than the alternative. Always next to a word or sign that says so.
    Good,
    /// Look at this. Always next to a word or sign that says so.
    Caution,
    /// Somebody can get hurt, or a figure is wrong. Always next to a word that says so.
    Danger,
}

impl Ink {
    /// The style on a terminal with colours. Hues are fixed entries of the 256-colour palette with a contrast of at
    /// least 3.5 : 1 on both white and black; blue, orange and a bold crimson can be told apart with red-green colour
    /// blindness.
    fn style(self) -> Style {
        match self {
            Ink::Plain | Ink::Name | Ink::Figure => Style::new(),
            Ink::Heading | Ink::Money => Style::new().bold(),
            Ink::Faint => Style::new().dimmed(),
            Ink::Good => Color::Fixed(32).normal(),
            Ink::Caution => Color::Fixed(166).normal(),
            Ink::Danger => Color::Fixed(161).bold(),
        }
    }
}

/// Makes text safe to show: every character that could control a terminal, reorder text or stay invisible becomes a
/// visible escape such as `\u{1b}`. That includes tab and line feed: callers that lay text out split it into lines
/// first.
pub fn sanitize(text: &str) -> Cow<'_, str> {
    if !text.chars().any(is_unsafe) {
        return Cow::Borrowed(text);
    }
    let mut safe = String::with_capacity(text.len() + 16);
    for c in text.chars() {
        if is_unsafe(c) {
            // Writing to a string cannot fail.
            let _ = write!(safe, "\\u{{{:x}}}", u32::from(c));
        } else {
            safe.push(c);
        }
    }
    Cow::Owned(safe)
}

/// A JSON text with the characters that [`sanitize`] makes visible as JSON escapes: it can be printed unchanged and
/// still parses to the same value.
pub fn safe_json(text: &str) -> String {
    let mut safe = String::with_capacity(text.len() + 1);
    for c in text.chars() {
        // Line feeds here come from the layout: the writer has already escaped those inside strings.
        if c != '\n' && is_unsafe(c) {
            for unit in c.encode_utf16(&mut [0; 2]) {
                // Writing to a string cannot fail.
                let _ = write!(safe, "\\u{unit:04x}");
            }
        } else {
            safe.push(c);
        }
    }
    safe
}

/// The width of a safe text in columns.
pub fn width(text: &str) -> usize {
    UnicodeWidthStr::width(text)
}

/// A piece of text with one meaning. Its text is always safe to show.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Span {
    ink: Ink,
    text: String,
}

impl Span {
    /// Builds a span; unsafe characters become visible escapes.
    pub fn new(ink: Ink, text: &str) -> Span {
        Span { ink, text: sanitize(text).into_owned() }
    }

    /// Its text.
    pub fn text(&self) -> &str {
        &self.text
    }
}

/// Lines of spans, ready for wrapping and painting.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Page {
    lines: Vec<Vec<Span>>,
}

impl Page {
    /// An empty page.
    pub fn new() -> Page {
        Page::default()
    }

    /// Adds one line.
    pub fn line(&mut self, spans: &[(Ink, &str)]) {
        self.lines.push(spans.iter().map(|(ink, text)| Span::new(*ink, text)).collect());
    }

    /// Adds text of one meaning, one page line per text line.
    pub fn say(&mut self, ink: Ink, text: &str) {
        text.lines().for_each(|line| self.line(&[(ink, line)]));
    }

    /// Adds an empty line, unless the page is empty or already ends in one.
    pub fn blank(&mut self) {
        if self.lines.last().is_some_and(|line| !line.is_empty()) {
            self.lines.push(Vec::new());
        }
    }

    /// Adds all lines of another page.
    pub fn append(&mut self, other: Page) {
        self.lines.extend(other.lines);
    }

    /// The lines.
    pub fn lines(&self) -> &[Vec<Span>] {
        &self.lines
    }

    /// Splits the page into pieces of at most `rows` lines, each under the page's first line.
    pub fn parted(&self, rows: usize) -> Vec<Page> {
        let Some((head, body)) = self.lines.split_first() else { return Vec::new() };
        let piece = |lines: &[Vec<Span>]| Page { lines: std::iter::once(head).chain(lines).cloned().collect() };
        if body.is_empty() { vec![self.clone()] } else { body.chunks(rows.max(2) - 1).map(piece).collect() }
    }

    /// Wraps the page to `columns`: lines break between words if possible, and continue indented by two more columns.
    pub fn wrapped(&self, columns: usize) -> Page {
        Page { lines: self.lines.iter().flat_map(|line| wrap::line(line, columns)).collect() }
    }
}

/// Renders a page as text for one kind of output.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Painter {
    /// Whether meanings also get colour and weight. Nothing depends on colour alone.
    pub colour: bool,
}

impl Painter {
    /// The page as text; each line ends in a line feed, without trailing blanks.
    pub fn paint(self, page: &Page) -> String {
        let mut out = String::new();
        for line in &page.lines {
            let mut row = String::new();
            for span in line {
                self.span(&mut row, span);
            }
            out.push_str(row.trim_end());
            out.push('\n');
        }
        out
    }

    fn span(self, row: &mut String, span: &Span) {
        if self.colour && !span.text.trim().is_empty() {
            row.push_str(&span.ink.style().paint(&span.text).to_string());
        } else {
            row.push_str(&span.text);
        }
    }
}

#[cfg(test)]
mod tests;
