//! Parses a comma-separated list of parts whose names may contain commas.

/// The names in a list. Pieces that form a name known to `is_part` only together are joined, as many as possible; a
/// piece that belongs to no name stays by itself.
pub(super) fn names(list: &str, is_part: impl Fn(&str) -> bool) -> Vec<String> {
    let pieces: Vec<&str> = list.split(',').collect();
    let mut names = Vec::new();
    let mut at = 0;
    while at < pieces.len() {
        let name = |end: usize| pieces[at..end].join(",").trim().to_owned();
        let end = (at + 1..=pieces.len()).rev().find(|end| is_part(&name(*end))).unwrap_or(at + 1);
        names.push(name(end));
        at = end;
    }
    names
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_with_a_comma_is_one_name() {
        let read = |list: &str| names(list, |name| ["lid", "hose, pipe and brush", "hose", "a,b"].contains(&name));
        assert_eq!(read("lid, hose, pipe and brush"), ["lid", "hose, pipe and brush"]);
        assert_eq!(read("hose, pipe and brush,lid , a,b"), ["hose, pipe and brush", "lid", "a,b"]);
        assert_eq!(read("hose, lid"), ["hose", "lid"]);
        assert_eq!(read("ocre,, lid"), ["ocre", "", "lid"]);
        assert_eq!(read(""), [""]);
    }
}
