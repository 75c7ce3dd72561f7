//! Script errors with an excerpt of the source.

use annotate_snippets::{AnnotationKind, Level, Renderer, Snippet};

use super::ink::{Ink, Page, Painter, is_unsafe, sanitize};
use crate::recipe::Mark;
use crate::review::Severity;
use crate::script::ScriptError;

/// A script error as text: message, file, line, a caret under the place, and what to do.
pub fn excerpt(error: &ScriptError, colour: bool, width: usize) -> String {
    let (file, source, message) = (&*error.file, &*error.source, error.message.as_str());
    let hint = error.hint.as_deref().unwrap_or_default();
    Excerpt { severity: Severity::Error, file, source, mark: error.mark, message, hint }.text(colour, width)
}

/// A message about one place in a script.
pub struct Excerpt<'a> {
    /// How bad it is.
    pub severity: Severity,
    /// The file name shown to users.
    pub file: &'a str,
    /// Its whole text.
    pub source: &'a str,
    /// The place; line 0 for the file as a whole.
    pub mark: Mark,
    /// What is wrong.
    pub message: &'a str,
    /// What to do; may be empty.
    pub hint: &'a str,
}

impl Excerpt<'_> {
    /// The excerpt as text: message, file, line, a caret under the place, and what to do.
    pub fn text(&self, colour: bool, width: usize) -> String {
        let (level, label) = match self.severity {
            Severity::Error => (Level::ERROR, "error: "),
            Severity::Warning => (Level::WARNING, "warning: "),
            Severity::Note => (Level::NOTE, "note: "),
        };
        let gutter = self.mark.line.to_string().len();
        let message = fold(self.message, width.saturating_sub(label.len()));
        let hint = fold(self.hint, width.saturating_sub(gutter + " = help: ".len()));
        let file = sanitize(self.file);
        let source = visible(self.source);
        let title = level.primary_title(message.as_str());
        let mut group = match span(&source, self.mark.line, self.mark.column) {
            Some(span) => {
                let place =
                    Snippet::source(source.as_str()).path(file.as_ref()).annotation(AnnotationKind::Primary.span(span));
                title.element(place)
            }
            None => title.element(Level::NOTE.message(format!("in {file}"))),
        };
        if !hint.is_empty() {
            group = group.element(Level::HELP.message(hint.as_str()));
        }
        let renderer = if colour { Renderer::styled() } else { Renderer::plain() };
        let mut text = renderer.term_width(width).render(&[group]);
        text.push('\n');
        text
    }
}

/// The text, safe to show, wrapped to `columns` between words if possible: the lines after a label are indented under
/// its first line.
fn fold(text: &str, columns: usize) -> String {
    let mut page = Page::new();
    page.line(&[(Ink::Plain, text)]);
    let folded = Painter::default().paint(&page.wrapped(columns));
    folded.lines().map(str::trim).collect::<Vec<_>>().join("\n")
}

/// The source with every unsafe character replaced by one visible character, so that columns stay the same.
fn visible(source: &str) -> String {
    source
        .chars()
        .map(|c| if is_unsafe(c) && c != '\n' { if c == '\t' { ' ' } else { '\u{fffd}' } } else { c })
        .collect()
}

/// The byte range of the word at a line and column; of one character if there is no word, empty at the end of a line.
fn span(source: &str, line: usize, column: usize) -> Option<std::ops::Range<usize>> {
    let start_of_line: usize = source.split_inclusive('\n').take(line.checked_sub(1)?).map(str::len).sum();
    let text = source[start_of_line..].split('\n').next()?;
    let start = text.char_indices().nth(column.max(1) - 1).map_or(text.len(), |(at, _)| at);
    let word =
        text[start..].chars().take_while(|c| c.is_alphanumeric() || *c == '_').map(char::len_utf8).sum::<usize>();
    let sign = text[start..].chars().next().map_or(0, char::len_utf8);
    let from = start_of_line + start;
    Some(from..from + word.max(sign))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_caret_stands_under_the_word() {
        let error = ScriptError {
            file: "oven.rhai".into(),
            source: "unit(\"a\", \"b\");\nstep(\"x\").minuts(1, 2, 3);\n".into(),
            mark: Mark { line: 2, column: 11 },
            message: "there is no `minuts`".into(),
            hint: Some("did you mean `minutes`?".into()),
        };
        let text = excerpt(&error, false, 80);
        assert!(text.contains("--> oven.rhai:2:11"), "{text}");
        assert!(text.contains("2 | step(\"x\").minuts(1, 2, 3);\n  |           ^^^^^^"), "{text}");
        assert!(text.contains("did you mean `minutes`?"), "{text}");
    }

    #[test]
    fn words_are_wrapped_and_none_is_lost() {
        let message = "what is said of this place takes more than one line of a narrow window";
        let hint = "so does what is to be done about it, which is no less worth reading";
        let source = "let a = 1;\n".repeat(12);
        let mark = Mark { line: 11, column: 5 };
        let excerpt = Excerpt { severity: Severity::Warning, file: "a.rhai", source: &source, mark, message, hint };
        for width in [40, 60, 100] {
            let text = excerpt.text(false, width);
            assert!(text.lines().all(|line| line.chars().count() <= width), "{width}: {text}");
            let signs = ["warning:", "=", "help:", "|"];
            let words: Vec<&str> = text.split_whitespace().filter(|word| !signs.contains(word)).collect();
            let words = words.join(" ");
            assert!(words.contains(message) && words.ends_with(hint), "{width}: {text}");
        }
        assert!(excerpt.text(false, 40).contains("\n         takes more"), "hangs below its first word");
    }

    #[test]
    fn a_place_can_be_anywhere() {
        let source = "let ä\u{1b}ß = 1; // €\n\n€💥";
        for (line, column) in (0..5).flat_map(|line| (0..25).map(move |column| (line, column))) {
            let mark = Mark { line, column };
            let error = ScriptError { file: "x".into(), source: source.into(), mark, message: "m".into(), hint: None };
            assert!(excerpt(&error, false, 80).contains("error: m"), "{line}:{column}");
        }
    }

    #[test]
    fn escapes_in_a_source_are_not_obeyed() {
        let error = ScriptError {
            file: "x\u{1b}[2J.rhai".into(),
            source: "let a = \"\u{1b}[2J\";".into(),
            mark: Mark { line: 1, column: 5 },
            message: "bad \u{1b}]0;x\u{7}".into(),
            hint: None,
        };
        assert!(!excerpt(&error, false, 80).contains('\u{1b}'));
    }
}
