//! Line-by-line diff of two texts, for people to read.

/// Unchanged lines kept around a change.
const AROUND: usize = 2;
/// The search for the shortest diff is limited to this many edits. Beyond it, everything between the first and the last
/// change is shown as removed and added. The search takes quadratic time and memory.
const MOST_CHANGES: usize = 1_000;

/// A line of a diff.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ChangedLine {
    /// Removed.
    Gone(String),
    /// Added.
    New(String),
    /// Unchanged.
    Same(String),
    /// Unchanged lines left out here; holds the number of the next line in the new text.
    Gap(usize),
}

/// A diff.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Changes {
    /// The changed lines, with a few lines of context.
    pub lines: Vec<ChangedLine>,
    /// Number of removed lines.
    pub gone: usize,
    /// Number of added lines.
    pub new: usize,
}

impl Changes {
    /// The diff that turns `old` into `new`.
    #[must_use]
    pub fn between(old: &str, new: &str) -> Changes {
        // Line ends are compared too, so only identical texts have an empty diff.
        let (old, new): (Vec<&str>, Vec<&str>) =
            (old.split_inclusive('\n').collect(), new.split_inclusive('\n').collect());
        let shown_as = |line: &str| line.trim_end_matches(['\n', '\r']).to_owned();
        let mut changes = Changes::default();
        let edits = edits(&old, &new);
        let (mut at, mut in_new, mut shown) = (0, 0, 0);
        for (place, edit) in edits.iter().enumerate() {
            let near = &edits[place.saturating_sub(AROUND)..(place + AROUND + 1).min(edits.len())];
            if near.iter().any(|edit| *edit != Edit::Keep) {
                if place > shown {
                    changes.lines.push(ChangedLine::Gap(in_new + 1));
                }
                shown = place + 1;
                changes.lines.push(match edit {
                    Edit::Keep => ChangedLine::Same(shown_as(new[in_new])),
                    Edit::Drop => ChangedLine::Gone(shown_as(old[at])),
                    Edit::Add => ChangedLine::New(shown_as(new[in_new])),
                });
            }
            let (was, is) = (*edit != Edit::Add, *edit != Edit::Drop);
            (at, in_new) = (at + usize::from(was), in_new + usize::from(is));
            changes.gone += usize::from(!is);
            changes.new += usize::from(!was);
        }
        changes
    }

    /// Whether the texts are the same.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.gone + self.new == 0
    }
}

/// What happens to a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Edit {
    Keep,
    Drop,
    Add,
}

/// The edits that turn `old` into `new`; where both meet, removals come before additions.
fn edits(old: &[&str], new: &[&str]) -> Vec<Edit> {
    let same = |(old, new): &(&&str, &&str)| old == new;
    let head = old.iter().zip(new).take_while(same).count();
    let (old, new) = (&old[head..], &new[head..]);
    let tail = old.iter().rev().zip(new.iter().rev()).take_while(same).count();
    let (old, new) = (&old[..old.len() - tail], &new[..new.len() - tail]);
    let replaced = || [vec![Edit::Drop; old.len()], vec![Edit::Add; new.len()]].concat();
    let middle = shortest(old, new).unwrap_or_else(replaced);
    let mut edits = [vec![Edit::Keep; head], middle, vec![Edit::Keep; tail]].concat();
    edits.split_mut(|edit| *edit == Edit::Keep).for_each(|run| run.sort_by_key(|edit| *edit == Edit::Add));
    edits
}

/// How far each diagonal reaches into the old text after a given number of edits. Entry `n` is the diagonal where the
/// old line number minus the new one is `2n` minus the number of edits; `None` if unreachable.
type Round = Vec<Option<usize>>;

/// The last edit on the way to an entry of round `edits`, and how far into the old text it reaches.
fn reached(before: &Round, edits: usize, place: usize, lengths: (usize, usize)) -> Option<(usize, Edit)> {
    let dropped = place.checked_sub(1).and_then(|place| before[place]).filter(|x| *x < lengths.0);
    let is_short = |x: &usize| x + edits - 1 - 2 * place < lengths.1;
    let added = before.get(place).copied().flatten().filter(is_short);
    dropped.map(|x| (x + 1, Edit::Drop)).max(added.map(|x| (x, Edit::Add)))
}

