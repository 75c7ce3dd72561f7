//! Wraps a line of spans to a width.

use unicode_width::UnicodeWidthChar;

use super::{Ink, Span, width};

/// No line is wrapped narrower than this, whatever the terminal reports.
const NARROWEST: usize = 12;

/// The line itself if it fits, else wrapped between words, later lines indented by two more columns than the first.
/// Blanks between words on one line are kept, so that columns stay aligned.
pub(super) fn line(spans: &[Span], columns: usize) -> Vec<Vec<Span>> {
    let columns = columns.max(NARROWEST);
    if spans.iter().map(|span| width(&span.text)).sum::<usize>() <= columns {
        return vec![spans.to_vec()];
    }
    let text: String = spans.iter().map(|span| span.text.as_str()).collect();
    let indent = text.chars().take_while(|c| *c == ' ').count().min(columns / 2);
    let mut rows = Rows { columns, hang: (indent + 2).min(columns / 2), done: Vec::new(), row: Vec::new(), used: 0 };
    rows.push(Ink::Plain, &" ".repeat(indent));
    for word in words(spans) {
        rows.word(&word);
    }
    rows.done.push(rows.row);
    rows.done
}

/// A word: its pieces, which can have several inks, and the number of blanks before it.
struct Word {
    blanks: usize,
    pieces: Vec<(Ink, String)>,
}

impl Word {
    fn width(&self) -> usize {
        self.pieces.iter().map(|(_, piece)| width(piece)).sum()
    }

    fn ink(&self) -> Ink {
        self.pieces.first().map_or(Ink::Plain, |(ink, _)| *ink)
    }

    fn text(&self) -> String {
        self.pieces.iter().map(|(_, piece)| piece.as_str()).collect()
    }

    /// Whether it is a number, as weights and sums are written.
    fn is_figure(&self) -> bool {
        let text = self.text();
        text.ends_with(|c: char| c.is_ascii_digit()) && text.chars().all(|c| c.is_ascii_digit() || "+-(.,'".contains(c))
    }

    /// Whether it can be a unit or a currency, which stays on the line of the figure before it.
    fn is_short(&self) -> bool {
        let text = self.text();
        let bare = text.trim_end_matches([',', ';', ':', '.', ')']);
        (1..=3).contains(&bare.len()) && bare.chars().all(|c| c.is_ascii_alphabetic() || c == '%')
    }
}

fn words(spans: &[Span]) -> Vec<Word> {
    let mut words: Vec<Word> = Vec::new();
    let mut blanks = 0;
    for span in spans {
        for (at, piece) in span.text.split(' ').enumerate() {
            blanks += usize::from(at > 0);
            if piece.is_empty() {
                continue;
            }
            let piece = (span.ink, piece.to_owned());
            match words.last_mut().filter(|_| blanks == 0) {
                Some(word) => word.pieces.push(piece),
                None => words.push(Word { blanks, pieces: vec![piece] }),
            }
            blanks = 0;
        }
    }
    // A figure and its unit stay together.
    words.into_iter().fold(Vec::new(), |mut kept: Vec<Word>, word| {
        match kept.last_mut().filter(|last| word.blanks == 1 && word.is_short() && last.is_figure()) {
            Some(figure) => {
                figure.pieces.push((word.ink(), " ".into()));
                figure.pieces.extend(word.pieces);
            }
            None => kept.push(word),
        }
        kept
    })
}

struct Rows {
    columns: usize,
    hang: usize,
    done: Vec<Vec<Span>>,
    row: Vec<Span>,
    used: usize,
}

impl Rows {
    fn word(&mut self, word: &Word) {
        let wide = word.width();
        let begun = self.row.iter().any(|span| !span.text.trim().is_empty());
        if begun && self.used + word.blanks + wide > self.columns {
            self.next();
        } else if begun {
            let ink = word.ink();
            self.push(ink, &" ".repeat(word.blanks));
        }
        word.pieces.iter().for_each(|(ink, piece)| self.piece(*ink, piece));
    }

    /// Adds a piece, character by character if it is wider than the rest of the row.
    fn piece(&mut self, ink: Ink, piece: &str) {
        if self.used + width(piece) <= self.columns {
            return self.push(ink, piece);
        }
        for c in piece.chars() {
            if self.used + c.width().unwrap_or(0) > self.columns {
                self.next();
            }
            self.push(ink, c.encode_utf8(&mut [0; 4]));
        }
    }

    fn push(&mut self, ink: Ink, text: &str) {
        self.used += width(text);
        match self.row.last_mut() {
            Some(last) if last.ink == ink => last.text.push_str(text),
            _ if text.is_empty() => {}
            _ => self.row.push(Span { ink, text: text.to_owned() }),
        }
    }

    fn next(&mut self) {
        self.done.push(std::mem::take(&mut self.row));
        self.used = 0;
        self.push(Ink::Plain, &" ".repeat(self.hang));
    }
}
