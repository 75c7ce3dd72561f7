//! Finds the container that was meant when its name was typed with one slip.

/// The longest name for which slips are tried.
const MAX_NAME: usize = 40;

/// A known name one slip away from `typed`: a letter left out, inserted or changed, or two neighbours swapped.
///
/// A weight answer can look up a container but cannot list them, so all slips are tried: some 70 look-ups per letter,
/// only after a name was not found.
pub(super) fn one_slip_away(typed: &str, known: impl Fn(&str) -> bool) -> Option<String> {
    let letters: Vec<char> = typed.chars().collect();
    if letters.len() > MAX_NAME {
        return None;
    }
    let lower = typed.to_lowercase();
    let swapped = (1..letters.len()).map(|i| {
        let mut slip = letters.clone();
        slip.swap(i - 1, i);
        slip.into_iter().collect::<String>()
    });
    let spliced = |from: usize, to: usize, letter: Option<char>| {
        letters[..from].iter().copied().chain(letter).chain(letters[to..].iter().copied()).collect::<String>()
    };
    let left_out = (0..letters.len()).map(|i| spliced(i, i + 1, None));
    let alphabet = || ('a'..='z').chain('0'..='9').chain([' ', '-']).map(Some);
    let changed = (0..letters.len()).flat_map(|i| alphabet().map(move |letter| (i, i + 1, letter)));
    let put_in = (0..=letters.len()).flat_map(|i| alphabet().map(move |letter| (i, i, letter)));
    std::iter::once(lower)
        .chain(swapped)
        .chain(left_out)
        .chain(changed.chain(put_in).map(|(from, to, letter)| spliced(from, to, letter)))
        .find(|slip| slip != typed && known(slip))
}
