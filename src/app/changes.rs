//! What changed between two texts, line by line, for people to read.

use std::time::Duration;

use similar::{ChangeTag, TextDiff};

/// How many unchanged lines are kept around a change.
const AROUND: usize = 2;
/// How long the shortest account of the changes is looked for; past that, a longer one will do.
const PATIENCE: Duration = Duration::from_millis(200);

/// A line of an account of changes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ChangedLine {
    /// The line is gone.
    Gone(String),
    /// The line is new.
    New(String),
    /// The line is in both texts.
    Same(String),
    /// Lines that are in both texts are left out here; the number of the next line in the new text.
    Gap(usize),
}

/// An account of what changed.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Changes {
    /// The lines that changed, with a few around them.
    pub lines: Vec<ChangedLine>,
    /// How many lines are gone.
    pub gone: usize,
    /// How many are new.
    pub new: usize,
}

impl Changes {
    /// What leads from `old` to `new`.
    #[must_use]
    pub fn between(old: &str, new: &str) -> Changes {
        let mut changes = Changes::default();
        let diff = TextDiff::configure().timeout(PATIENCE).diff_lines(old, new);
        for group in diff.grouped_ops(AROUND) {
            let starts = group.first().map_or(0, |op| op.new_range().start);
            if starts > 0 {
                changes.lines.push(ChangedLine::Gap(starts + 1));
            }
            for change in group.iter().flat_map(|op| diff.iter_changes(op)) {
                let line = change.value().trim_end_matches(['\n', '\r']).to_owned();
                changes.lines.push(match change.tag() {
                    ChangeTag::Delete => {
                        changes.gone += 1;
                        ChangedLine::Gone(line)
                    }
                    ChangeTag::Insert => {
                        changes.new += 1;
                        ChangedLine::New(line)
                    }
                    ChangeTag::Equal => ChangedLine::Same(line),
                });
            }
        }
        changes
    }

    /// Whether nothing changed.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.gone + self.new == 0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_changed_line_is_told_with_those_around_it() {
        let old = "a\nb\nc\nd\ne\nf\n";
        let changes = Changes::between(old, &old.replace('d', "D"));
        let same = |text: &str| ChangedLine::Same(text.into());
        let lines = [
            ChangedLine::Gap(2),
            same("b"),
            same("c"),
            ChangedLine::Gone("d".into()),
            ChangedLine::New("D".into()),
            same("e"),
            same("f"),
        ];
        assert_eq!((changes.lines.as_slice(), changes.gone, changes.new), (&lines[..], 1, 1));
        assert!(Changes::between(old, old).is_empty());
    }

    #[test]
    fn two_long_texts_without_a_common_line_take_no_longer_than_patience_allows() {
        let text = |of: &str| (0..16_000).map(|n| format!("{of}{n}\n")).collect::<String>();
        let started = std::time::Instant::now();
        let changes = Changes::between(&text("a"), &text("b"));
        assert_eq!((changes.gone, changes.new), (16_000, 16_000));
        assert!(started.elapsed() < Duration::from_secs(5), "{:?}", started.elapsed());
    }
}
