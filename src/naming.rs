//! What names may look like, and which name was meant.

/// The known word that looks most like `word`, when one is close enough to be a slip.
pub fn nearest<'a>(word: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    known
        .into_iter()
        .map(|candidate| (strsim::damerau_levenshtein(word, candidate), candidate))
        .filter(|(distance, candidate)| *distance <= 1 + candidate.chars().count() / 4)
        .min()
        .map(|(_, candidate)| candidate)
}

/// `did you mean …?`, or a listing of the first dozen that there are: the hint behind every unknown name.
pub fn suggest<'a>(word: &str, known: impl Iterator<Item = &'a str> + Clone) -> String {
    match nearest(word, known.clone()) {
        Some(candidate) => format!("did you mean `{candidate}`?"),
        None => {
            let names: Vec<_> = known.take(12).collect();
            if names.is_empty() { "none is declared".into() } else { format!("there is {}", names.join(", ")) }
        }
    }
}

/// Checks an id: what it may look like is the same for recipes, steps and yards.
///
/// # Errors
/// A sentence with the id and what one looks like.
pub fn well_formed_id(id: &str) -> Result<(), String> {
    let fits = (1..=60).contains(&id.len())
        && id.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-')
        && !id.starts_with('-')
        && !id.ends_with('-');
    fits.then_some(()).ok_or_else(|| {
        format!("the id {id:?} must be 1 to 60 lower-case letters, digits and single hyphens, such as `main-board`")
    })
}

/// An id made from a title: lower case, hyphens for everything else.
pub fn id_of_title(title: &str) -> String {
    let mut id = String::new();
    for c in title.chars() {
        match c.to_ascii_lowercase() {
            c if c.is_ascii_alphanumeric() => id.push(c),
            _ if !id.ends_with('-') && !id.is_empty() => id.push('-'),
            _ => {}
        }
        if id.len() >= 60 {
            break;
        }
    }
    id.trim_end_matches('-').to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slip_is_recognised_and_a_stranger_is_not() {
        let known = ["copper-1", "copper-2", "steel-light"];
        assert_eq!(nearest("coper-2", known), Some("copper-2"));
        assert_eq!(nearest("steel-lihgt", known), Some("steel-light"));
        assert_eq!(nearest("brass", known), None);
    }

    #[test]
    fn titles_become_ids() {
        assert_eq!(id_of_title("Take the main board!"), "take-the-main-board");
        assert_eq!(id_of_title("  ° "), "");
        assert!(well_formed_id(&id_of_title("Press out the windings")).is_ok());
    }

    #[test]
    fn ids_are_plain() {
        for bad in ["", "Upper", "-lead", "trail-", "a/b", "..", "a b", "ü"] {
            assert!(well_formed_id(bad).is_err(), "{bad:?}");
        }
    }
}