/// The fewest edits that turn `old` into `new`: Myers' greedy diagonal search (1986). `None` if there are more than
/// [`MOST_CHANGES`].
fn shortest(old: &[&str], new: &[&str]) -> Option<Vec<Edit>> {
    let lengths = (old.len(), new.len());
    let slid = |x: usize, y: usize| x + old[x..].iter().zip(&new[y..]).take_while(|(old, new)| old == new).count();
    let mut rounds: Vec<Round> = vec![vec![Some(slid(0, 0))]];
    let goal = |edits: usize| Some((edits + lengths.0).checked_sub(lengths.1)? / 2);
    let is_done = |round: &Round, edits| goal(edits).and_then(|place| *round.get(place)?) == Some(lengths.0);
    for edits in 1_usize.. {
        let before = rounds.last()?;
        // Only every other round contains the diagonal on which both texts end.
        if (edits - 1 + lengths.0 + lengths.1).is_multiple_of(2) && is_done(before, edits - 1) {
            break;
        }
        if edits > MOST_CHANGES {
            return None;
        }
        let far = |place| reached(before, edits, place, lengths).map(|(x, _)| slid(x, x + edits - 2 * place));
        rounds.push((0..=edits).map(far).collect());
    }
    let (mut found, mut at, mut place) = (Vec::new(), lengths.0, goal(rounds.len() - 1)?);
    for edits in (1..rounds.len()).rev() {
        let (from, edit) = reached(&rounds[edits - 1], edits, place, lengths)?;
        found.extend(std::iter::repeat_n(Edit::Keep, at - from));
        found.push(edit);
        (at, place) = if edit == Edit::Drop { (from - 1, place - 1) } else { (from, place) };
    }
    found.extend(std::iter::repeat_n(Edit::Keep, at));
    found.reverse();
    Some(found)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

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
        assert!(!Changes::between(old, &old.replace('\n', "\r\n")).is_empty(), "ends of lines count");
    }

    #[test]
    fn lines_that_stay_are_found_between_those_that_change() {
        let told = |old: &str, new: &str| {
            let of = |line: &ChangedLine| match line {
                ChangedLine::Gone(line) => format!("-{line}"),
                ChangedLine::New(line) => format!("+{line}"),
                ChangedLine::Same(line) => line.clone(),
                ChangedLine::Gap(line) => format!("@{line}"),
            };
            Changes::between(old, new).lines.iter().map(of).collect::<Vec<_>>().join(" ")
        };
        assert_eq!(told("a\nb\nc\nd\n", "b\nx\nd\ne\n"), "-a b -c +x d +e");
        assert_eq!(told("", "a\n"), "+a");
        assert_eq!(told("a\n", ""), "-a");
        let long = "1\n2\n3\n4\n5\n6\n7\n8\n9\n";
        assert_eq!(told(long, &long.replace('1', "x").replace('9', "y")), "-1 +x 2 3 @7 7 8 -9 +y");
    }

    /// Length of the longest common subsequence, by dynamic programming.
    fn in_common(old: &[&str], new: &[&str]) -> usize {
        let mut row = vec![0; new.len() + 1];
        for line in old {
            let mut left_above = 0;
            for (at, other) in new.iter().enumerate() {
                let above = std::mem::replace(&mut left_above, row[at + 1]);
                row[at + 1] = if line == other { above + 1 } else { row[at + 1].max(row[at]) };
            }
        }
        row[new.len()]
    }

    proptest! {
        #[test]
        fn edits_lead_from_one_text_to_the_other_and_are_the_fewest(
            old in proptest::collection::vec("[a-d]", 0..30),
            new in proptest::collection::vec("[a-d]", 0..30),
        ) {
            let (old, new): (Vec<&str>, Vec<&str>) =
                (old.iter().map(String::as_str).collect(), new.iter().map(String::as_str).collect());
            let edits = edits(&old, &new);
            let (mut was, mut is) = (old.iter(), new.iter());
            for edit in &edits {
                let (was, is) = (if *edit == Edit::Add { None } else { was.next() }, if *edit == Edit::Drop { None } else { is.next() });
                prop_assert!(was.or(is).is_some() && (*edit != Edit::Keep || was == is));
            }
            prop_assert!(was.next().is_none() && is.next().is_none());
            let kept = edits.iter().filter(|edit| **edit == Edit::Keep).count();
            prop_assert_eq!(kept, in_common(&old, &new));
        }
    }

    #[test]
    fn two_long_texts_without_a_common_line_take_no_longer_than_patience_allows() {
        let text = |of: &str| (0..16_000).map(|n| format!("{of}{n}\n")).collect::<String>();
        let started = std::time::Instant::now();
        let changes = Changes::between(&text("a"), &text("b"));
        assert_eq!((changes.gone, changes.new), (16_000, 16_000));
        assert!(started.elapsed() < std::time::Duration::from_secs(5), "{:?}", started.elapsed());
    }
}
